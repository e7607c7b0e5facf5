/* SPDX-License-Identifier: MIT */
/* What the ear makes of a tube's partials, and where the wall begins to ring by itself. */
#include "tube/pitch.h"

#include <math.h>

struct wp_heard wp_heard_pitch(double first_hz, double fourth_hz)
{
    const bool is_long = first_hz < WP_HEARD_CROSSOVER_HZ;
    return (struct wp_heard){.hz = is_long ? 0.5 * fourth_hz : first_hz, .is_from_fourth = is_long};
}

double wp_ovalling_onset(const struct wp_section *section, double poisson_ratio)
{
    if (section->inner_radius_m <= 0.0) {
        return NAN;
    }
    const double mean = 0.5 * (section->outer_radius_m + section->inner_radius_m);
    const double wall = section->outer_radius_m - section->inner_radius_m;
    const double plate = section->young_modulus_pa /
                         (12.0 * section->density_kg_m3 * (1.0 - poisson_ratio * poisson_ratio));
    return 6.0 / sqrt(5.0) * wall / (2.0 * M_PI * mean * mean) * sqrt(plate);
}
