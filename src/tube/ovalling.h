/* SPDX-License-Identifier: MIT */
#ifndef WINDPEAL_TUBE_OVALLING_H
#define WINDPEAL_TUBE_OVALLING_H

#include "tube/section.h"
#include "windpeal/tube.h"

/*
 * Partials in which the wall of a tube goes out of round: w = W(x) cos(m theta) for the radial
 * motion, m >= 2 waves round the circumference, both ends free. A. E. H. Love, "A Treatise on the
 * Mathematical Theory of Elasticity" (1927), ch. XXIV, and Lord Rayleigh, "The Theory of Sound"
 * (1894), ch. XA.
 *
 * At the wave number k along the tube, the wall stretches as little as it can: its motion along
 * the tube and round it is that of membrane theory (L. H. Donnell, NACA Report 479, 1933), and
 * Rayleigh's quotient with Love's energy of bending gives the frequency. A tube without end, k = 0,
 * is Rayleigh's inextensional ring in plane strain.
 *
 * Free ends fix k. Long waves make a beam: the wall's stretching along the tube is the beam's
 * bending, its membrane shear the beam's shear, its bending round the tube a foundation, its twist
 * a tension (V. Z. Vlasov, "General Theory of Shells", 1949: semi-membrane theory). The beam is
 * Timoshenko's, its free ends are exact. The axial order n counts circles at rest along the tube: n
 * = 0 is Rayleigh's mode, W constant, n = 1 Love's, W nearly linear, n >= 2 as in bending.
 */

/** One circumferential order of a tube. Plain values. */
struct wp_ovalling {
    int order; /**< m, 2 or more */
    double radius_m;
    double wall_m;
    double length_m;
    double stretch_m2_s2; /**< E / rho */
    double plate_m4_s2;   /**< D / (rho h), D = E h^3 / (12 (1 - nu^2)) */
    double poisson_ratio;
    /* The equivalent beam, lengths in lengths of the tube, stiffness in that against shear. */
    double bending; /**< against stretching along the tube */
    double twist;   /**< against twisting, less what inertia along the tube takes off */
    double inertia; /**< along the tube, over that across */
};

/** Motion of one wave number: what a radial motion of 1 brings along, and its frequency. */
struct wp_ovalling_wave {
    double freq_hz; /**< in a vacuum */
    double along;   /**< largest motion along the tube */
    double around;  /**< largest motion round the circumference, 1/m for long waves */
    double bent_01; /**< part of the energy that bends the wall instead of stretching it */
};

/** A tube's order; section must be a tube's, not a rod's. */
void wp_ovalling_init(struct wp_ovalling *ovalling, const struct wp_section *section,
                      double poisson_ratio, int order);

/**
 * Wave number times length of axial order n >= 0, ascending with n; NAN where the wall's motion
 * along the tube begins to ring by itself and the equivalent beam ends.
 */
double wp_ovalling_root(const struct wp_ovalling *ovalling, int n);

/** Motion at a wave number times length. */
void wp_ovalling_wave_init(struct wp_ovalling_wave *wave, const struct wp_ovalling *ovalling,
                           double root);

/** Shape along the tube of axial order n with its root, scaled to a mean square; W(1) > 0. */
void wp_ovalling_shape(struct wp_shape *shape, const struct wp_ovalling *ovalling, int n,
                       double root, double mean_square);

#endif
