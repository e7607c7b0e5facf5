/* SPDX-License-Identifier: MIT */
/* Wave numbers and elementary shapes of a bending beam at one frequency. */
#include "tube/wave.h"

#include <math.h>
#include <string.h>

#include "base/clones.h"
#include "base/series.h"

void wp_wave_init(struct wp_wave *wave, double alpha2, double beta)
{
    const double alpha = sqrt(fabs(alpha2));
    const double half = 0.5 * alpha;
    wave->alpha = alpha;
    wave->alpha2 = alpha2;
    wave->beta = beta;
    wave->cos_e = cos(0.5 * beta);
    wave->sinc_e = sin(0.5 * beta) / beta;
    if (alpha2 > 0.0) {
        wave->damp = exp(-half);
        wave->cosh_e = 0.5 * (1.0 + wave->damp * wave->damp);
        wave->sinhc_e = alpha < 1e-8 ? 0.5 : -0.5 * expm1(-alpha) / alpha;
    } else {
        wave->damp = 1.0;
        wave->cosh_e = cos(half);
        wave->sinhc_e = alpha < 1e-8 ? 0.5 : sin(half) / alpha;
    }
}

/*
 * Products of the kind cosh(alpha eta) cosh(alpha eta) have elementary integrals; written with
 * alpha^2 they hold on both sides of the cut-off.
 */
void wp_wave_products_init(struct wp_wave_products *products, const struct wp_wave *w)
{
    const double z = w->alpha2;
    const double one = w->damp * w->damp;
    const double sinhc_2 = 2.0 * w->sinhc_e * w->cosh_e; /* one * sinh(alpha)/alpha */
    const double sinc_2 = 2.0 * w->sinc_e * w->cos_e;    /* sin(beta)/beta */
    const double beta2 = w->beta * w->beta;
    const double sum = z + beta2;

    products->cosh_cosh = 0.5 * (one + sinhc_2);
    products->cos_cos = 0.5 * (1.0 + sinc_2);
    products->cosh_cos = 2.0 * (z * w->sinhc_e * w->cos_e + beta2 * w->cosh_e * w->sinc_e) / sum;
    products->sinhc_sinc = 2.0 * (w->cosh_e * w->sinc_e - w->sinhc_e * w->cos_e) / sum;
    products->sinc_sinc = 0.5 * (1.0 - sinc_2) / beta2;
    if (fabs(z) < 1e-3) {
        products->sinhc_sinhc = one * (1.0 / 12.0 + z * (1.0 / 240.0 + z / 10080.0));
    } else {
        products->sinhc_sinhc = 0.5 * (sinhc_2 - one) / z;
    }
}

/* exp(-x), but 0 where that is nothing beside functions of the size of 1. */
static double faded(double x)
{
    return x < 40.0 ? exp(-x) : 0.0;
}

void wp_wave_functions(const struct wp_shape *shape, double xi, double functions[4])
{
    const double eta = xi - 0.5;
    const double alpha = shape->root[0];
    const double beta = shape->root[1];
    if (shape->is_past_cutoff) {
        functions[0] = cos(alpha * eta);
        functions[2] = sin(alpha * eta);
    } else {
        const double rising = faded(alpha * (0.5 - eta));
        const double falling = faded(alpha * (0.5 + eta));
        functions[0] = 0.5 * (rising + falling);
        functions[2] = 0.5 * (rising - falling);
    }
    functions[1] = cos(beta * eta);
    functions[3] = sin(beta * eta);
}

double wp_shape_at(const struct wp_shape *shape, double xi)
{
    double functions[4];
    wp_wave_functions(shape, xi, functions);
    double sum = 0.0;
    for (int i = 0; i < 4; i++) {
        sum += shape->factor[i] * functions[i];
    }
    return sum;
}

/* Sets the first two functions below the cut-off, where they rise and fall. */
WP_CLONED
static void set_ends(const struct wp_shape *restrict shape, const double *restrict xi,
                     double *restrict value, size_t n)
{
    for (size_t i = 0; i < n; i++) {
        const double rising = wp_series_exp(shape->root[0] * (xi[i] - 1.0));
        const double falling = wp_series_exp(-shape->root[0] * xi[i]);
        value[i] =
            0.5 * (shape->factor[0] * (rising + falling) + shape->factor[2] * (rising - falling));
    }
}

/* Adds wave 0, which is one past the cut-off, or 1. */
WP_CLONED
static void add_wave(const struct wp_shape *restrict shape, size_t wave, const double *restrict xi,
                     double *restrict value, size_t n)
{
    for (size_t i = 0; i < n; i++) {
        double c;
        double s;
        wp_series_circle(shape->root[wave] * (xi[i] - 0.5), &c, &s);
        value[i] += shape->factor[wave] * c + shape->factor[2 + wave] * s;
    }
}

void wp_shape_each(const struct wp_shape *shape, const double *xi, double *value, size_t n)
{
    if (shape->is_past_cutoff) {
        memset(value, 0, n * sizeof *value);
        add_wave(shape, 0, xi, value, n);
    } else {
        set_ends(shape, xi, value, n);
    }
    add_wave(shape, 1, xi, value, n);
}

void wp_spectrum_init(struct wp_spectrum *spectrum, const struct wp_shape *shape)
{
    double end[4];
    wp_wave_functions(shape, 1.0, end);
    spectrum->shape = shape;
    spectrum->cosh_e = end[0];
    spectrum->cos_e = end[1];
    spectrum->sinh_e = end[2];
    spectrum->sin_e = end[3];
}

/* sin(x/2) / x from the sine, with its limit. */
static double half_sinc(double sine, double x)
{
    return fabs(x) < 1e-7 ? 0.5 : sine / x;
}

/* Integrals over the beam of cos(a eta) cos(k eta) and sin(a eta) sin(k eta). */
struct overlap {
    double even;
    double odd;
};

/* For a circular function with cosine and sine of a/2 given, and those of k/2. */
static struct overlap circular(double a, double cos_a, double sin_a, double k, double cos_k,
                               double sin_k)
{
    const double apart = half_sinc(sin_a * cos_k - cos_a * sin_k, a - k);
    const double together = half_sinc(sin_a * cos_k + cos_a * sin_k, a + k);
    return (struct overlap){.even = apart + together, .odd = apart - together};
}

/* The same for cosh(a eta) and sinh(a eta). */
static struct overlap hyperbolic(double a, double cosh_a, double sinh_a, double k, double cos_k,
                                 double sin_k)
{
    const double scale = 2.0 / (a * a + k * k);
    return (struct overlap){.even = scale * (a * sinh_a * cos_k + k * cosh_a * sin_k),
                            .odd = scale * (a * cosh_a * sin_k - k * sinh_a * cos_k)};
}

double wp_spectrum_at(const struct wp_spectrum *spectrum, double kappa)
{
    const struct wp_shape *shape = spectrum->shape;
    const double c = cos(0.5 * kappa);
    const double s = sin(0.5 * kappa);
    const double alpha = shape->root[0];
    const struct overlap first =
        shape->is_past_cutoff ? circular(alpha, spectrum->cosh_e, spectrum->sinh_e, kappa, c, s)
                              : hyperbolic(alpha, spectrum->cosh_e, spectrum->sinh_e, kappa, c, s);
    const struct overlap second =
        circular(shape->root[1], spectrum->cos_e, spectrum->sin_e, kappa, c, s);
    const double even = shape->factor[0] * first.even + shape->factor[1] * second.even;
    const double odd = shape->factor[2] * first.odd + shape->factor[3] * second.odd;
    return even * even + odd * odd;
}
