/* SPDX-License-Identifier: MIT */
#ifndef WINDPEAL_STRIKER_HEARD_H
#define WINDPEAL_STRIKER_HEARD_H

#include <stdbool.h>

#include "striker/hanging.h"
#include "striker/leaning.h"
#include "windpeal/attributes.h"
#include "windpeal/strike.h"

/* What a hanging striker did last, a strike or that it leans on a tube or leaves it, until it is
 * asked for. Visible state, never allocates. */
struct wp_heard {
    double last_s[WP_TUBES_MAX];
    struct wp_leaning leaning;
    bool is_pending;
    struct wp_strike pending;
};

void wp_heard_init(struct wp_heard *heard);

/* A touch at t_s that makes a sound becomes the pending strike. */
void wp_heard_add(struct wp_heard *heard, const struct wp_meeting *meeting, double t_s) WP_REALTIME;

/* What the striker leans on at t_s becomes pending when nothing else is. */
void wp_heard_look(struct wp_heard *heard, const struct wp_hanging *hanging,
                   double t_s) WP_REALTIME;

/* Hands out the pending strike if it comes before until_s; false: none. */
bool wp_heard_take(struct wp_heard *heard, double until_s, struct wp_strike *strike) WP_REALTIME;

#endif
