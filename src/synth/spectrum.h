/* SPDX-License-Identifier: MIT */
#ifndef WINDPEAL_SYNTH_SPECTRUM_H
#define WINDPEAL_SYNTH_SPECTRUM_H

#include <stddef.h>
#include <stdint.h>

#include "windpeal/attributes.h"

#include "synth/tile.h"
#include "synth/transform.h"

/*
 * A block of decaying partials by way of its spectrum. Over a block a partial is z p^n with a
 * phasor z and a rotation p of one frame that never changes. Weighted with a smooth window it has
 * next to nothing in its spectrum but a few bins round its frequency, and those bins are z times
 * constants: so a partial costs eight complex multiply-adds a block, whatever the block's length,
 * and one inverse transform turns all partials of two outputs into frames, from which the window
 * is divided out again.
 *
 * The window is the transform of a Kaiser-Bessel function eight bins wide (Jackson, Meyer,
 * Nishimura, Macovski, "Selection of a convolution function for Fourier inversion using gridding",
 * IEEE Trans. Med. Imaging 10 (1991) 473; here used the other way round). The bins are not that
 * function's values but those with which the eight come closest to the partial in the block, decay
 * included: the transform is twice as long as the block, and what happens outside is free. That
 * leaves -138 dB of a steady partial, -133 dB at a T60 of 0.2 s and -121 dB at
 * WP_SPECTRUM_STEEPEST. Rounding in float adds some -130 dB of the sum.
 */

enum {
    WP_SPECTRUM_FRAMES = 1024, /* of a block; a multiple of two tiles */
    WP_SPECTRUM_BINS = 8,      /* of a partial */
    WP_SPECTRUM_GUARD = 8,     /* bins beyond 0 and half the rate */
    WP_SPECTRUM_SIZE = WP_TRANSFORM / 2 + 2 * WP_SPECTRUM_GUARD,
    WP_SPECTRUM_NODES = 48, /* moments of a block where bins are made to fit */
};

/* Partials that decay faster in a frame's logarithm are not for this: T60 of 0.1 s at 48 kHz. */
#define WP_SPECTRUM_STEEPEST 1.44e-3

/* What a phasor of 1 at the block's start adds to the spectrum. */
struct wp_bins {
    _Alignas(64) float re[WP_SPECTRUM_BINS];
    float im[WP_SPECTRUM_BINS];
};

/* What finds the bins of a partial. */
struct wp_bins_fit {
    double moment[WP_SPECTRUM_NODES];  /* frames from the block's middle */
    double weight[WP_SPECTRUM_NODES];  /* one over the window there */
    double turn_re[WP_SPECTRUM_NODES]; /* of one bin back */
    double turn_im[WP_SPECTRUM_NODES];
    double factor[WP_SPECTRUM_BINS][WP_SPECTRUM_BINS]; /* Cholesky's, of the normal equations */
};

void wp_bins_fit_init(struct wp_bins_fit *fit);

/* The bins of a partial, and *first, the place of the first of them in a spectrum. */
void wp_bins_init(struct wp_bins *bins, uint16_t *first, const struct wp_bins_fit *fit,
                  double log_re, double log_im);

/* One output's spectrum in the making: bin k is at place k + WP_SPECTRUM_GUARD. */
struct wp_spectrum {
    _Alignas(64) float re[WP_SPECTRUM_SIZE];
    float im[WP_SPECTRUM_SIZE];
};

/*
 * Adds the listed partials in their order to the spectra of n_outputs, which lie side by side like
 * their rows: partial m has the phasor m of a row, bins[m] and first[m]. A row's frames are
 * nobody's here.
 */
void wp_spectrum_add(struct wp_spectrum *spectra, size_t n_outputs, const struct wp_bins *bins,
                     const uint16_t *first, const uint16_t *partials, size_t n_partials,
                     const struct wp_tile_row *rows) WP_REALTIME;

/* What turns spectra into frames; shared by all outputs, used by one at a time. */
struct wp_spectrum_window {
    struct wp_transform transform;
    struct wp_points points;
    struct wp_points spare;
    float window[WP_SPECTRUM_FRAMES];   /* divides the window out */
    float unwanted[WP_SPECTRUM_FRAMES]; /* the output that is not asked for */
};

void wp_spectrum_window_init(struct wp_spectrum_window *window);

/* Adds the frames of two outputs, WP_SPECTRUM_FRAMES of each, unless they are NULL; empties the
 * spectra. */
void wp_spectrum_sound(struct wp_spectrum_window *window, struct wp_spectrum *left,
                       struct wp_spectrum *right, float *left_frames,
                       float *right_frames) WP_REALTIME;

#endif
