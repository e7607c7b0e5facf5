/* SPDX-License-Identifier: MIT */
#ifndef WINDPEAL_STRIKER_SPRING_H
#define WINDPEAL_STRIKER_SPRING_H

#include "windpeal/attributes.h"

/*
 * The springs between a striker and the axis of a tube, one behind the other: the contact,
 * F = hertz d^1.5 (d / reference_m)^stiffening (1 + loss_s_m d'), and the tube's wall.
 */
struct wp_spring {
    double hertz;       /* N/m^1.5 */
    double stiffening;  /* exponent past Hertz's 1.5 */
    double reference_m; /* depth at which the contact is as stiff as Hertz's */
    double loss_s_m;    /* Hunt and Crossley's mu */
    double compliance;  /* of the wall, m/N; 0: rigid */
};

/* Force at a depth of the contact alone, without loss. */
double wp_spring_force(const struct wp_spring *spring, double depth_m) WP_REALTIME;

/*
 * Depth of the contact when both together give way by total_m > 0, step_s after the depth was
 * before_m: F is the same in contact and wall, and d' = (d - before) / step.
 *
 * @param guess_m  near the depth, or 0
 * @param force_n  out: never below 0, since nothing pulls
 */
double wp_spring_depth(const struct wp_spring *spring, double total_m, double before_m,
                       double guess_m, double step_s, double *force_n) WP_REALTIME;

#endif
