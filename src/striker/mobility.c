/* SPDX-License-Identifier: MIT */
/* A tube as a rigid body under a sideways blow. */
#include "striker/mobility.h"

double wp_tube_mobility(const struct wp_tube *tube, double height_m)
{
    if (tube->spec.is_held_rigid) {
        return 0.0;
    }
    const double length_m = tube->spec.length_m;
    const double end_kg = tube->mass_kg - tube->bare_mass_kg;
    const double plug_m = tube->spec.plug_length_m;
    const double end_m = length_m - 0.5 * plug_m; /* height of the end mass's centre */
    const double centre_m = (tube->bare_mass_kg * 0.5 * length_m + end_kg * end_m) / tube->mass_kg;
    const double outer_m = 0.5 * tube->spec.outer_diameter_m;
    const double inner_m = outer_m - tube->spec.wall_m;
    const double bare_lever_m = centre_m - 0.5 * length_m;
    const double end_lever_m = end_m - centre_m;
    const double inertia =
        tube->bare_mass_kg * (3.0 * (outer_m * outer_m + inner_m * inner_m) + length_m * length_m) /
            12.0 +
        tube->bare_mass_kg * bare_lever_m * bare_lever_m +
        end_kg * (end_lever_m * end_lever_m + plug_m * plug_m / 12.0);
    const double lever_m = height_m - centre_m;
    return 1.0 / tube->mass_kg + lever_m * lever_m / inertia;
}
