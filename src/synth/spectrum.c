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
        fit->turn_re[i] = cos(2.0 * M_PI * fit->moment[i] / N);
        fit->turn_im[i] = -sin(2.0 * M_PI * fit->moment[i] / N);
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
        const double complex back = cartesian(fit->turn_re[i], fit->turn_im[i]);
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
        bins->re[j] = (float)creal(value);
        bins->im[j] = (float)cimag(value);
    }
    *first = (uint16_t)(lowest + GUARD);
}

/* All bins of a partial, wherever they begin in a spectrum; with a type of their own compilers
 * neither look for overlaps nor step up to an aligned place first. */
typedef float bins_row __attribute__((vector_size(sizeof(float) * BINS), aligned(4), may_alias));

WP_CLONED
void wp_spectrum_add(struct wp_spectrum *restrict spectra, size_t n_outputs,
                     const struct wp_bins *restrict bins, const uint16_t *restrict first,
                     const uint16_t *restrict partials, size_t n_partials,
                     const struct wp_tile_row *restrict rows)
{
    for (size_t i = 0; i < n_partials; i++) {
        const size_t m = partials[i];
        const size_t place = first[m];
        const bins_row a = *(const bins_row *)bins[m].re;
        const bins_row b = *(const bins_row *)bins[m].im;
        for (size_t output = 0; output < n_outputs; output++) {
            bins_row *sum_re = (bins_row *)&spectra[output].re[place];
            bins_row *sum_im = (bins_row *)&spectra[output].im[place];
            const float re = rows[output].re[m];
            const float im = rows[output].im[m];
            *sum_re += re * a - im * b;
            *sum_im += re * b + im * a;
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
    float *re = &spectrum->re[GUARD];
    float *im = &spectrum->im[GUARD];
    re[0] *= 2.0f;
    im[0] = 0.0f;
    re[HALF] *= 2.0f;
    im[HALF] = 0.0f;
    for (int k = 1; k < GUARD; k++) {
        re[k] += re[-k];
        im[k] -= im[-k];
        re[HALF - k] += re[HALF + k];
        im[HALF - k] -= im[HALF + k];
    }
}

/* One transform for two real outputs: the left in its real part, the right in its imaginary. */
WP_CLONED
static void join(const struct wp_spectrum *restrict left, const struct wp_spectrum *restrict right,
                 struct wp_points *restrict points)
{
    const float *left_re = &left->re[GUARD];
    const float *left_im = &left->im[GUARD];
    const float *right_re = &right->re[GUARD];
    const float *right_im = &right->im[GUARD];
    for (size_t k = 0; k < HALF; k++) {
        points->re[k] = left_re[k] - right_im[k];
        points->im[k] = left_im[k] + right_re[k];
    }
    for (size_t k = 1; k <= HALF; k++) {
        points->re[N - k] = left_re[k] + right_im[k];
        points->im[N - k] = right_re[k] - left_im[k];
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
