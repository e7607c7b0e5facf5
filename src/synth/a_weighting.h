/* SPDX-License-Identifier: MIT */
#ifndef WINDPEAL_SYNTH_A_WEIGHTING_H
#define WINDPEAL_SYNTH_A_WEIGHTING_H

#include "synth/biquad.h"

/*
 * Frequency weighting A of IEC 61672-1:2013 as a digital filter: 0 dB at 1 kHz, within 0.15 dB of
 * the standard's formula up to 12.5 kHz at 48 kHz, far inside the limits of class 1.
 */

enum { WP_A_SECTIONS = 3 };

void wp_a_weighting_design(struct wp_biquad sections[WP_A_SECTIONS], int rate_hz);

#endif
