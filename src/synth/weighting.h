/* SPDX-License-Identifier: MIT */
#ifndef WINDPEAL_SYNTH_WEIGHTING_H
#define WINDPEAL_SYNTH_WEIGHTING_H

#include <stddef.h>

#include "synth/a_weighting.h"
#include "synth/biquad.h"
#include "synth/k_weighting.h"

/*
 * Powers of sound weighted as the ear does, by A for sound levels and by K for loudness, in steps
 * of a few frames. Two channels under both weightings run side by side in one register.
 */

enum {
    WP_WEIGHTING_STEP = 10, /* frames; every rate of ours has a whole number of steps in 100 ms */
    WP_WEIGHTING_ROWS = WP_A_SECTIONS, /* K has fewer */
    WP_WEIGHTING_LANES = 4,            /* A left, A right, K left, K right */
};

struct wp_weighting {
    struct wp_biquad a[WP_A_SECTIONS]; /* b0 is taken out */
    struct wp_biquad k[WP_K_SECTIONS];
    double gain[2]; /* of A's power and of K's: the b0 */
    double memory[WP_WEIGHTING_ROWS][2][WP_WEIGHTING_LANES];
    double power[WP_WEIGHTING_LANES]; /* of the step begun */
    size_t n_in_step;
};

/* Sums over the frames of a step of weighted squares. */
struct wp_weighted {
    double a; /* mean of the channels */
    double k; /* sum of the channels */
};

/* Designs the filters for a sampling rate and empties their memories. */
void wp_weighting_init(struct wp_weighting *weighting, int rate_hz);

/*
 * Takes n_frames interleaved frames of n_channels, 1 or 2. steps has room for n_frames /
 * WP_WEIGHTING_STEP + 1; returns how many were completed.
 */
size_t wp_weighting_add(struct wp_weighting *weighting, const float *frames, size_t n_channels,
                        size_t n_frames, struct wp_weighted *steps);

#endif
