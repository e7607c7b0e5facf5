/* SPDX-License-Identifier: MIT */
/* Adds decaying partials to spectra of whole blocks and turns those into frames. */

#include "synth/spectrum.h"

#include <complex.h>
#include <math.h>
#include <string.h>

#include "base/clones.h"

enum { N = WP_TRANSFORM, HALF = WP_TRANSFORM / 2, GUARD = WP_SPECTRUM_GUARD };

/*
 * Shape of the Kaiser-Bessel function. J. Jackson's optimum pi J (1 - 1 / (2 N / frames)) for J
 * bins, less 1 %, where the worst error over all places between two bins was found least.
 */
static const double BETA = 0.99 * M_PI * WP_SPECTRUM_BINS * (1.0 - 0.5 * WP_SPECTRUM_FRAMES / N);

/* I0(sqrt(4 q)) by its power series (Abramowitz & Stegun 9.6.12); |4 q| up to BETA^2. */
static double complex bessel_i0(double complex q)
{
    double complex sum = 1.0;
    double complex term = 1.0;
    for (int k = 1; k < 60; k++) {
        term *= q / ((double)k * k);
        sum += term;
    }
    return sum;
}

/* The Kaiser-Bessel function, 1 at its middle, WP_SPECTRUM_BINS wide. */
static double complex kaiser_bessel(double complex x)
{
    const double complex y = x / (0.5 * WP_SPECTRUM_BINS);
    const double quarter = 0.25 * BETA * BETA;
    return bessel_i0(quarter * (1.0 - y * y)) / creal(bessel_i0(quarter));
}

/* Its transform at t frames from the block's middle. */
static double window_at(double t)
{
    const double turn = M_PI * WP_SPECTRUM_BINS * t / N;
    const double a = sqrt(BETA * BETA - turn * turn);
    return WP_SPECTRUM_BINS * sinh(a) / (a * creal(bessel_i0(0.25 * BETA * BETA)));
}

/* CMPLX of C11, which clang 14 does not have with every C library. */
static inline double complex cartesian(double re, double im)
{
    return re + im * (double complex)I;
}

void wp_bins_init(struct wp_bins *bins, uint16_t *first, double log_re, double log_im)
{
    /* exp(2 pi i place n / N) is the rotation of n frames. */
    const double complex place = cartesian(log_im, -log_re) * N / (2.0 * M_PI);
    const double lowest = ceil(creal(place) - 0.5 * WP_SPECTRUM_BINS);
    /* From the block's start to its middle, which the transform has at point N / 2; and since the
     * frames are the imaginary part of the sum, a half of it over i, the other half being added
     * with the negative frequencies. */
    const double complex middle =
        cexp(cartesian(log_re, log_im) * 0.5 * WP_SPECTRUM_FRAMES) * cartesian(0.0, -0.5);
    for (int j = 0; j < WP_SPECTRUM_BINS; j++) {
        const double bin = lowest + j;
        const double sign = fmod(bin, 2.0) == 0.0 ? 1.0 : -1.0;
        const double complex value = sign * middle * kaiser_bessel(bin - place);
        bins->real[2 * j] = (float)creal(value);
        bins->real[2 * j + 1] = (float)cimag(value);
        bins->imaginary[2 * j] = (float)-cimag(value);
        bins->imaginary[2 * j + 1] = (float)creal(value);
    }
    *first = (uint16_t)(lowest + GUARD);
}

WP_CLONED
void wp_spectrum_add(struct wp_spectrum *restrict spectrum, const struct wp_bins *restrict bins,
                     const uint16_t *restrict first, const uint16_t *restrict partials,
                     size_t n_partials, const float *restrict re, const float *restrict im)
{
    for (size_t i = 0; i < n_partials; i++) {
        const size_t m = partials[i];
        float *sum = &spectrum->bins[2 * (size_t)first[m]];
        for (int j = 0; j < 2 * WP_SPECTRUM_BINS; j++) {
            sum[j] += re[i] * bins[m].real[j] + im[i] * bins[m].imaginary[j];
        }
    }
}

void wp_spectrum_window_init(struct wp_spectrum_window *window)
{
    memset(window->unwanted, 0, sizeof window->unwanted);
    wp_transform_init(&window->transform);
    for (int n = 0; n < WP_SPECTRUM_FRAMES; n++) {
        window->window[n] = (float)(1.0 / window_at(n - 0.5 * WP_SPECTRUM_FRAMES));
    }
}

/* Frames are real, so what lies beyond 0 and half the rate comes back mirrored. */
static void mirror(struct wp_spectrum *spectrum)
{
    float *low = &spectrum->bins[2 * (size_t)GUARD];
    float *high = &spectrum->bins[2 * (size_t)(GUARD + HALF)];
    for (int k = 0; k < GUARD; k++) {
        low[2 * k] += low[-2 * k];
        low[2 * k + 1] -= k == 0 ? low[1] : low[-2 * k + 1];
        high[-2 * k] += high[2 * k];
        high[-2 * k + 1] -= k == 0 ? high[1] : high[2 * k + 1];
    }
}

/* One transform for two real outputs: the left in its real part, the right in its imaginary. */
WP_CLONED
static void join(const struct wp_spectrum *restrict left, const struct wp_spectrum *restrict right,
                 struct wp_points *restrict points)
{
    const float *l = &left->bins[2 * (size_t)GUARD];
    const float *r = &right->bins[2 * (size_t)GUARD];
    for (size_t k = 0; k < HALF; k++) {
        points->re[k] = l[2 * k] - r[2 * k + 1];
        points->im[k] = l[2 * k + 1] + r[2 * k];
    }
    for (size_t k = 1; k <= HALF; k++) {
        points->re[N - k] = l[2 * k] + r[2 * k + 1];
        points->im[N - k] = r[2 * k] - l[2 * k + 1];
    }
}

void wp_spectrum_sound(struct wp_spectrum_window *window, struct wp_spectrum *left,
                       struct wp_spectrum *right, float *left_frames, float *right_frames)
{
    mirror(left);
    mirror(right);
    join(left, right, &window->points);
    wp_transform_run(&window->transform, &window->points, &window->spare);
    wp_transform_middle(&window->spare, window->window, WP_SPECTRUM_FRAMES / 2,
                        left_frames ? left_frames : window->unwanted,
                        right_frames ? right_frames : window->unwanted);
    memset(left, 0, sizeof *left);
    memset(right, 0, sizeof *right);
}
