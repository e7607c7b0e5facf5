/* SPDX-License-Identifier: MIT */
#ifndef WINDPEAL_SYNTH_TILE_H
#define WINDPEAL_SYNTH_TILE_H

#include <stddef.h>
#include <stdint.h>

#include "windpeal/attributes.h"

#include "synth/phasors.h"

/*
 * The inner product of the resonator bank. A decaying partial over one tile of frames is
 * Im(z p^k), k = 0 .. WP_TILE - 1, with the phasor z at the tile's first frame and the rotation p
 * of one frame, decay included. The powers p^k are computed once, in double, and kept as floats; z
 * is carried from tile to tile in double. So the float error of a sample does not grow with time,
 * and the work is a product of two small matrices that compilers vectorise: two multiply-adds for
 * a frame of a partial.
 */

enum { WP_TILE = 64 };

/* p^k of one partial. */
struct wp_tile_powers {
    float re[WP_TILE];
    float im[WP_TILE];
};

/* WP_TILE frames of one output, and the phasors at the first of them. */
struct wp_tile_row {
    float *out; /* WP_TILE frames are added to; need not be aligned */
    float re[WP_PHASORS_MAX];
    float im[WP_PHASORS_MAX];
};

/* Powers of exp(log_re + i log_im), the decay and rotation of one frame. */
void wp_tile_powers_init(struct wp_tile_powers *powers, double log_re, double log_im);

/* Writes state to row as floats, then advances it by one tile: state *= turn. */
void wp_tile_step(struct wp_phasors *state, const struct wp_phasors *turn, struct wp_tile_row *row,
                  size_t n_partials) WP_REALTIME;

/*
 * Adds partials to every row in their order: row.out[k] += Im(z p^k). Entry i of a row's phasors
 * belongs to powers[partials[i]]; n_partials and n_rows are even. The outputs of rows 0 and 1, 2
 * and 3, ... must not overlap.
 */
void wp_tile_add(const struct wp_tile_powers *powers, const uint16_t *partials, size_t n_partials,
                 const struct wp_tile_row *rows, size_t n_rows) WP_REALTIME;

#endif
