/* SPDX-License-Identifier: MIT */
/* The cord: where it passes through the tube, and what it takes away. */
#include "tube/support.h"

#include <math.h>

#include "tube/root.h"

static const double GRAVITY_M_S2 = 9.80665; /* ISO 80000-3, standard value */

/*
 * Twisted or braided synthetic cord. Estimates: drawn polyamide or polyester fibre has a modulus
 * of 3 GPa and a density near 1200 kg/m3 (from memory), which makes the speed of waves along it;
 * loss tangent 0.05 to 0.1; free legs of a hand's breadth between tube and suspension.
 */
static const double CORD_WAVE_SPEED_M_S = 1600.0;
static const double CORD_LOSS_TANGENT = 0.05;
static const double CORD_LEG_M = 0.1;

static double deflection(double xi, const void *context)
{
    return wp_shape_at(context, xi);
}

void wp_support_points(double points_01[2], const struct wp_shape *first,
                       const struct wp_tube_spec *spec)
{
    if (spec->is_supported_at_node) {
        points_01[0] = wp_root_find(deflection, first, 0.0, 0.5);
        points_01[1] = wp_root_find(deflection, first, 0.5, 1.0);
    } else {
        points_01[0] = spec->support_m / spec->length_m;
        points_01[1] = 1.0 - points_01[0];
    }
}

double wp_support_loss(const struct wp_beam_mode *mode, const struct wp_section *section,
                       const struct wp_tube_spec *spec, double point_01, double freq_hz)
{
    if (!(spec->cord_kg_m > 0.0)) {
        return 0.0;
    }
    const double omega = 2.0 * M_PI * freq_hz;
    const double modal_kg = section->bare_mass_kg + spec->end_mass_kg;
    const double leg_tension_n = 0.5 * modal_kg * GRAVITY_M_S2;
    const double w = wp_shape_at(&mode->shape, point_01);
    const double slope_per_m = wp_beam_turn_at(mode, point_01) / section->length_m;

    /* Power lost at 1 m/s of modal velocity, twice over; loss factor = that / (omega M). */
    const double sideways = 2.0 * sqrt(leg_tension_n * spec->cord_kg_m) * w * w;
    const double stretch_n = spec->cord_kg_m * CORD_WAVE_SPEED_M_S * CORD_WAVE_SPEED_M_S;
    const double leg_n_m = stretch_n / CORD_LEG_M;
    const double pull_m = section->outer_radius_m * slope_per_m;
    const double along = 2.0 * leg_n_m * CORD_LOSS_TANGENT / omega * pull_m * pull_m;
    return (sideways + along) / (omega * modal_kg);
}
