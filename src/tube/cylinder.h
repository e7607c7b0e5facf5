/* SPDX-License-Identifier: MIT */
#ifndef WINDPEAL_TUBE_CYLINDER_H
#define WINDPEAL_TUBE_CYLINDER_H

#include <complex.h>

/*
 * What a long round cylinder does to the air around it when it moves sideways (order 1) or goes out
 * of round (radial motion as cos(order theta), order 2 and up): Morse & Ingard,
 * Theoretical Acoustics (1968), ch. 7; Junger & Feit, Sound, Structures, and Their Interaction
 * (1986), ch. 6. All are dimensionless functions; x stands for radius times wave number.
 */

/** Hm'(x) of the Hankel function J - iY of order m >= 1, for x > 0: waves exp(i omega t) outward.
 */
double complex wp_hankel_slope(int order, double x);

/**
 * Pressure of a cylinder over that of a line of dipoles, or of multipoles of the same order, of the
 * same motion (a thin cylinder), in a direction in which the radial wave number times the radius is
 * x; 1 at x = 0. Its angle is that of exp(i omega t): the surface is nearer than the axis.
 */
double complex wp_cylinder_factor(int order, double x);

enum { WP_CYLINDER_STEPS = 32 };

/** wp_cylinder_factor of one order between two places, for many values. */
struct wp_cylinder_table {
    double low;
    double per_step;                              /**< 1/step */
    double complex factor[WP_CYLINDER_STEPS + 3]; /**< from one step before low */
};

void wp_cylinder_table_init(struct wp_cylinder_table *table, int order, double low, double high);

/** Factor at x from low to high, by cubics: within 0.1 % for steps up to 0.3. */
double complex wp_cylinder_table_at(const struct wp_cylinder_table *table, double x);

/**
 * Mass of outside air that moves along, over that of the air displaced.
 *
 * @param x2  squared radial wave number times radius squared: (k^2 - kz^2) a^2; negative when the
 *            bending wave is slower than sound (then air only sloshes along the cylinder)
 */
double wp_added_mass_outside(double x2);

/** In- and out-of-phase drag of a viscous fluid on a thin cylinder, over omega times displaced
 * mass. */
struct wp_drag {
    double mass;       /**< added mass over displaced mass; 1 without viscosity */
    double resistance; /**< resistance over omega times displaced mass */
};

/**
 * Stokes' oscillating cylinder, 1 + 4 K1(z) / (z K0(z)) with z = sqrt(i reynolds), by Hankel's
 * expansion of K1/K0: within 1e-4 of the resistance for reynolds > 50.
 *
 * @param reynolds  omega a^2 / kinematic viscosity
 */
struct wp_drag wp_viscous_drag(double reynolds);

#endif
