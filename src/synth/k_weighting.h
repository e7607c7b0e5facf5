/* SPDX-License-Identifier: MIT */
#ifndef WINDPEAL_SYNTH_K_WEIGHTING_H
#define WINDPEAL_SYNTH_K_WEIGHTING_H

#include "synth/biquad.h"

/*
 * Frequency weighting K of ITU-R BS.1770-4: a shelf of 4 dB above some 1.5 kHz for the head, and a
 * high pass at 38 Hz. The standard gives coefficients for 48 kHz; at other rates the filter keeps
 * its corner frequencies.
 */

enum { WP_K_SECTIONS = 2 };

void wp_k_weighting_design(struct wp_biquad sections[WP_K_SECTIONS], int rate_hz);

#endif
