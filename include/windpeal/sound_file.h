/* SPDX-License-Identifier: MIT */
#ifndef WINDPEAL_SOUND_FILE_H
#define WINDPEAL_SOUND_FILE_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "windpeal/attributes.h"
#include "windpeal/status.h"

/* Sound files, written under a temporary name and renamed when whole. */

enum wp_sample_format { WP_PCM_16, WP_PCM_24, WP_FLOAT_32 };

struct wp_sound_file_config {
    const char *path; /**< .wav, .flac or .rf64; "-" writes WAV to standard output */
    int n_channels;
    int rate_hz;
    enum wp_sample_format format;
    uint64_t n_frames;   /**< known beforehand: decides on RF64 and the space check */
    bool is_overwriting; /**< else an existing path is WP_E_EXISTS */
    uint64_t dither_seed;
    double gain_db;    /**< applied to every sample before rounding */
    const char *title; /**< tags; NULL: none */
    const char *date;
    const char *comment;
};

struct wp_sound_file;

/** Formats, rates and paths that cannot be written are findings in diags. NULL on failure. */
WP_API enum wp_status wp_sound_file_create(struct wp_sound_file **out,
                                           const struct wp_sound_file_config *config,
                                           struct wp_diags *diags);

/** Appends frames; gain, dither and rounding happen here. WP_E_NO_SPACE, WP_E_IO. */
WP_API enum wp_status wp_sound_file_write(struct wp_sound_file *file, const float *frames,
                                          size_t n_frames);

/** Completes the file and gives it its name. The object stays to be destroyed. */
WP_API enum wp_status wp_sound_file_commit(struct wp_sound_file *file);

/** Samples that did not fit into full scale so far. */
WP_API uint64_t wp_sound_file_clipped(const struct wp_sound_file *file);

/** Frees; without a commit a playable PATH.part stays behind. NULL is allowed. */
WP_API void wp_sound_file_destroy(struct wp_sound_file *file);

#endif
