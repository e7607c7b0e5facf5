/* SPDX-License-Identifier: MIT */
/* Random directions and speeds of blows. */
#include "striker/scatter.h"

#include <math.h>

#include "base/exact.h"

static const double pi = 0x1.921fb54442d18p+1;

/*
 * Shape of the speeds' Weibull distribution: skewed to the right (coefficient of variation 0.64,
 * skewness 0.96), between Rayleigh's (2) and the exponential (1). An estimate, no measured source.
 */
static const double speed_shape = 1.6;

/* Gamma(1 + 1/1.6): mean of the distribution over its scale. */
static const double speed_mean_over_scale = 0.89657428005659810;

/* Two of three tries or more succeed; 64 misses in a row happen once in 10^30. */
enum { TRIES_MAX = 64 };

/*
 * D. J. Best, N. I. Fisher, "The bias of the maximum likelihood estimators of the von Mises-Fisher
 * concentration parameters", Commun. Stat. Simul. Comput. 10 (1981) 493; from memory.
 */
double wp_scatter_concentration(double resultant)
{
    const double r = resultant;
    if (r < 0.53) {
        return r * (2.0 + r * r * (1.0 + 5.0 / 6.0 * r * r));
    }
    if (r < 0.85) {
        return -0.4 + 1.39 * r + 0.43 / (1.0 - r);
    }
    return 1.0 / (r * (3.0 + r * (-4.0 + r)));
}

/*
 * Rejection from a wrapped Cauchy distribution (D. J. Best, N. I. Fisher, "Efficient simulation of
 * the von Mises distribution", Appl. Statist. 28 (1979) 152).
 */
double wp_scatter_angle(struct wp_random *random, double kappa)
{
    if (kappa < 1e-6) {
        return pi * (2.0 * wp_random_uniform(random) - 1.0);
    }
    const double tau = 1.0 + sqrt(1.0 + 4.0 * kappa * kappa);
    const double rho = (tau - sqrt(2.0 * tau)) / (2.0 * kappa);
    const double r = (1.0 + rho * rho) / (2.0 * rho);
    double f = 1.0;
    for (int i = 0; i < TRIES_MAX; i++) {
        const double z = wp_exact_cos(pi * wp_random_uniform(random));
        const double u = wp_random_uniform(random);
        f = (1.0 + r * z) / (r + z);
        const double c = kappa * (r - f);
        if (c * (2.0 - c) > u || wp_exact_log(c / u) + 1.0 >= c) {
            break;
        }
    }
    const double side = wp_random_uniform(random) < 0.5 ? -1.0 : 1.0;
    return side * wp_exact_atan2(sqrt(fmax(1.0 - f * f, 0.0)), f);
}

double wp_scatter_speed(struct wp_random *random, double mean_m_s)
{
    const double exponential = -wp_exact_log(wp_random_uniform(random));
    return mean_m_s / speed_mean_over_scale * wp_exact_pow(exponential, 1.0 / speed_shape);
}
