/* SPDX-License-Identifier: MIT */
/* The mean direction of the wind, and how far it wanders. */
#include "wind/turn.h"

#include <math.h>

#include "base/random.h"

/* Spread without a reported direction; "VRB" in aviation reports stands for 60 degrees and more
 * between extremes (ICAO Annex 3, appendix 3, 4.1.5.2). */
static const double UNKNOWN_DEG = 50.0;

/* Spread that a calm adds, falling to none at CALM_M_S. Common practice: below about 1 m/s
 * standard deviations of 40 to 100 degrees an hour are met; no single source. */
static const double CALM_DEG = 60.0;
static const double CALM_M_S = 1.0;

double wp_turn_wrapped(double angle_deg)
{
    if (angle_deg >= 0.0 && angle_deg < 360.0) {
        return angle_deg; /* nearly always, and much faster than the rest */
    }
    const double wrapped = angle_deg - 360.0 * floor(angle_deg / 360.0);
    return wrapped < 360.0 ? wrapped : 0.0;
}

double wp_turn_shortest(double by_deg)
{
    return wp_turn_wrapped(by_deg + 180.0) - 180.0;
}

double wp_turn_wander(const struct wp_record *record)
{
    const double calm_deg = CALM_DEG * fmax(0.0, 1.0 - record->mean_m_s / CALM_M_S);
    return isfinite(record->from_deg) ? calm_deg : fmax(calm_deg, UNKNOWN_DEG);
}

double wp_turn_any(uint64_t seed)
{
    struct wp_random random;
    wp_random_init(&random, seed, WP_STREAM_WIND_BEARING, UINT64_MAX / 2);
    return 360.0 * wp_random_uniform(&random);
}

/* Next record at or past index with mean and direction. */
static size_t with_direction(const struct wp_weather *weather, size_t index)
{
    index = wp_record_usable(weather, index);
    while (index < weather->n_records && !isfinite(weather->records[index].from_deg)) {
        index = wp_record_usable(weather, index + 1);
    }
    return index;
}

static double middle_of(const struct wp_intervals *intervals, size_t record)
{
    return intervals->weather->records[record].t_s - intervals->origin_s -
           0.5 * wp_record_length(intervals, record);
}

/* Aims at the record turn->next. */
static void aim(struct wp_turn *turn)
{
    const struct wp_weather *weather = turn->intervals->weather;
    if (turn->next < weather->n_records) {
        const double by_deg = weather->records[turn->next].from_deg - turn->from_deg;
        turn->by_deg = wp_turn_shortest(by_deg);
        turn->to_s = middle_of(turn->intervals, turn->next);
    }
}

void wp_turn_init(struct wp_turn *turn, const struct wp_intervals *intervals, uint64_t seed)
{
    const struct wp_weather *weather = intervals->weather;
    const size_t first = with_direction(weather, 0);
    *turn = (struct wp_turn){.intervals = intervals, .next = first};
    if (first < weather->n_records) {
        turn->from_deg = weather->records[first].from_deg;
        turn->from_s = middle_of(intervals, first);
        turn->next = with_direction(weather, first + 1);
    } else {
        turn->from_deg = wp_turn_any(seed);
    }
    aim(turn);
}

double wp_turn_at(struct wp_turn *turn, double t_s)
{
    const struct wp_weather *weather = turn->intervals->weather;
    while (turn->next < weather->n_records && t_s >= turn->to_s) {
        turn->from_s = turn->to_s;
        turn->from_deg = weather->records[turn->next].from_deg;
        turn->next = with_direction(weather, turn->next + 1);
        aim(turn);
    }
    if (turn->next == weather->n_records || t_s <= turn->from_s) {
        return turn->from_deg;
    }
    return turn->from_deg + turn->by_deg * (t_s - turn->from_s) / (turn->to_s - turn->from_s);
}
