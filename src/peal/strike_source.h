/* SPDX-License-Identifier: MIT */
#ifndef WINDPEAL_PEAL_STRIKE_SOURCE_H
#define WINDPEAL_PEAL_STRIKE_SOURCE_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "windpeal/attributes.h"
#include "windpeal/strike.h"
#include "windpeal/wind.h"

/* Where strikes come from, one after another: a given list, or the set's drive over the wind. */

enum { WP_BY_HAND_MAX = 32 };

struct wp_strike_source {
    const struct wp_strike_list *list; /* NULL: the drive */
    size_t next;
    struct wp_wind *wind;
    struct wp_drive *drive;
    double end_s; /* no strikes from here on */
    size_t n_by_hand;
    struct wp_strike by_hand[WP_BY_HAND_MAX]; /* waiting to be taken */
    struct wp_variety_meter variety;
};

/* The list's strikes before end_s; the list must outlive the source. */
void wp_strike_source_init_list(struct wp_strike_source *source, const struct wp_strike_list *list,
                                size_t n_tubes, double end_s);

/* The drive's strikes before end_s; context must outlive the source. To finish also on failure. */
enum wp_status wp_strike_source_init_drive(struct wp_strike_source *source,
                                           const struct wp_wind_config *wind,
                                           const struct wp_strike_context *context, uint64_t seed,
                                           double end_s);

/* Frees what init made; a source of zeros is allowed. */
void wp_strike_source_finish(struct wp_strike_source *source);

/* Adds a strike from outside, for the next call of wp_strike_source_next. False: no room. */
bool wp_strike_source_add(struct wp_strike_source *source,
                          const struct wp_strike *strike) WP_REALTIME;

/* The next strike before until_s, or false; then ask again later. */
bool wp_strike_source_next(struct wp_strike_source *source, double until_s,
                           struct wp_strike *strike) WP_REALTIME;

#endif
