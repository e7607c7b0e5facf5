/* SPDX-License-Identifier: MIT */
#ifndef TESTS_UNIT_SOUND_FILE_FIXTURE_H
#define TESTS_UNIT_SOUND_FILE_FIXTURE_H

/* A sound file's config and its frames. */

#include <math.h>
#include <stdlib.h>

#include "windpeal/sound_file.h"

enum { RATE = 48000, N_FRAMES = 30011 };

static inline struct wp_sound_file_config stereo_24(const char *path)
{
    return (struct wp_sound_file_config){
        .path = path,
        .n_channels = 2,
        .rate_hz = RATE,
        .format = WP_PCM_24,
        .n_frames = N_FRAMES,
        .dither_seed = 42,
        .title = "Orchard six",
        .date = "2026-04-11T14:00:00Z",
        .comment = "seed 42",
    };
}

/* Another tone in each channel, 0.8 of full scale. Heap; the caller frees. */
static inline float *make_tones(size_t n_frames, int n_channels)
{
    float *frames = malloc(n_frames * (size_t)n_channels * sizeof *frames);
    assert_non_null(frames);
    for (size_t i = 0; i < n_frames; i++) {
        for (int c = 0; c < n_channels; c++) {
            const double turns = (double)i * (211.0 + 97.0 * c) / RATE;
            frames[i * (size_t)n_channels + (size_t)c] =
                (float)(0.8 * sin(2.0 * acos(-1.0) * turns));
        }
    }
    return frames;
}

#endif
