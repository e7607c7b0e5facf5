/* SPDX-License-Identifier: MIT */
#ifndef WINDPEAL_SYNTH_PHASORS_H
#define WINDPEAL_SYNTH_PHASORS_H

#include <stddef.h>

#include "windpeal/attributes.h"

/*
 * Complex numbers side by side, one a partial: states of a voice, or what a time turns them by. A
 * state's imaginary part is what sounds.
 */

enum { WP_PHASORS_MAX = 200 };

struct wp_phasors {
    double re[WP_PHASORS_MAX];
    double im[WP_PHASORS_MAX];
};

/*
 * turn = exp(n_frames (log_re + i log_im)), to 1e-12 of its size for 1000 frames.
 *
 * log_re    n decays of one frame; NULL: none
 * log_im    n angles of one frame, up to pi either way
 * n_frames  any fraction up to 1e6 either way, log_re times it not above 0
 */
void wp_phasors_turn(struct wp_phasors *turn, const double *log_re, const double *log_im,
                     double n_frames, size_t n) WP_REALTIME;

/* power[m] = the sum of |state[m]|^2 over n_states, n of them; returns how many are not below
 * least, those that are no numbers not counted. */
size_t wp_phasors_power(double *power, const struct wp_phasors *states, size_t n_states,
                        double least, size_t n) WP_REALTIME;

/* state *= turn, n of them. */
void wp_phasors_multiply(struct wp_phasors *state, const struct wp_phasors *turn,
                         size_t n) WP_REALTIME;

/*
 * earlier = state / turn, n of them: the state before it was turned. What has fallen by more than
 * 6000 dB meanwhile cannot be told any more and counts as silent.
 */
void wp_phasors_turn_back(struct wp_phasors *earlier, const struct wp_phasors *state,
                          const struct wp_phasors *turn, size_t n) WP_REALTIME;

/* state += added * turn, n of them. */
void wp_phasors_add_turned(struct wp_phasors *state, const struct wp_phasors *added,
                           const struct wp_phasors *turn, size_t n) WP_REALTIME;

#endif
