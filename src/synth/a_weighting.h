/* SPDX-License-Identifier: MIT */
#ifndef WINDPEAL_SYNTH_A_WEIGHTING_H
#define WINDPEAL_SYNTH_A_WEIGHTING_H

#include <stddef.h>

/*
 * Frequency weighting A of IEC 61672-1:2013 as a digital filter: 0 dB at 1 kHz, within 0.15 dB of
 * the standard's formula up to 12.5 kHz at 48 kHz, far inside the limits of class 1.
 */

enum { WP_A_SECTIONS = 3, WP_A_LANES = 2 };

/* One second-order section. */
struct wp_a_section {
    double b[3];
    double a[2]; /* a0 is 1 */
};

/* The filter, and its memory for two channels (transposed direct form 2). */
struct wp_a_weighting {
    struct wp_a_section sections[WP_A_SECTIONS];
    double state[WP_A_SECTIONS][2][WP_A_LANES];
};

/* Designs the filter for a sampling rate and empties its memory. */
void wp_a_weighting_init(struct wp_a_weighting *filter, int rate_hz);

/* Weighted power of n_frames interleaved frames: the mean of the squares of n_channels, 1 or 2. */
void wp_a_weighting_power(struct wp_a_weighting *filter, const float *frames, size_t n_channels,
                          double *power, size_t n_frames);

/* Gain at freq_hz in dB: what the filter does to a steady tone. */
double wp_a_weighting_gain_db(const struct wp_a_weighting *filter, int rate_hz, double freq_hz);

#endif
