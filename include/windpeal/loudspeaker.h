/* SPDX-License-Identifier: MIT */
#ifndef WINDPEAL_LOUDSPEAKER_H
#define WINDPEAL_LOUDSPEAKER_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "windpeal/attributes.h"
#include "windpeal/status.h"

/*
 * Loudspeakers: which there are, and one that is kept playing. Sound systems hang, vanish and talk
 * on standard error. So all of them run in processes of their own, which can be ended at any time;
 * what they say is caught. Frames go over in a ring in shared memory.
 */

/** One loudspeaker as the sound system tells of it. */
struct wp_loudspeaker_info {
    char name[160];  /**< in plain words, with the system: "system (JACK)" */
    int n_channels;  /**< at most */
    double rate_hz;  /**< its own */
    bool is_default; /**< the one to use when none is named */
};

enum { WP_LOUDSPEAKERS_MAX = 64, WP_NOISE_MAX = 8192 };

/** What a look at the sound systems found. */
struct wp_loudspeakers {
    size_t n_items;
    struct wp_loudspeaker_info items[WP_LOUDSPEAKERS_MAX];
    char noise[WP_NOISE_MAX]; /**< what they said meanwhile; its beginning, when it was more */
};

/**
 * Looks which loudspeakers there are; none is no failure. Takes 3 s at most. Never starts a sound
 * server.
 *
 * @return WP_OK, WP_E_DEVICE (the sound system does not answer or broke down), WP_E_NO_MEMORY
 */
WP_API enum wp_status wp_loudspeakers_list(struct wp_loudspeakers *list);

/**
 * Finds the one whose name is part or contains it, in any case of letters.
 *
 * @param part   NULL: the default, or the first
 * @param index  out: in list->items; untouched on failure
 * @return WP_OK, WP_E_UNKNOWN_NAME, WP_E_AMBIGUOUS (both list the candidates in diags), WP_E_DEVICE
 *         (there is none at all)
 */
WP_API enum wp_status wp_loudspeakers_find(const struct wp_loudspeakers *list, const char *part,
                                           size_t *index, struct wp_diags *diags);

struct wp_loudspeaker_config {
    const char *device; /**< part of a name as above; NULL: the default */
    int n_channels;     /**< 1 to 64 */
    double latency_s;   /**< from writing a frame to hearing it, 0.02 to 2 s */
    int wanted_rate_hz; /**< tried first; then the device's own and the usual ones */
};

enum { WP_LOUDSPEAKER_RATE_MIN = 8000, WP_LOUDSPEAKER_RATE_MAX = 192000 };

enum wp_loudspeaker_state {
    WP_LOUDSPEAKER_OPENING,
    WP_LOUDSPEAKER_PLAYING,
    WP_LOUDSPEAKER_WAITING, /**< lost or not to be had; tried again in a while */
};

/** A change of state. */
struct wp_loudspeaker_event {
    enum wp_loudspeaker_state state;
    int rate_hz;         /**< playing: frames a second */
    double retry_s;      /**< waiting: until the next attempt */
    unsigned int n_lost; /**< times that it was lost while playing, so far */
    char device[160];    /**< playing: its name */
    char reason[200];    /**< waiting: why, in plain words */
};

struct wp_loudspeaker;

/**
 * Starts keeping a loudspeaker: opens it, notices within a second when it no longer plays, and
 * tries again after 1, 2, 4, ... 30 s, until it is destroyed. Returns at once; what comes of it is
 * told by wp_loudspeaker_next_event. Forks: call it before threads are started.
 *
 * @param out  receives the loudspeaker; NULL on failure. Free with wp_loudspeaker_destroy.
 * @return WP_OK, WP_E_RANGE, WP_E_NO_MEMORY, WP_E_DEVICE (no process could be started)
 */
WP_API enum wp_status wp_loudspeaker_create(struct wp_loudspeaker **out,
                                            const struct wp_loudspeaker_config *config);

/** Lets go of the device and frees; takes 2 s at most, whatever the device does. NULL is allowed.
 */
WP_API void wp_loudspeaker_destroy(struct wp_loudspeaker *speaker);

/** The next change of state; false when there is none. */
WP_API bool wp_loudspeaker_next_event(struct wp_loudspeaker *speaker,
                                      struct wp_loudspeaker_event *event);

/**
 * Hands n_frames interleaved frames over; returns how many found room. One thread at a time. What
 * was written before the device opened is not heard.
 */
WP_API size_t wp_loudspeaker_write(struct wp_loudspeaker *speaker, const float *frames,
                                   size_t n_frames) WP_REALTIME;

/** Frames written that the device has not fetched yet. */
WP_API size_t wp_loudspeaker_waiting(const struct wp_loudspeaker *speaker) WP_REALTIME;

/** Frames that the device fetched, and frames that were not there in time (heard as silence). */
WP_API void wp_loudspeaker_count(const struct wp_loudspeaker *speaker, uint64_t *n_played,
                                 uint64_t *n_missing) WP_REALTIME;

/**
 * What the sound system has said since the last call: up to text_size - 1 bytes, ended by a zero.
 * Of more than WP_NOISE_MAX bytes between two calls the beginning is kept. Returns the bytes.
 */
WP_API size_t wp_loudspeaker_noise(struct wp_loudspeaker *speaker, char *text, size_t text_size);

#endif
