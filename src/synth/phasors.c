/* SPDX-License-Identifier: MIT */
/* Turns many phasors at once, in loops that vectorise. */

#include "synth/phasors.h"

#include <math.h>
#include <stdint.h>

#include "base/clones.h"
#include "base/series.h"

WP_CLONED
void wp_phasors_turn(struct wp_phasors *restrict turn, const double *restrict log_re,
                     const double *restrict log_im, double n_frames, size_t n)
{
    for (size_t m = 0; m < n && !log_re; m++) {
        wp_series_circle(log_im[m] * n_frames, &turn->re[m], &turn->im[m]);
    }
    for (size_t m = 0; m < n && log_re; m++) {
        double re;
        double im;
        const double size = wp_series_exp(log_re[m] * n_frames);
        wp_series_circle(log_im[m] * n_frames, &re, &im);
        turn->re[m] = size * re;
        turn->im[m] = size * im;
    }
}

WP_CLONED
size_t wp_phasors_power(double *restrict power, const struct wp_phasors *restrict states,
                        size_t n_states, double least, size_t n)
{
    uint64_t n_loud = 0;
    for (size_t m = 0; m < n; m++) {
        power[m] = states->re[m] * states->re[m] + states->im[m] * states->im[m];
    }
    for (const struct wp_phasors *state = states + 1; state < states + n_states; state++) {
        for (size_t m = 0; m < n; m++) {
            power[m] += state->re[m] * state->re[m] + state->im[m] * state->im[m];
        }
    }
    for (size_t m = 0; m < n; m++) {
        n_loud += power[m] >= least;
    }
    return n_loud;
}

WP_CLONED
void wp_phasors_multiply(struct wp_phasors *restrict state, const struct wp_phasors *restrict turn,
                         size_t n)
{
    for (size_t m = 0; m < n; m++) {
        const double re = state->re[m];
        const double im = state->im[m];
        state->re[m] = re * turn->re[m] - im * turn->im[m];
        state->im[m] = re * turn->im[m] + im * turn->re[m];
    }
}

/* Below 1e-307 numbers lose digits. */
static const double VANISHED = 1e-300;

/* By the larger part first: the square of a turn may pass the range of numbers. */
WP_CLONED
void wp_phasors_turn_back(struct wp_phasors *restrict earlier,
                          const struct wp_phasors *restrict state,
                          const struct wp_phasors *restrict turn, size_t n)
{
    for (size_t m = 0; m < n; m++) {
        const double size_re = fabs(turn->re[m]);
        const double size_im = fabs(turn->im[m]);
        const double size = size_re > size_im ? size_re : size_im;
        const double scale = size > VANISHED ? 1.0 / size : 0.0;
        const double re = turn->re[m] * scale;
        const double im = turn->im[m] * scale;
        const double square = re * re + im * im;
        const double by = square > 0.0 ? scale / square : 0.0;
        earlier->re[m] = (state->re[m] * re + state->im[m] * im) * by;
        earlier->im[m] = (state->im[m] * re - state->re[m] * im) * by;
    }
}

WP_CLONED
void wp_phasors_add_turned(struct wp_phasors *restrict state,
                           const struct wp_phasors *restrict added,
                           const struct wp_phasors *restrict turn, size_t n)
{
    for (size_t m = 0; m < n; m++) {
        state->re[m] += added->re[m] * turn->re[m] - added->im[m] * turn->im[m];
        state->im[m] += added->re[m] * turn->im[m] + added->im[m] * turn->re[m];
    }
}
