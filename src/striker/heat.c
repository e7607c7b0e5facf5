/* SPDX-License-Identifier: MIT */
/* Temperature of a coil that is pulsed. */
#include "striker/heat.h"

#include <math.h>

#include "base/exact.h"

/* A wait ends this much below the limit, so that rounding never passes it. */
static const double margin_k = 1e-6;

static double time_constant(const struct wp_heat *heat)
{
    return heat->capacity_j_k * heat->resistance_k_w;
}

void wp_heat_cool(struct wp_heat *heat, double dt_s)
{
    const double left_01 = wp_exact_exp(-dt_s / time_constant(heat));
    heat->coil_c = heat->air_c + (heat->coil_c - heat->air_c) * left_01;
}

void wp_heat_add(struct wp_heat *heat, double heat_j)
{
    heat->coil_c += heat_j / heat->capacity_j_k;
}

double wp_heat_wait_s(const struct wp_heat *heat, double heat_j)
{
    const double rise_k = heat_j / heat->capacity_j_k;
    const double start_c =
        heat->limit_c - rise_k - margin_k; /* hottest that a pulse may begin at */
    if (heat->coil_c <= start_c) {
        return 0.0;
    }
    if (start_c <= heat->air_c) {
        return INFINITY;
    }
    const double ratio = (heat->coil_c - heat->air_c) / (start_c - heat->air_c);
    return time_constant(heat) * wp_exact_log(ratio);
}
