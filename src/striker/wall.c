/* SPDX-License-Identifier: MIT */
/* Compliance of a tube's wall under a point force. */
#include "striker/wall.h"

#include <math.h>

#include "base/exact.h"

static const double pi = 0x1.921fb54442d18p+1;

/* Waves round the circumference that are summed one by one; an integral stands for the rest. */
enum { WAVES_MAX = 12 };

/*
 * Share of the deflection that a free end at r = beta x adds to that of an endless beam on an
 * elastic foundation, loaded at x: end forces cancel moment and shear of the endless beam
 * (M. Hetenyi, "Beams on Elastic Foundation", University of Michigan Press, 1946, chapter II).
 * 3 at the end itself, so that a free end is four times as soft as the middle.
 */
static double end_softening(double r)
{
    if (r > 18.0) { /* below 1e-15 */
        return 0.0;
    }
    const double s = wp_exact_sin(r);
    const double c = wp_exact_cos(r);
    return wp_exact_exp(-2.0 * r) * (1.0 + 2.0 * c * c - 2.0 * s * c);
}

/*
 * Semi-membrane theory of long cylinders (V. Z. Vlasov, "General Theory of Shells", 1949): the
 * n-th wave round the circumference, w = w_n(x) cos(n theta), stretches the wall along the tube
 * and bends it round the tube. That makes a beam of stiffness B = pi E h R^3 / n^4 on a foundation
 * of stiffness k = pi D (n^2 - 1)^2 / R^3 per length, D = E h^3 / (12 (1 - nu^2)). A force at
 * theta = 0 loads every wave alike and deflects it by beta / (2 k) per newton, beta^4 = k / (4 B),
 * in which n stands as beta ~ n (n^2-1)^(1/2) and beta / k ~ n (n^2-1)^(-3/2). n = 1 is the motion
 * of the whole section and belongs to the tube's effective mass: nothing holds the far side of a
 * hanging tube. Summed up, a long tube comes to about 1.85 E h^2.5 / R^1.5 in N/m; with its far
 * side held along a line the same theory gives 1.195, the figure for a tube on a table.
 */
double wp_wall_compliance(const struct wp_tube_spec *spec, double height_m)
{
    const double h = spec->wall_m;
    const double R = 0.5 * (spec->outer_diameter_m - h);
    if (h >= 0.4999 * spec->outer_diameter_m) {
        return 0.0;
    }
    const double E = spec->material.young_modulus_pa;
    const double nu = spec->material.poisson_ratio;
    const double D = E * h * h * h / (12.0 * (1.0 - nu * nu));
    const double beta = sqrt(sqrt(D / (4.0 * E * h))) / (R * sqrt(R));
    const double below = fmax(height_m, 0.0);
    const double above = fmax(spec->length_m - height_m, 0.0);
    double ends = 0.0;
    double sum = 0.0;
    for (int wave = 2; wave <= WAVES_MAX; wave++) {
        const double n = wave;
        const double root = sqrt(n * n - 1.0);
        ends = end_softening(beta * n * root * below) + end_softening(beta * n * root * above);
        sum += n / (root * root * root) * (1.0 + ends);
    }
    const double from = WAVES_MAX + 0.5; /* integral of n (n^2-1)^(-3/2) dn to infinity */
    sum += (1.0 + ends) / sqrt(from * from - 1.0);
    return beta * R * R * R / (2.0 * pi * D) * sum;
}
