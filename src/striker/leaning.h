/* SPDX-License-Identifier: MIT */
#ifndef WINDPEAL_STRIKER_LEANING_H
#define WINDPEAL_STRIKER_LEANING_H

#include <stdbool.h>
#include <stddef.h>

#include "striker/hanging.h"
#include "windpeal/attributes.h"
#include "windpeal/strike.h"

/* A hanging striker's leaning on tubes, told as rows of a strike list. */

/* Which tubes it was told to rest on; zeros at the start. */
struct wp_leaning {
    bool is_told[WP_TUBES_MAX];
    size_t n_told;
};

/*
 * The next rest or leave that is not told yet, at t_s: bearing and height as of a blow, closing
 * speed 0 for a rest and below 0, the speed of parting, for a leave.
 *
 * strike  out; untouched without news
 * returns false when nothing is new
 */
bool wp_leaning_next(struct wp_leaning *leaning, const struct wp_hanging *hanging, double t_s,
                     struct wp_strike *strike) WP_REALTIME;

#endif
