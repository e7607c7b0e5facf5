/* SPDX-License-Identifier: MIT */
#ifndef WINDPEAL_TUBE_WAVE_H
#define WINDPEAL_TUBE_WAVE_H

#include <stdbool.h>

#include "windpeal/tube.h"

/*
 * The two wave numbers of a bending beam at one frequency, and the four functions that make its
 * shape, about the middle of the beam: cosh, sinh (or cos, sin past the cut-off frequency) of the
 * first, cos, sin of the second. Hyperbolic ones carry a factor exp(-alpha/2), so that they stay
 * between -1 and 1 whatever the frequency.
 */

/** Values of the four functions and what goes with them at the lower end, eta = 1/2. */
struct wp_wave {
    double alpha;   /**< first wave number, times length; its size past the cut-off */
    double alpha2;  /**< its square, negative past the cut-off */
    double beta;    /**< second wave number, times length */
    double damp;    /**< exp(-alpha/2), 1 past the cut-off */
    double cosh_e;  /**< damp * cosh(alpha/2) */
    double sinhc_e; /**< damp * sinh(alpha/2) / alpha, finite at alpha = 0 */
    double cos_e;   /**< cos(beta/2) */
    double sinc_e;  /**< sin(beta/2) / beta */
};

/** Fills in the rest from the two wave numbers; beta > 0. */
void wp_wave_init(struct wp_wave *wave, double alpha2, double beta);

/** Integrals of products of the functions over the beam; sinhc = sinh / alpha, sinc = sin / beta.
 */
struct wp_wave_products {
    double cosh_cosh;
    double cosh_cos;
    double cos_cos;
    double sinhc_sinhc;
    double sinhc_sinc;
    double sinc_sinc;
};

void wp_wave_products_init(struct wp_wave_products *products, const struct wp_wave *wave);

/** The four functions at eta = xi - 1/2: even first, even second, odd first, odd second. */
void wp_wave_functions(const struct wp_shape *shape, double xi, double functions[4]);

/** A shape at each of n places, to 1e-12 of its ends, in much less time than wp_shape_at. */
void wp_shape_each(const struct wp_shape *shape, const double *xi, double *value, size_t n);

/** The part of a shape that sends sound in a direction; see wp_spectrum_at. */
struct wp_spectrum {
    const struct wp_shape *shape; /**< must outlive the spectrum */
    double cosh_e, sinh_e;        /**< of alpha/2, scaled; cos and sin past the cut-off */
    double cos_e, sin_e;          /**< of beta/2 */
};

void wp_spectrum_init(struct wp_spectrum *spectrum, const struct wp_shape *shape);

/**
 * Squared size of the Fourier transform of a shape, |int_0^1 W(xi) exp(i kappa xi) dxi|^2, in
 * closed form.
 */
double wp_spectrum_at(const struct wp_spectrum *spectrum, double kappa);

#endif
