/* SPDX-License-Identifier: MIT */
#ifndef WINDPEAL_WIND_INTERVAL_H
#define WINDPEAL_WIND_INTERVAL_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "wind/gust.h"
#include "wind/height.h"
#include "wind/vector.h"
#include "windpeal/attributes.h"
#include "windpeal/status.h"
#include "windpeal/weather.h"

/*
 * The stretches of time that the records speak of, in order and without end: before the first
 * record and after the last their values are repeated, averaged over hold_s. Records without a
 * mean are left out. Speeds are those at the wanted height.
 *
 * Time counts in seconds from the start of the first record; steps are multiples of step_s, moved
 * by phase_s so that the wanted start is one of them.
 */

struct wp_interval {
    size_t record;
    int64_t repeat; /* 0: the record itself; below: before the first, above: after the last */
    double start_s;
    double end_s;
    int64_t first; /* steps inside: first <= n < end */
    int64_t end;
    double mean_m_s;
    double sigma_m_s; /* of all turbulence along the wind; at most WP_SIGMA_MAX of the mean */
    double limit_m_s; /* the smooth mean stays below */
    double gust_m_s;  /* strongest within it; NAN: not reported, or of a longer time */
};

/* What tells sigma; each falls back on the next. */
enum wp_sigma_source {
    WP_SIGMA_FROM_GUSTS,   /* records long enough to hold several */
    WP_SIGMA_FROM_SCATTER, /* of the means of short records, which are the gusts themselves */
    WP_SIGMA_FROM_INTENSITY,
};

/* How records are to be read. */
struct wp_interval_config {
    const struct wp_weather *weather; /* must outlive the intervals */
    double start_s;                   /* a moment that must fall on a step, seconds since 1970 */
    double step_s;
    struct wp_exposure station;
    struct wp_exposure set; /* where the wind is wanted */
    double averaging_s;     /* of a record's mean; 0: its interval, at most 600 s */
    double gust_over_s;     /* time whose gust is told; 0: averaging_s, or the interval */
    double gust_s;
    double intensity; /* sigma / mean in ten minutes, without gusts; NAN: from roughness */
};

struct wp_intervals {
    const struct wp_weather *weather;
    double origin_s; /* seconds since 1970 */
    double step_s;
    double phase_s;
    double averaging_s; /* longest stretch of one record */
    double gust_over_s; /* time whose strongest gust is reported */
    double hold_s;
    double factor;    /* wanted height over station */
    double eddy_m;    /* height that the turbulence belongs to */
    double intensity; /* sigma / mean in ten minutes at the station, where nothing else tells */
    enum wp_sigma_source source;
    struct wp_gust_table table; /* of the source */
    /* Share of sigma that ten minutes hold: an intensity is what is measured in them. */
    struct wp_gust_table within;
};

/* WP_E_RANGE when no record has a mean; all else must be in range. */
enum wp_status wp_intervals_init(struct wp_intervals *intervals,
                                 const struct wp_interval_config *config);

/* Step at or next after a time. */
int64_t wp_intervals_step_at(const struct wp_intervals *intervals, double t_s) WP_REALTIME;

/* The last interval that starts at or before a time. */
void wp_interval_at(const struct wp_intervals *intervals, double t_s,
                    struct wp_interval *interval) WP_REALTIME;

/* The neighbours; two neighbours with end == first join, others leave a stretch without record. */
void wp_interval_after(const struct wp_intervals *intervals, const struct wp_interval *interval,
                       struct wp_interval *next) WP_REALTIME;
void wp_interval_before(const struct wp_intervals *intervals, const struct wp_interval *interval,
                        struct wp_interval *previous) WP_REALTIME;

/* Index of the next record with a mean at or past index; n_records when there is none. */
size_t wp_record_usable(const struct wp_weather *weather, size_t index) WP_REALTIME;

/* Index of the usable record that a station has last told at a time (seconds since 1970): the last
 * one that has ended, or the first. */
size_t wp_record_last(const struct wp_weather *weather, double t_s) WP_REALTIME;

/* Temperature and pressure of a record or, where it lacks one, of the last one before that has it;
 * NAN: none of the hundred before has. */
void wp_record_air(const struct wp_weather *weather, size_t index, double *temperature_c,
                   double *pressure_pa) WP_REALTIME;

/* Length of the stretch that a record speaks of. */
double wp_record_length(const struct wp_intervals *intervals, size_t record) WP_REALTIME;

#endif
