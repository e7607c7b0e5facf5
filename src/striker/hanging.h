/* SPDX-License-Identifier: MIT */
#ifndef WINDPEAL_STRIKER_HANGING_H
#define WINDPEAL_STRIKER_HANGING_H

#include <stdbool.h>
#include <stddef.h>

#include "striker/rebound.h"
#include "striker/touch.h"
#include "windpeal/attributes.h"
#include "windpeal/strike.h"

/* A striker, with a sail below it when the wind drives it, among tubes that swing: moves all of
 * them from touch to touch. */

/* Visible state, never allocates. */
struct wp_hanging {
    const struct wp_strike_context *context; /* must outlive it */
    struct wp_bob bob;
    struct wp_swinging_tubes tubes;
    struct wp_rebound rebound;
    double radius_m[WP_TUBES_MAX];
    bool is_resting[WP_TUBES_MAX]; /* the striker leans on it */
    size_t n_resting;
    double friction; /* of striker on tube; 0: smooth */
    double step_s;   /* longest step that follows the swing well */
};

/* What ended a step early. */
struct wp_meeting {
    bool is_met;
    size_t tube;
    double speed_m_s;  /* closing; below 5 mm/s nothing sounds and the striker comes to rest */
    double towards[2]; /* from the striker to the tube, east and north */
    double height_m;   /* above the tube's bottom end */
    bool is_heard;
};

/* All at rest, as the set of the context says. */
void wp_hanging_init(struct wp_hanging *hanging, const struct wp_strike_context *context);

/*
 * Moves on by dt_s, at most step_s, or to the first touch before that, whose blow is then done.
 *
 * breeze   the wind over the whole of dt_s
 * meeting  out
 * returns the time moved on by
 */
double wp_hanging_step(struct wp_hanging *hanging, const struct wp_breeze *breeze, double dt_s,
                       struct wp_meeting *meeting) WP_REALTIME;

/*
 * True when the striker stands still, held by the friction of its pivot, where no tube will swing
 * into it: nothing happens until it is pushed.
 */
bool wp_hanging_is_still(const struct wp_hanging *hanging) WP_REALTIME;

/* Lets any time pass over a set that is still, in still air. */
void wp_hanging_wait(struct wp_hanging *hanging, double dt_s) WP_REALTIME;

/* The gap between the striker and a tube. */
struct wp_gap wp_hanging_gap(const struct wp_hanging *hanging, size_t tube) WP_REALTIME;

/* Height above a tube's bottom end at which the striker meets it where it hangs now. */
double wp_hanging_height(const struct wp_hanging *hanging, size_t tube) WP_REALTIME;

/* Kinetic and potential energy in joules; 0 at rest. */
double wp_hanging_energy(const struct wp_hanging *hanging);

#endif
