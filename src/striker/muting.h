/* SPDX-License-Identifier: MIT */
#ifndef WINDPEAL_STRIKER_MUTING_H
#define WINDPEAL_STRIKER_MUTING_H

#include <stddef.h>

#include "windpeal/attributes.h"
#include "windpeal/contact.h"
#include "windpeal/tube.h"

/*
 * What a striker takes away from a tube that rings already, partial by partial, for a partial that
 * moves along the line of the contact. An ideal contact takes nothing.
 */

enum {
    /* Of a contact: a partial's energy is good to 0.5 dB; with twice as many, to 0.1 dB. */
    WP_MUTING_CELLS_MAX = 24,
    WP_MUTING_LANES = 8,
    WP_MUTING_ROW_MAX = WP_PARTIALS_MAX + WP_MUTING_LANES,
};

/* A partial in a contact; mobility is W^2 / M at the struck point. */
struct wp_ringing {
    size_t index;
    double omega;
    double mobility_kg;
};

/*
 * The partials that are followed through the contact, side by side, each ringing with amplitude 1:
 * with z the phasor of its displacement the force changes by Re(f z*). The blow begins where the
 * striker meets the tube's surface, so only what that moves from there on counts; that it meets a
 * tube which rings a little earlier or later is nobody's loss. Room for wp_muting_blow alone: too
 * much for the stack of a thread that plays.
 */
struct wp_muting_work {
    size_t n; /* with silent ones at the end: a multiple of WP_MUTING_LANES */
    size_t n_real;
    struct wp_ringing partials[WP_PARTIALS_MAX];
    double cos_cell[WP_MUTING_ROW_MAX]; /* the phasor's turn by a cell */
    double sin_cell[WP_MUTING_ROW_MAX];
    double cos_touch[WP_MUTING_ROW_MAX]; /* the phasor at the touch, 1 in the first cell */
    double sin_touch[WP_MUTING_ROW_MAX];
    double gives_s_kg[WP_MUTING_ROW_MAX];  /* displacement by an impulse: this times the sine */
    double straight_re[WP_MUTING_ROW_MAX]; /* sums of f z* over the cells */
    double straight_im[WP_MUTING_ROW_MAX];
    double turned_re[WP_MUTING_ROW_MAX]; /* sums of f* z* */
    double turned_im[WP_MUTING_ROW_MAX];
};

/*
 * The share of its energy that a blow leaves to each partial that rings, 0 to 1, the mean over its
 * phase. What the blow itself makes ring comes on top.
 *
 * work  any contents
 * kept  out: tube->n_partials values
 */
void wp_muting_blow(const struct wp_contact *contact, const struct wp_striker *striker,
                    const struct wp_tube *tube, double height_m, struct wp_muting_work *work,
                    double *kept) WP_REALTIME;

/*
 * The decay that a striker which rests on the tube adds to each partial, in 1/s of its amplitude,
 * never negative and never above the critical one.
 *
 * force_n      > 0, with which the striker leans
 * added_per_s  out: tube->n_partials values
 */
void wp_muting_rest(const struct wp_striker *striker, const struct wp_tube *tube, double height_m,
                    double force_n, double *added_per_s) WP_REALTIME;

/*
 * A typical force of leaning: three tenths of the striker's weight. An estimate: in the wind, on
 * tubes held rigid, the mean force of the presets' sails was 0.03 to 4 weights.
 */
double wp_muting_force(const struct wp_striker *striker) WP_REALTIME;

#endif
