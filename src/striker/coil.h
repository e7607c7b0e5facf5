/* SPDX-License-Identifier: MIT */
#ifndef WINDPEAL_STRIKER_COIL_H
#define WINDPEAL_STRIKER_COIL_H

#include <stdbool.h>

#include "windpeal/attributes.h"

/*
 * A coil below the striker and its partner in the striker's foot: one of two opposed coils in
 * series, or a piece of steel. Both are dipoles that lie half of reach_m behind their faces, so
 * that on the axis, faces a gap d apart,
 *
 *     F = F0 (i / i0)^2 / (1 + d / reach)^4,
 *
 * and beside the axis what two parallel dipoles do to each other: to first order
 * F_lateral = 2 x / (d + reach) F_axial. Opposed coils push the striker away from the axis, steel
 * is drawn to it: a coil against steel holds what it should throw. Saturation is left out.
 */
struct wp_coil {
    double force_n;   /* F0: on the axis, faces touching, at current_a */
    double current_a; /* i0 */
    double reach_m;   /* about 0.5 to 1 diameter of the poles */
    double gap_m;     /* face to face with the striker at rest */
    bool is_on_steel; /* the partner is steel */
    double supply_v;  /* at full duty */
    double ohm_20c;   /* resistance of the circuit at 20 C */
    double inductance_h;
};

/* Newtons: along the axis, positive when the partners push each other apart, and away from it. */
struct wp_coil_force {
    double axial_n;
    double lateral_n;
};

/* Force with the striker offset_m >= 0 beside the axis, at its level, by a current. */
struct wp_coil_force wp_coil_force_at(const struct wp_coil *coil, double offset_m,
                                      double current_a) WP_REALTIME;

/* Resistance at a temperature of the winding. */
double wp_coil_ohm(const struct wp_coil *coil, double temperature_c) WP_REALTIME;

/* One pulse: the supply at a duty for length_s, then the coil freewheels. */
struct wp_pulse {
    double duty_01; /* mean voltage over the supply's; its switching is far faster than L / R */
    double length_s;
    double temperature_c; /* of the winding, taken as constant during the pulse */
};

/* Current t_s after the beginning of a pulse: rises and falls with L / R, 0 before. */
double wp_coil_current(const struct wp_coil *coil, const struct wp_pulse *pulse,
                       double t_s) WP_REALTIME;

/* Heat in joules that a pulse, with its fall, leaves in the winding. */
double wp_coil_heat_j(const struct wp_coil *coil, const struct wp_pulse *pulse) WP_REALTIME;

#endif
