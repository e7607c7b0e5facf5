/* SPDX-License-Identifier: MIT */
/* Turns many phasors at once, in loops that vectorise. */

#include "synth/phasors.h"

#include <math.h>
#include <stdint.h>

#include "base/clones.h"

/* 1 / k!. */
static const double over_factorial[] = {1.0,
                                        1.0,
                                        1.0 / 2.0,
                                        1.0 / 6.0,
                                        1.0 / 24.0,
                                        1.0 / 120.0,
                                        1.0 / 720.0,
                                        1.0 / 5040.0,
                                        1.0 / 40320.0,
                                        1.0 / 362880.0,
                                        1.0 / 3628800.0,
                                        1.0 / 39916800.0,
                                        1.0 / 479001600.0,
                                        1.0 / 6227020800.0,
                                        1.0 / 87178291200.0,
                                        1.0 / 1307674368000.0};

/* exp(x) for x from -700 to 0: that of a 1024th by its series, squared ten times. */
static inline double shrink(double x)
{
    const double part = x / 1024.0;
    const double y = part * part;
    double even = over_factorial[14];
    double odd = over_factorial[15];
    for (int k = 12; k >= 0; k -= 2) {
        even = even * y + over_factorial[k];
        odd = odd * y + over_factorial[k + 1];
    }
    double size = even + part * odd;
    for (int k = 0; k < 10; k++) {
        size *= size;
    }
    return size;
}

/* The angle less whole turns; 2 pi in two parts, the first of few enough digits to be multiplied
 * exactly by up to a million. */
static inline double less_turns(double angle)
{
    static const double turn = 0x1.921fb544p+2;
    static const double turn_rest = 0x1.0b4611a626331p-32;
    static const double rounder = 0x1.8p+52; /* added and taken off, it leaves a whole number */
    const double whole = (angle * (1.0 / (turn + turn_rest)) + rounder) - rounder;
    return (angle - whole * turn) - whole * turn_rest;
}

/* Cosine and sine by the series of an eighth of the angle, whose terms left out are below 1e-16.
 * Least sizes come first: the same loop would not become vectors with that branch in it. */
WP_CLONED
void wp_phasors_turn(struct wp_phasors *restrict turn, const double *restrict log_re,
                     const double *restrict log_im, double n_frames, size_t n)
{
    static const double least = -700.0;
    for (size_t m = 0; m < n; m++) {
        const double x = log_re[m] * n_frames;
        turn->re[m] = x > least ? x : least;
    }
    for (size_t m = 0; m < n; m++) {
        const double x = less_turns(log_im[m] * n_frames) / 8.0;
        const double y = x * x;
        double re = over_factorial[12];
        double im = over_factorial[13];
        for (int k = 10; k >= 0; k -= 2) {
            re = over_factorial[k] - re * y;
            im = over_factorial[k + 1] - im * y;
        }
        im *= x;
        for (int k = 0; k < 3; k++) {
            const double was_re = re;
            re = re * re - im * im;
            im = 2.0 * was_re * im;
        }
        const double size = shrink(turn->re[m]);
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

/* By the larger part first: the square of a turn may pass the range of numbers. What is gone is
 * divided by 1 instead of by nothing: branches would keep the loop from becoming vectors. */
WP_CLONED
void wp_phasors_turn_back(struct wp_phasors *restrict earlier,
                          const struct wp_phasors *restrict state,
                          const struct wp_phasors *restrict turn, size_t n)
{
    for (size_t m = 0; m < n; m++) {
        const double size_re = fabs(turn->re[m]);
        const double size_im = fabs(turn->im[m]);
        const double size = size_re > size_im ? size_re : size_im;
        const double gone = size > VANISHED ? 0.0 : 1.0;
        const double scale = (1.0 - gone) / (size + gone);
        const double re = turn->re[m] * scale;
        const double im = turn->im[m] * scale;
        const double by = scale / (re * re + im * im + gone);
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
