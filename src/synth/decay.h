/* SPDX-License-Identifier: MIT */
#ifndef WINDPEAL_SYNTH_DECAY_H
#define WINDPEAL_SYNTH_DECAY_H

#include <stddef.h>

#include "windpeal/status.h"

#include "synth/phasors.h"
#include "synth/tile.h"

/*
 * How the partials of a voice go on from frame to frame: partial m turns by
 * exp(log_re[m] + i log_im[m]) a frame. There is room for silent ones behind the real.
 */
struct wp_decay {
    size_t n; /* real partials */
    double log_re[WP_PHASORS_MAX];
    double log_im[WP_PHASORS_MAX];
    struct wp_phasors tile;        /* turn of WP_TILE frames */
    struct wp_phasors block;       /* turn of a bank's block */
    struct wp_tile_powers *powers; /* those of silent partials are 0 */
};

/* Room for n partials and n_silent behind them, and their powers zero. WP_OK or WP_E_NO_MEMORY;
 * finish it in either case. */
enum wp_status wp_decay_init(struct wp_decay *decay, size_t n, size_t n_silent);

/* Frees. */
void wp_decay_finish(struct wp_decay *decay);

/* Decay log_re and angle log_im of one frame for partial m, in a bank with so long a block. */
void wp_decay_tune(struct wp_decay *decay, size_t m, double log_re, double log_im, size_t block);

/* Makes decay the same as own but faster, by added_per_frame[m] in the logarithm; added is n. */
void wp_decay_damp(struct wp_decay *decay, const struct wp_decay *own,
                   const double *added_per_frame, size_t block) WP_REALTIME;

/* The turn of n_frames. */
void wp_decay_turn(const struct wp_decay *decay, double n_frames,
                   struct wp_phasors *turn) WP_REALTIME;

#endif
