/* SPDX-License-Identifier: MIT */
#ifndef WINDPEAL_WIND_TURN_H
#define WINDPEAL_WIND_TURN_H

#include "wind/interval.h"
#include "windpeal/attributes.h"

/*
 * Where the wind comes from, apart from its gusts: from record to record the shortest way round,
 * at an even rate between the middles of their intervals. Records without a direction are passed
 * over; when none has one, the seed picks a bearing.
 */
struct wp_turn {
    const struct wp_intervals *intervals;
    size_t next; /* record that the wind turns to; n_records: none any more */
    double from_s;
    double from_deg;
    double to_s;
    double by_deg; /* on the way from from_s to to_s, -180 to 180 */
};

void wp_turn_init(struct wp_turn *turn, const struct wp_intervals *intervals, uint64_t seed);

/* Direction at a time, not wrapped; times must not go back. */
double wp_turn_at(struct wp_turn *turn, double t_s) WP_REALTIME;

/* Standard deviation of the slow wander in degrees: near calm, or without a direction. */
double wp_turn_wander(const struct wp_record *record) WP_REALTIME;

/* The bearing that the seed picks where no record has one. */
double wp_turn_any(uint64_t seed);

/* The same turn the shortest way, -180 <= by_deg < 180. */
double wp_turn_shortest(double by_deg) WP_REALTIME;

/* Angle wrapped to 0 <= angle < 360. */
double wp_turn_wrapped(double angle_deg) WP_REALTIME;

#endif
