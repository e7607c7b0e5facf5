/* SPDX-License-Identifier: MIT */
#ifndef WINDPEAL_TESTS_ALUMINIUM_H
#define WINDPEAL_TESTS_ALUMINIUM_H

/* The aluminium tubes that outside figures were computed for. Include after cmocka.h. */

#include <math.h>

#include "windpeal/tube.h"

/* With the constants that the figures' sources used, hung at its nodes in air of 20 C. */
static inline struct wp_tube_spec aluminium(double outer_diameter_m, double wall_m, double length_m)
{
    return (struct wp_tube_spec){
        .material = {.young_modulus_pa = 68.9e9,
                     .density_kg_m3 = 2700.0,
                     .poisson_ratio = 0.33,
                     .loss_factor = 1e-4,
                     .thermal_expansion_per_k = 23.4e-6,
                     .stiffness_per_k = -5e-4,
                     .conductivity_w_mk = 200.0,
                     .specific_heat_j_kgk = 900.0},
        .outer_diameter_m = outer_diameter_m,
        .wall_m = wall_m,
        .length_m = length_m,
        .temperature_c = 20.0,
        .is_supported_at_node = true,
        .cord_kg_m = 1e-3,
    };
}

static inline void assert_relative(double got, double expected, double tolerance)
{
    if (!(fabs(got / expected - 1.0) <= tolerance)) {
        fail_msg("got %.10g, expected %.10g within %g", got, expected, tolerance);
    }
}

#endif
