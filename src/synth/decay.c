/* SPDX-License-Identifier: MIT */
/* Keeps what a voice's partials turn by in a frame, a tile and a block. */

#include "synth/decay.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

enum wp_status wp_decay_init(struct wp_decay *decay, size_t n, size_t n_silent)
{
    const size_t size = (n + n_silent) * sizeof *decay->powers;
    decay->n = n;
    decay->powers = aligned_alloc(64, size);
    if (!decay->powers) {
        return WP_E_NO_MEMORY;
    }
    memset(decay->powers, 0, size);
    return WP_OK;
}

void wp_decay_finish(struct wp_decay *decay)
{
    free(decay->powers);
    decay->powers = NULL;
}

void wp_decay_tune(struct wp_decay *decay, size_t m, double log_re, double log_im, size_t block)
{
    const double n = (double)block;
    decay->log_re[m] = log_re;
    decay->log_im[m] = log_im;
    decay->tile.re[m] = exp(log_re * WP_TILE) * cos(log_im * WP_TILE);
    decay->tile.im[m] = exp(log_re * WP_TILE) * sin(log_im * WP_TILE);
    decay->block.re[m] = exp(log_re * n) * cos(log_im * n);
    decay->block.im[m] = exp(log_re * n) * sin(log_im * n);
    wp_tile_powers_init(&decay->powers[m], log_re, log_im);
}

void wp_decay_damp(struct wp_decay *decay, const struct wp_decay *own,
                   const double *added_per_frame, size_t block)
{
    for (size_t m = 0; m < own->n; m++) {
        const double added = added_per_frame[m];
        const double a_frame = exp(-added);
        const double a_tile = exp(-added * WP_TILE);
        const double a_block = exp(-added * (double)block);
        const struct wp_tile_powers *from = &own->powers[m];
        decay->log_re[m] = own->log_re[m] - added;
        decay->log_im[m] = own->log_im[m];
        decay->tile.re[m] = own->tile.re[m] * a_tile;
        decay->tile.im[m] = own->tile.im[m] * a_tile;
        decay->block.re[m] = own->block.re[m] * a_block;
        decay->block.im[m] = own->block.im[m] * a_block;
        double size = 1.0;
        for (size_t k = 0; k < WP_TILE; k++) {
            decay->powers[m].re[k] = from->re[k] * (float)size;
            decay->powers[m].im[k] = from->im[k] * (float)size;
            size *= a_frame;
        }
    }
}

void wp_decay_turn(const struct wp_decay *decay, double n_frames, struct wp_phasors *turn)
{
    wp_phasors_turn(turn, decay->log_re, decay->log_im, n_frames, decay->n);
}
