/* SPDX-License-Identifier: MIT */
#ifndef WINDPEAL_BASE_SERIES_H
#define WINDPEAL_BASE_SERIES_H

/*
 * Exponentials, cosines and sines by their series, without branches: for loops over many of them,
 * which become vectors. Exponentials are good to 1e-12 of their size, cosines and sines to 1e-14;
 * where they must be good to the last bits there is base/exact.h. The bits are the same on every
 * machine where nothing is fused, as in the exact library.
 */

/* 1 / k!. */
static const double wp_series_over_factorial[] = {1.0,
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

/* exp(x) for x up to 0, and exp(-700) below -700: that of a 1024th by its series, squared ten
 * times.
 */
static inline double wp_series_exp(double x)
{
    const double *terms = wp_series_over_factorial;
    const double part = (x > -700.0 ? x : -700.0) / 1024.0;
    const double y = part * part;
    double even = terms[14];
    double odd = terms[15];
    for (int k = 12; k >= 0; k -= 2) {
        even = even * y + terms[k];
        odd = odd * y + terms[k + 1];
    }
    double size = even + part * odd;
    for (int k = 0; k < 10; k++) {
        size *= size;
    }
    return size;
}

/* An angle up to 6e6 either way less whole turns; 2 pi in two parts, the first of few enough digits
 * to be multiplied exactly by up to a million. */
static inline double wp_series_less_turns(double angle)
{
    const double turn = 0x1.921fb544p+2;
    const double turn_rest = 0x1.0b4611a626331p-32;
    const double rounder = 0x1.8p+52; /* added and taken off, it leaves a whole number */
    const double whole = (angle * (1.0 / (turn + turn_rest)) + rounder) - rounder;
    return (angle - whole * turn) - whole * turn_rest;
}

/* Cosine and sine of such an angle: those of its eighth by their series, whose terms left out are
 * below 1e-16, doubled three times. */
static inline void wp_series_circle(double angle, double *cosine, double *sine)
{
    const double *terms = wp_series_over_factorial;
    const double x = wp_series_less_turns(angle) / 8.0;
    const double y = x * x;
    double c = terms[12];
    double s = terms[13];
    for (int k = 10; k >= 0; k -= 2) {
        c = terms[k] - c * y;
        s = terms[k + 1] - s * y;
    }
    s *= x;
    for (int k = 0; k < 3; k++) {
        const double was = c;
        c = c * c - s * s;
        s = 2.0 * was * s;
    }
    *cosine = c;
    *sine = s;
}

#endif
