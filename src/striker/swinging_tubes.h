/* SPDX-License-Identifier: MIT */
#ifndef WINDPEAL_STRIKER_SWINGING_TUBES_H
#define WINDPEAL_STRIKER_SWINGING_TUBES_H

#include <stddef.h>

#include "striker/pendulum.h"
#include "windpeal/attributes.h"
#include "windpeal/strike.h"

/* Lists by tube are worked through so many at a time; places beyond the last tube hold one that
 * stands still. */
enum { WP_TUBE_LANES = 4 };

_Static_assert(WP_TUBES_MAX % WP_TUBE_LANES == 0, "lists by tube are whole lanes");

/* Places of so many tubes, in whole lanes. */
static inline size_t wp_tube_lanes(size_t n_tubes)
{
    return (n_tubes + WP_TUBE_LANES - 1) / WP_TUBE_LANES * WP_TUBE_LANES;
}

/* Where the tubes are and how they move, by component (east, north) and tube. */
struct wp_tube_motion {
    double shift_m[2][WP_TUBES_MAX]; /* of the axis from its place at rest */
    double speed_m_s[2][WP_TUBES_MAX];
};

/* How the tubes turn in one step. */
struct wp_tube_turns {
    double dt_s;                     /* step for which they stand; 0: for none */
    double cosine[WP_TUBES_MAX];     /* of omega * dt_s */
    double sine_per_s[WP_TUBES_MAX]; /* sin(omega dt_s) * omega */
    double sine_s[WP_TUBES_MAX];     /* sin(omega dt_s) / omega */
};

/*
 * The tubes as pendulums about their upper support, small angles, looked at where the striker meets
 * them. A tube held rigid, or met at or above its support, stands still. Lists by tube, since all
 * of them move at once.
 */
struct wp_swinging_tubes {
    size_t n_tubes;
    double rest_m[2][WP_TUBES_MAX];       /* axis at rest, east and north */
    double omega[WP_TUBES_MAX];           /* rad/s; 0: stands still */
    double damping_per_s[WP_TUBES_MAX];   /* of the speed, in still air */
    double mobility_per_kg[WP_TUBES_MAX]; /* speed by an impulse of 1 N s: lever^2 / inertia */
    double blown_s2_m[WP_TUBES_MAX];      /* shift at which a wind holds it, by that wind squared */
    double slowed_per_m[WP_TUBES_MAX];    /* damping by a wind, by that wind */
    struct wp_tube_motion motion;
    struct wp_tube_turns longest; /* of the longest step so far, which comes again and again */
    struct wp_tube_turns latest;  /* of the latest that was shorter */
};

/* All at rest. */
void wp_swinging_tubes_init(struct wp_swinging_tubes *tubes,
                            const struct wp_strike_context *context);

/* One step, longer than 0: an exact swing about where the wind holds the tube, which moves along a
 * straight line from the step's beginning to its end; losses around it. */
void wp_swinging_tubes_step(struct wp_swinging_tubes *tubes, const struct wp_breeze *breeze,
                            double dt_s) WP_REALTIME;

/* The same in still air for any time, in closed form: only right where nothing touches them. */
void wp_swinging_tubes_wait(struct wp_swinging_tubes *tubes, double dt_s) WP_REALTIME;

/* Kinetic and potential energy of all tubes in joules; 0 at rest. */
double wp_swinging_tubes_energy(const struct wp_swinging_tubes *tubes);

#endif
