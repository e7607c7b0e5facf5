/* SPDX-License-Identifier: MIT */
#ifndef WINDPEAL_OUTPUT_QUANTISER_H
#define WINDPEAL_OUTPUT_QUANTISER_H

#include <stddef.h>
#include <stdint.h>

#include "windpeal/attributes.h"

#include "base/random.h"

/*
 * Float samples to whole numbers with triangular dither: the sum of two uniform numbers, each one
 * step wide, makes mean and power of the rounding error independent of the signal (Lipshitz,
 * Wannamaker, Vanderkooy, "Quantization and dither: a theoretical survey", J. Audio Eng. Soc. 40,
 * 1992). The dither of a sample depends on seed and position only, so no split into blocks and no
 * thread changes it.
 */

struct wp_quantiser {
    double steps;                 /* steps of the whole numbers for a sample value of 1.0 */
    double full_scale;            /* steps from 0 to full scale */
    uint32_t key[2];              /* of the dither */
    uint64_t position;            /* samples so far */
    uint32_t words[WP_RUN_WORDS]; /* that dither the run of samples in which the position lies */
    uint64_t n_clipped; /* samples so far that did not fit; each was set to the nearest number */
};

/* n_bits 2 to 24; gain is a factor. */
void wp_quantiser_init(struct wp_quantiser *quantiser, int n_bits, double gain,
                       uint64_t seed) WP_REALTIME;

/* The next n samples. A sample that is not a number becomes 0 and counts as clipped. */
void wp_quantiser_apply(struct wp_quantiser *quantiser, const float *samples, int32_t *numbers,
                        size_t n) WP_REALTIME;

#endif
