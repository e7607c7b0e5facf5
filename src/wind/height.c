/* SPDX-License-Identifier: MIT */
/* The logarithmic law of the wind near the ground. */
#include "wind/height.h"

#include <math.h>

#include "base/exact.h"

static const double BLENDING_M = 60.0;

/* Over this even rough ground gives no more: near the roughness length the law has no meaning. */
static const double INTENSITY_MAX = 0.5;

/* ln(a / z0) / ln(b / z0) */
static double log_ratio(double a_m, double b_m, double roughness_m)
{
    return wp_exact_log(a_m / roughness_m) / wp_exact_log(b_m / roughness_m);
}

double wp_height_factor(struct wp_exposure from, struct wp_exposure to)
{
    if (from.roughness_m == to.roughness_m && from.height_m == to.height_m) {
        return 1.0;
    }
    if (from.roughness_m == to.roughness_m) {
        return log_ratio(to.height_m, from.height_m, to.roughness_m);
    }
    return log_ratio(BLENDING_M, from.height_m, from.roughness_m) *
           log_ratio(to.height_m, BLENDING_M, to.roughness_m);
}

double wp_height_intensity(struct wp_exposure exposure)
{
    const double logarithm = wp_exact_log(exposure.height_m / exposure.roughness_m);
    return logarithm * INTENSITY_MAX > 1.0 ? 1.0 / logarithm : INTENSITY_MAX;
}
