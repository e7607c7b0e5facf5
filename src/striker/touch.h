/* SPDX-License-Identifier: MIT */
#ifndef WINDPEAL_STRIKER_TOUCH_H
#define WINDPEAL_STRIKER_TOUCH_H

#include "striker/pendulum.h"
#include "striker/swinging_tubes.h"

/* A round striker and a tube: how far apart, and what happens when they meet. All horizontal: the
 * striker's equator meets a tube that is upright. */

/* The striker on its pendulum. */
struct wp_bob {
    struct wp_pendulum pendulum;
    double arm_m; /* pivot to the striker's middle */
    double radius_m;
};

/* Where striker and tube are from each other. */
struct wp_gap {
    double gap_m;       /* between their surfaces; negative: pressed together */
    double opening_m_s; /* its change; negative: they come closer */
    double towards[2];  /* unit vector from the striker to the tube */
};

/* The gap to one of the tubes that stand at rest as tubes says and move like motion. */
struct wp_gap wp_gap_between(const struct wp_bob *bob, const struct wp_swinging_tubes *tubes,
                             const struct wp_tube_motion *motion, size_t tube,
                             double tube_radius_m) WP_REALTIME;

/*
 * When a gap that runs from begin to end in dt_s, a cubic by Hermite, first closes, in seconds to
 * 1e-6; negative: not at all. A gap that is opening at begin must open before it can close.
 */
double wp_gap_closes_s(const struct wp_gap *begin, const struct wp_gap *end,
                       double dt_s) WP_REALTIME;

/* How two surfaces meet. */
struct wp_surfaces {
    double restitution; /* speed of parting over closing speed */
    double friction;    /* Coulomb's: force along over force across; 0: smooth */
};

/*
 * Exchanges the impulse of a blow; the bodies must come closer. Friction takes the speed at which
 * they slide past each other, as far as it can.
 */
void wp_gap_collide(const struct wp_gap *gap, struct wp_bob *bob, struct wp_swinging_tubes *tubes,
                    size_t tube, const struct wp_surfaces *surfaces) WP_REALTIME;

/* Moves striker and tube apart that are pressed into each other. */
void wp_gap_part(const struct wp_gap *gap, struct wp_bob *bob, struct wp_swinging_tubes *tubes,
                 size_t tube) WP_REALTIME;

#endif
