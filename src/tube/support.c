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

/* Velocities of the outer wall at 1 m/s of modal velocity, squared. */
struct motion {
    double sideways2;
    double along2;
};

static struct motion motion_at(const struct wp_beam_mode *mode, const struct wp_section *section,
                               double point_01)
{
    const double sideways = wp_shape_at(&mode->shape, point_01);
    const double along =
        section->outer_radius_m * wp_beam_turn_at(mode, point_01) / section->length_m;
    return (struct motion){sideways * sideways, along * along};
}

/* Twice the power that a hanging tube's cord takes at 1 m/s of modal velocity. */
static double cord_resistance(struct motion motion, const struct wp_tube_spec *spec,
                              double modal_kg, double omega)
{
    const double leg_tension_n = 0.5 * modal_kg * GRAVITY_M_S2;
    const double leg_kg_s = sqrt(leg_tension_n * spec->cord_kg_m);
    const double stretch_n = spec->cord_kg_m * CORD_WAVE_SPEED_M_S * CORD_WAVE_SPEED_M_S;
    const double leg_n_m = stretch_n / CORD_LEG_M;
    return 2.0 *
           (leg_kg_s * motion.sideways2 + leg_n_m * CORD_LOSS_TANGENT / omega * motion.along2);
}

/* Loss factor of cord or mounts from the motion at both support points. */
static double holding_loss(const struct motion motions[2], const struct wp_tube_spec *spec,
                           double modal_kg, double omega)
{
    double resistance_kg_s = 0.0;
    if (spec->is_held_rigid) {
        for (int i = 0; i < 2; i++) {
            resistance_kg_s +=
                spec->mount_resistance_kg_s * (motions[i].sideways2 + motions[i].along2);
        }
    } else {
        resistance_kg_s = cord_resistance(motions[0], spec, modal_kg, omega);
    }
    return resistance_kg_s / (omega * modal_kg);
}

double wp_support_loss(const struct wp_beam_mode *mode, const struct wp_section *section,
                       const struct wp_tube_spec *spec, const double points_01[2], double freq_hz)
{
    const double modal_kg = section->bare_mass_kg + spec->end_mass_kg;
    const struct motion motions[2] = {motion_at(mode, section, points_01[0]),
                                      motion_at(mode, section, points_01[1])};
    return holding_loss(motions, spec, modal_kg, 2.0 * M_PI * freq_hz);
}

double wp_ovalling_support_loss(const struct wp_shape *shape, const struct wp_ovalling_wave *wave,
                                const struct wp_tube_spec *spec, const double points_01[2],
                                double modal_kg, double freq_hz)
{
    struct motion motions[2];
    for (int i = 0; i < 2; i++) {
        const double outwards = wp_shape_at(shape, points_01[i]);
        const double half = 0.5 * outwards * outwards;
        motions[i].sideways2 = half * (1.0 + wave->around * wave->around);
        motions[i].along2 = half * wave->along * wave->along;
    }
    return holding_loss(motions, spec, modal_kg, 2.0 * M_PI * freq_hz);
}
