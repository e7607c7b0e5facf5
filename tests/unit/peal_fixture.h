/* SPDX-License-Identifier: MIT */
#ifndef TESTS_UNIT_PEAL_FIXTURE_H
#define TESTS_UNIT_PEAL_FIXTURE_H

/* Peals of a small set, which a test program has one of. */

#include "../small_set.h"

#include <stdlib.h>

#include "windpeal/peal.h"

static struct small_set small;

/* A group's set-up: three tubes as they are. */
static inline int small_set_prepare(void **state)
{
    (void)state;
    small_set_describe(&small.set, 3);
    small_set_solve(&small);
    return 0;
}

/* A group's tear-down. */
static inline int small_set_leave(void **state)
{
    (void)state;
    small_set_finish(&small);
    return 0;
}

/* A peal of 10 s; the caller's config need not name set, chime and duration. */
static inline struct wp_peal *small_set_peal(const struct wp_peal_config *wanted)
{
    struct wp_peal_config config = *wanted;
    struct wp_peal *peal;
    config.set = &small.set;
    config.chime = small.chime;
    config.duration_s = 10.0;
    assert_int_equal(wp_peal_create(&peal, &config, NULL), WP_OK);
    return peal;
}

/* Its first frames, rendered piece by piece; to be freed. */
static inline float *small_set_frames(const struct wp_peal_config *wanted, size_t n_frames,
                                      size_t piece)
{
    struct wp_peal *peal = small_set_peal(wanted);
    const size_t n_channels = (size_t)wp_peal_channels(peal);
    float *frames = calloc(n_frames * n_channels, sizeof *frames);
    assert_non_null(frames);
    for (size_t done = 0; done < n_frames; done += piece) {
        const size_t n = n_frames - done < piece ? n_frames - done : piece;
        wp_peal_render(peal, frames + done * n_channels, n);
    }
    wp_peal_destroy(peal);
    return frames;
}

#endif
