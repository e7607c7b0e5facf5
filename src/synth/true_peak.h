/* SPDX-License-Identifier: MIT */
#ifndef WINDPEAL_SYNTH_TRUE_PEAK_H
#define WINDPEAL_SYNTH_TRUE_PEAK_H

#include <stddef.h>

#include "windpeal/status.h"

/*
 * True peak (ITU-R BS.1770-4, annex 2): the highest value of the samples and between them, at four
 * times the rate below 96 kHz and at twice the rate from there on. Where the samples are so low
 * that no value between them can be a new peak, none is looked for.
 */

struct wp_true_peak;

/* WP_OK or WP_E_NO_MEMORY. */
enum wp_status wp_true_peak_create(struct wp_true_peak **out, size_t n_channels, int rate_hz);

/* Frees; NULL is allowed. */
void wp_true_peak_destroy(struct wp_true_peak *peak);

/* Takes n_frames interleaved frames. */
void wp_true_peak_add(struct wp_true_peak *peak, const float *frames, size_t n_frames);

/* Highest of all channels so far, as if silence followed; linear, 0 for silence. */
double wp_true_peak_value(struct wp_true_peak *peak);

#endif
