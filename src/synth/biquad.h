/* SPDX-License-Identifier: MIT */
#ifndef WINDPEAL_SYNTH_BIQUAD_H
#define WINDPEAL_SYNTH_BIQUAD_H

#include <stddef.h>

/* One second-order section of a digital filter, (b0 + b1 / z + b2 / z^2) / (1 + a1 / z + a2 / z^2).
 */
struct wp_biquad {
    double b[3];
    double a[2]; /* a1, a2 */
};

/* Gain of n sections in a row at freq_hz in dB: what they do to a steady tone. */
double wp_biquads_gain_db(const struct wp_biquad *sections, size_t n, int rate_hz, double freq_hz);

#endif
