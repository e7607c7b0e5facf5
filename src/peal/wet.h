/* SPDX-License-Identifier: MIT */
#ifndef WINDPEAL_PEAL_WET_H
#define WINDPEAL_PEAL_WET_H

#include <stdbool.h>
#include <stddef.h>

#include "synth/convolver.h"
#include "synth/hall.h"
#include "windpeal/attributes.h"
#include "windpeal/set.h"
#include "windpeal/status.h"

/*
 * Tracks in a room. The room's answer takes many of the bank's blocks at a time, since long
 * convolutions cost less; this is where they are gathered. Without a room there is nothing to
 * gather.
 */

struct wp_wet {
    size_t n_tracks; /* 0: no room */
    size_t n_ears;
    size_t block;    /* of the convolution */
    size_t n_frames; /* gathered at a time: whole blocks of both */
    float *frames;   /* of each track: its ears, and behind them its feed */
    struct wp_convolver *convolvers[WP_TUBES_MAX];
};

/*
 * block     frames of the bank's blocks; with is_prompt a power of two
 * is_prompt gathers no more than a block, whatever it costs: for live sound
 * returns WP_OK or WP_E_NO_MEMORY; to be finished in either case
 */
enum wp_status wp_wet_init(struct wp_wet *wet, const struct wp_hall *hall, size_t n_tracks,
                           size_t n_ears, size_t block, bool is_prompt);

/* Frees what init made; a struct of zeros is allowed. */
void wp_wet_finish(struct wp_wet *wet);

/* The gathered frames of a track at an ear or, behind the ears, of its feed. */
float *wp_wet_frames(struct wp_wet *wet, size_t track, size_t output) WP_REALTIME;

/* Adds the room's answer to the ears of all tracks, once all frames are gathered. */
void wp_wet_answer(struct wp_wet *wet) WP_REALTIME;

#endif
