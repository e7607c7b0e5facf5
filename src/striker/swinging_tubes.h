/* SPDX-License-Identifier: MIT */
#ifndef WINDPEAL_STRIKER_SWINGING_TUBES_H
#define WINDPEAL_STRIKER_SWINGING_TUBES_H

#include <stddef.h>

#include "striker/pendulum.h"
#include "windpeal/attributes.h"
#include "windpeal/strike.h"

/*
 * The tubes as pendulums about their upper support, small angles, looked at where the striker meets
 * them. A tube held rigid, or met at or above its support, stands still.
 */
struct wp_swinging_tube {
    double rest_m[2];  /* axis at rest, east and north */
    double shift_m[2]; /* from there */
    double speed_m_s[2];
    double omega;           /* rad/s; 0: stands still */
    double damping_per_s;   /* of the speed, in still air */
    double mobility_per_kg; /* speed by an impulse of 1 N s: lever^2 / inertia */
    double blown_s2_m;      /* shift at which a wind holds it, by that wind squared */
    double slowed_per_m;    /* damping by a wind, by that wind */
};

/* How a tube turns in one step. */
struct wp_tube_turn {
    double cosine;     /* of omega * dt_s */
    double sine_per_s; /* sin(omega dt_s) * omega */
    double sine_s;     /* sin(omega dt_s) / omega */
};

/* The same of all tubes. */
struct wp_tube_turns {
    double dt_s; /* step for which they stand; 0: for none */
    struct wp_tube_turn tubes[WP_TUBES_MAX];
};

struct wp_swinging_tubes {
    size_t n_tubes;
    struct wp_swinging_tube tubes[WP_TUBES_MAX];
    struct wp_tube_turns longest; /* of the longest step so far, which comes again and again */
    struct wp_tube_turns latest;  /* of the latest that was shorter */
};

/* All at rest. */
void wp_swinging_tubes_init(struct wp_swinging_tubes *tubes,
                            const struct wp_strike_context *context);

/* One step: an exact swing about where the wind holds the tube, which moves along a straight line
 * from the step's beginning to its end; losses around it. */
void wp_swinging_tubes_step(struct wp_swinging_tubes *tubes, const struct wp_breeze *breeze,
                            double dt_s) WP_REALTIME;

/* The same in still air for any time, in closed form: only right where nothing touches them. */
void wp_swinging_tubes_wait(struct wp_swinging_tubes *tubes, double dt_s) WP_REALTIME;

/* Kinetic and potential energy of all tubes in joules; 0 at rest. */
double wp_swinging_tubes_energy(const struct wp_swinging_tubes *tubes);

#endif
