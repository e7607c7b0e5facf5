/* SPDX-License-Identifier: MIT */
#ifndef WINDPEAL_SOUND_FILE_H
#define WINDPEAL_SOUND_FILE_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "windpeal/attributes.h"
#include "windpeal/status.h"

/*
 * Sound files, written under a temporary name and renamed when whole. The same frames, config and
 * seed give the same bytes, however the frames are split over calls.
 */

enum wp_sample_format { WP_PCM_16, WP_PCM_24, WP_FLOAT_32 };

struct wp_sound_file_config {
    const char *path; /**< .wav, .flac or .rf64; "-" writes WAV to standard output */
    int n_channels;
    int rate_hz;
    enum wp_sample_format format;
    uint64_t n_frames;    /**< most that will follow, exactly so for "-": decides on RF64, space */
    size_t n_companions;  /**< files like this one that will grow beside it: the disk must have room
                               for all of them */
    bool is_overwriting;  /**< else an existing path is WP_E_EXISTS */
    uint64_t dither_seed; /**< of the rounding to 16 or 24 bits; floats are not dithered */
    double gain_db;       /**< applied to every sample before rounding */
    const char *title;    /**< tags, copied; NULL: none */
    const char *date;     /**< RFC 3339, as a tag; never the clock's */
    const char *comment;
};

struct wp_sound_file;

/**
 * Looks for all that would keep wp_sound_file_create from opening the file; opens and changes
 * nothing.
 *
 * @return as wp_sound_file_create
 */
WP_API enum wp_status wp_sound_file_check(const struct wp_sound_file_config *config,
                                          struct wp_diags *diags);

/**
 * Opens PATH.part, writing over what an interrupted run left there.
 *
 * @param out  receives a heap object; NULL on failure. Free with wp_sound_file_destroy.
 * @return WP_OK, or with a finding in diags: WP_E_UNKNOWN_NAME (ending), WP_E_CONFLICT (format that
 *         the file cannot hold, standard output is a terminal), WP_E_RANGE (channels, rate),
 *         WP_E_EXISTS, WP_E_NO_SPACE (not enough for n_frames), WP_E_IO; without one
 *         WP_E_NO_MEMORY
 */
WP_API enum wp_status wp_sound_file_create(struct wp_sound_file **out,
                                           const struct wp_sound_file_config *config,
                                           struct wp_diags *diags);

/**
 * Appends interleaved frames; gain, dither and rounding happen here. WP_E_NO_SPACE or WP_E_IO, both
 * of which may concern frames of earlier calls, end the file: no later call writes any more. The
 * caller ignores SIGXFSZ.
 */
WP_API enum wp_status wp_sound_file_write(struct wp_sound_file *file, const float *frames,
                                          size_t n_frames);

/**
 * Brings everything to the disk, but does not give the file its name yet: of several files that
 * belong together none shall have its name before all are whole. Only wp_sound_file_commit and
 * wp_sound_file_destroy come after it. Returns what wp_sound_file_commit would.
 */
WP_API enum wp_status wp_sound_file_complete(struct wp_sound_file *file);

/**
 * Completes the file, if need be, and gives it its name; after a failed write it returns that
 * failure. WP_E_EXISTS when another file took the name in the meantime. The object stays to be
 * destroyed.
 */
WP_API enum wp_status wp_sound_file_commit(struct wp_sound_file *file);

/** Samples beyond full scale so far; floats keep their value, others the nearest number. */
WP_API uint64_t wp_sound_file_clipped(const struct wp_sound_file *file);

/**
 * Frees. Without a commit, on a full disk too, a playable PATH.part stays behind; only one without
 * any frame is removed. NULL is allowed.
 */
WP_API void wp_sound_file_destroy(struct wp_sound_file *file);

#endif
