/* SPDX-License-Identifier: MIT */
#ifndef WINDPEAL_PLAYER_H
#define WINDPEAL_PLAYER_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "windpeal/attributes.h"
#include "windpeal/peal.h"
#include "windpeal/status.h"

/*
 * Peals as a loudspeaker shall play them: one fades over into the next, the whole fades in and out,
 * has a gain and never passes full scale. Where nothing fades, the gain is 1 and no sample is above
 * WP_PLAYER_LINEAR, the frames are those of the peal, bit by bit.
 */

/**
 * Samples up to here pass as they are. Above, y = a + (1 - a) tanh((x - a) / (1 - a)) with a this
 * value: the curve goes on smoothly and stays below 1. Whatever it bends is counted.
 */
#define WP_PLAYER_LINEAR 0.75f

struct wp_player_config {
    int rate_hz;
    int n_channels;
    double gain;   /**< factor of all samples, >= 0 */
    double fade_s; /**< of every fade, a raised cosine */
};

struct wp_player;

/**
 * @param out  receives a player of silence; NULL on failure. Free with wp_player_destroy.
 * @return WP_OK, WP_E_RANGE, WP_E_NO_MEMORY
 */
WP_API enum wp_status wp_player_create(struct wp_player **out,
                                       const struct wp_player_config *config);

/** Frees a player, not the peals; NULL is allowed. */
WP_API void wp_player_destroy(struct wp_player *player);

/**
 * Fades over to a peal, which must have the player's rate and channels and last until it is
 * retired, or to silence with NULL. The first peal fades in.
 *
 * @return false, and nothing changes, while another change goes on
 *
 * Real time: yes, like all below. Threads: one at a time.
 */
WP_API bool wp_player_play(struct wp_player *player, struct wp_peal *peal) WP_REALTIME;

/** The peal that plays or fades in; NULL: none. */
WP_API struct wp_peal *wp_player_peal(const struct wp_player *player) WP_REALTIME;

/** A peal that has faded out, once; NULL: none. */
WP_API struct wp_peal *wp_player_retire(struct wp_player *player) WP_REALTIME;

/** Fades to silence or back; peals go on meanwhile. */
WP_API void wp_player_mute(struct wp_player *player, bool is_muted) WP_REALTIME;

/** Falls silent at once and fades in again: a device begins to play. */
WP_API void wp_player_restart(struct wp_player *player) WP_REALTIME;

/** True when it has faded out and nothing but silence is to come. */
WP_API bool wp_player_is_silent(const struct wp_player *player) WP_REALTIME;

/** Fills the next n_frames interleaved frames. */
WP_API void wp_player_render(struct wp_player *player, float *frames, size_t n_frames) WP_REALTIME;

/** What was played since the last look, full scale 1. */
struct wp_player_level {
    double peak;
    double rms;      /**< over all channels */
    uint64_t n_bent; /**< samples above WP_PLAYER_LINEAR */
};

/** The level since the last call. */
WP_API void wp_player_level(struct wp_player *player, struct wp_player_level *level) WP_REALTIME;

#endif
