/* SPDX-License-Identifier: MIT */
/* Adds decaying partials to spectra of whole blocks and turns those into frames. */

#include "synth/spectrum.h"

#include <complex.h>
#include <math.h>
#include <string.h>

#include "base/clones.h"

enum { N = WP_TRANSFORM, HALF = WP_TRANSFORM / 2, GUARD = WP_SPECTRUM_GUARD };

enum { BINS = WP_SPECTRUM_BINS, NODES = WP_SPECTRUM_NODES };

/* Shape of the Kaiser-Bessel function: 5 % below pi times its bins, less the block's share, where
 * the worst error over all places between two bins is least. */
static const double BETA = 0.95 * M_PI * BINS * (1.0 - 0.5 * WP_SPECTRUM_FRAMES / N);

/* CMPLX of C11, which clang 14 does not have with every C library. */
static inline double complex cartesian(double re, double im)
{
    return re + im * (double complex)I;
}

/* The window, t frames from the block's middle; 1 there. */
static double window_at(double t)
{
    const double turn = M_PI * BINS * t / N;
    const double a = sqrt(BETA * BETA - turn * turn);
    return sinh(a) / a * BETA / sinh(BETA);
}

/* L of L L' = a, in place; a is symmetric and positive definite. */
static void factorise(double a[BINS][BINS])
{
    for (int i = 0; i < BINS; i++) {
        for (int j = 0; j <= i; j++) {
            double sum = a[i][j];
            for (int k = 0; k < j; k++) {
                sum -= a[i][k] * a[j][k];
            }
            a[i][j] = i == j ? sqrt(sum) : sum / a[j][j];
        }
    }
}

/* Solves L L' x = b in place. */
static void solve(const double factor[BINS][BINS], double complex b[BINS])
{
    for (int i = 0; i < BINS; i++) {
        for (int k = 0; k < i; k++) {
            b[i] -= factor[i][k] * b[k];
        }
        b[i] /= factor[i][i];
    }
    for (int i = BINS - 1; i >= 0; i--) {
        for (int k = i + 1; k < BINS; k++) {
            b[i] -= factor[k][i] * b[k];
        }
        b[i] /= factor[i][i];
    }
}

/* Least squares over Chebyshev's nodes, which lie closest at the block's ends: about as good as the
 * least of all largest errors. */
void wp_bins_fit_init(struct wp_bins_fit *fit)
{
    for (int i = 0; i < NODES; i++) {
        fit->moment[i] = 0.5 * WP_SPECTRUM_FRAMES * cos(M_PI * (i + 0.5) / NODES);
        fit->weight[i] = 1.0 / window_at(fit->moment[i]);
    }
    for (int j = 0; j < BINS; j++) {
        for (int k = 0; k <= j; k++) {
            double sum = 0.0;
            for (int i = 0; i < NODES; i++) {
                const double angle = 2.0 * M_PI * (j - k) * fit->moment[i] / N;
                sum += fit->weight[i] * fit->weight[i] * cos(angle);
            }
            fit->factor[j][k] = sum;
        }
    }
    factorise(fit->factor);
}

/* Right-hand sides: how a partial, place bins above the first, agrees with each of its bins. */
static void project(const struct wp_bins_fit *fit, double complex place, double complex b[BINS])
{
    for (int j = 0; j < BINS; j++) {
        b[j] = 0.0;
    }
    for (int i = 0; i < NODES; i++) {
        const double complex turn = cartesian(0.0, 2.0 * M_PI * fit->moment[i] / N);
        const double complex back = cexp(-turn);
        double complex value = fit->weight[i] * cexp(turn * place);
        for (int j = 0; j < BINS; j++) {
            b[j] += value;
            value *= back;
        }
    }
}

void wp_bins_init(struct wp_bins *bins, uint16_t *first, const struct wp_bins_fit *fit,
                  double log_re, double log_im)
{
    double complex b[BINS];
    /* exp(2 pi i place n / N) is the rotation of n frames. */
    const double complex place = cartesian(log_im, -log_re) * N / (2.0 * M_PI);
    const double lowest = ceil(creal(place) - 0.5 * BINS);
    /* From the block's start to its middle, which the transform has at point N / 2; and since the
     * frames are the imaginary part of the sum, a half of it over i, the other half being added
     * with the negative frequencies. */
    const double complex middle =
        cexp(cartesian(log_re, log_im) * 0.5 * WP_SPECTRUM_FRAMES) * cartesian(0.0, -0.5);
    project(fit, place - lowest, b);
    solve(fit->factor, b);
    for (int j = 0; j < BINS; j++) {
        const double sign = fmod(lowest + j, 2.0) == 0.0 ? 1.0 : -1.0;
        const double complex value = sign * middle * b[j];
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
