/* SPDX-License-Identifier: MIT */
#ifndef WINDPEAL_PEAL_AHEAD_H
#define WINDPEAL_PEAL_AHEAD_H

#include <stddef.h>

#include "synth/bank.h"
#include "synth/onset.h"
#include "windpeal/attributes.h"
#include "windpeal/status.h"

/*
 * The frames of contacts, which begin in one block and may last for several. A row is one track at
 * one ear; its frames count from the next block's start.
 */

/* Frames that a row takes from places up to two blocks after the next block's start. */
enum { WP_AHEAD_FRAMES = WP_ONSET_FRAMES_MAX + 2 * WP_BANK_BLOCK_MAX };

struct wp_ahead {
    size_t n_rows;
    size_t n_frames_max; /* of a row */
    size_t *n_frames;    /* of each row; all behind them are 0 */
    float *frames;       /* of all rows */
};

/* Silent rows for places that lie late_frames further on, too. WP_OK or WP_E_NO_MEMORY. */
enum wp_status wp_ahead_init(struct wp_ahead *ahead, size_t n_rows, size_t late_frames);

/* Frees the rows; a struct of zeros is allowed. */
void wp_ahead_finish(struct wp_ahead *ahead);

/* Adds frames from a place on; those before 0 are too late and are left out. */
void wp_ahead_add(struct wp_ahead *ahead, size_t row, double place, const float *frames,
                  size_t n_frames) WP_REALTIME;

/* Adds the next n_frames of a row to out and moves on by as many. */
void wp_ahead_take(struct wp_ahead *ahead, size_t row, float *out, size_t n_frames) WP_REALTIME;

#endif
