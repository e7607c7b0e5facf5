/* SPDX-License-Identifier: MIT */
#ifndef WINDPEAL_STRIKER_PENDULUM_H
#define WINDPEAL_STRIKER_PENDULUM_H

#include <stdbool.h>
#include <stddef.h>

#include "windpeal/attributes.h"

/*
 * A rigid body on a pivot, free to swing every way but not to spin: n, the unit vector
 * from the pivot to the body (x to the east, y to the north, z down), and u, its speed in rad/s.
 *
 *     I u' = M - (M n) n - I |u|^2 n - I c u,   M = sum(m l) g z + sum(l F),   n' = u,
 *
 * F = k |w| w the drag of a part at its arm l, w = wind - l u. No singular point in any direction.
 * Dry friction in the pivot takes a constant part off |u'|, and holds a body at rest that is pulled
 * by less.
 */

/* A part that the wind takes hold of: k = density * drag coefficient * area / 2; 0: none. */
struct wp_drag {
    double arm_m;
    double drag_kg_m;
};

enum { WP_DRAGS = 2 };

/* Visible state, never allocates. */
struct wp_pendulum {
    double moment_n_m; /* sum of mass * arm, times the acceleration of gravity */
    double inertia_kg_m2;
    double damping_per_s;   /* c */
    double friction_per_s2; /* moment of dry friction over inertia; 0: none */
    struct wp_drag drags[WP_DRAGS];
    double n[3];
    double u_per_s[3];
};

/* Horizontal wind at the beginning and at the end of a step, a straight line in between: where the
 * air goes, to the east and to the north. */
struct wp_breeze {
    double begin_m_s[2];
    double end_m_s[2];
    double denser; /* the air's density over that of the drags, less 1 */
};

/* Hangs still. The other fields are the caller's to fill in. */
void wp_pendulum_reset(struct wp_pendulum *pendulum);

/* Small-angle angular frequency in rad/s. */
double wp_pendulum_omega(const struct wp_pendulum *pendulum);

/*
 * One step of the classical Runge-Kutta method of fourth order. Drag, the dearer and by far the
 * smoother part, is taken at the beginning, once in the middle and at the end: of second order, and
 * half as far off as without the last.
 */
void wp_pendulum_step(struct wp_pendulum *pendulum, const struct wp_breeze *breeze,
                      double dt_s) WP_REALTIME;

/* Stands still and, in still air, stays where it is by friction. */
bool wp_pendulum_is_held(const struct wp_pendulum *pendulum) WP_REALTIME;

/* Kinetic and potential energy in joules; 0 at rest. */
double wp_pendulum_energy(const struct wp_pendulum *pendulum);

#endif
