/* SPDX-License-Identifier: MIT */
/* Turns many phasors at once, in loops that vectorise. */

#include "synth/phasors.h"

#include <math.h>
#include <stdint.h>

#include "base/clones.h"

/*
 * Terms of the exponential's series, and how often its argument is halved before and its value
 * squared after: at most pi / 16, so the terms left out are below 1e-15.
 */
enum { TERMS = 10, HALVINGS = 4 };

/* out = exp(share (log_re + i log_im)), share from 0 to 1. */
WP_CLONED
static void exponentials(struct wp_phasors *restrict out, const double *restrict log_re,
                         const double *restrict log_im, double share, size_t n)
{
    const double scale = share / (1 << HALVINGS);
    for (size_t m = 0; m < n; m++) {
        const double w_re = log_re[m] * scale;
        const double w_im = log_im[m] * scale;
        double re = 1.0;
        double im = 0.0;
        for (int k = TERMS; k > 0; k--) {
            const double by = 1.0 / k;
            const double was_re = re;
            re = 1.0 + (w_re * re - w_im * im) * by;
            im = (w_re * im + w_im * was_re) * by;
        }
        for (int k = 0; k < HALVINGS; k++) {
            const double was_re = re;
            re = re * re - im * im;
            im = 2.0 * was_re * im;
        }
        out->re[m] = re;
        out->im[m] = im;
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

WP_CLONED
static void square(struct wp_phasors *base, size_t n)
{
    for (size_t m = 0; m < n; m++) {
        const double re = base->re[m];
        base->re[m] = re * re - base->im[m] * base->im[m];
        base->im[m] = 2.0 * re * base->im[m];
    }
}

/* exp(share (log_re + i log_im)), share below 1. */
static void turn_part(struct wp_phasors *turn, const double *log_re, const double *log_im,
                      double share, size_t n)
{
    if (share > 0.0) {
        exponentials(turn, log_re, log_im, share, n);
        return;
    }
    for (size_t m = 0; m < n; m++) {
        turn->re[m] = 1.0;
        turn->im[m] = 0.0;
    }
}

/* turn *= base^whole, by squaring base. */
static void turn_whole(struct wp_phasors *turn, struct wp_phasors *base, double whole, size_t n)
{
    for (uint64_t left = (uint64_t)whole; left > 0; left /= 2) {
        if (left % 2 != 0) {
            wp_phasors_multiply(turn, base, n);
        }
        if (left > 1) {
            square(base, n);
        }
    }
}

void wp_phasors_turn(struct wp_phasors *turn, const double *log_re, const double *log_im,
                     double n_frames, size_t n)
{
    struct wp_phasors base;
    const double whole = floor(n_frames);
    turn_part(turn, log_re, log_im, n_frames - whole, n);
    if (whole >= 1.0) {
        exponentials(&base, log_re, log_im, 1.0, n);
        turn_whole(turn, &base, whole, n);
    }
}

void wp_phasors_turn_on(struct wp_phasors *turn, const struct wp_phasors *frame,
                        const double *log_re, const double *log_im, double n_frames, size_t n)
{
    const double whole = floor(n_frames);
    turn_part(turn, log_re, log_im, n_frames - whole, n);
    if (whole >= 1.0) {
        struct wp_phasors base = *frame;
        turn_whole(turn, &base, whole, n);
    }
}
