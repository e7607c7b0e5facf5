/* SPDX-License-Identifier: MIT */
#ifndef WINDPEAL_WEATHER_STAMP_H
#define WINDPEAL_WEATHER_STAMP_H

#include <stdbool.h>

#include "weather/table.h"
#include "windpeal/weather.h"

/* Time stamps as tables have them: ISO 8601, day and month in either order, epoch counts. */

/* What the column's heading and the other rows tell about a stamp. */
struct wp_stamp_rule {
    enum wp_date_order order; /* dates with the year in front or full stops need none */
    double zone_s;            /* offset from UTC of stamps without one of their own */
    double tick_s;        /* unit of bare numbers; 0: by their number of digits (s, ms, us, ns) */
    bool has_serial_days; /* bare numbers are a spreadsheet's days since 1899-12-30 */
    int year;             /* of dates without one; 0: unknown */
};

/* One stamp, understood. */
struct wp_stamp {
    double t_s;    /* seconds since 1970-01-01 UTC */
    bool has_zone; /* the stamp names its zone, or is a count */
    bool is_count; /* of seconds since some start: too few for an epoch of our time */
};

/**
 * Reads a whole stamp: a date (also 11 Apr 2026, Apr 11, 2026, or without a year 11.04. and 4/11),
 * blank or 'T', a clock (24 h, or 12 h with AM or PM; 24:00 is the next midnight; 60 s is the
 * second after), a zone (Z, UTC, GMT, +hh:mm, +hhmm, +hh); or the forms yyyymmdd[hhmm[ss]]; or an
 * epoch count. A date alone is its midnight.
 *
 * @return WP_OK; WP_E_SYNTAX; WP_E_RANGE: no such day or time; WP_E_AMBIGUOUS: the order of day and
 *         month is needed and unknown; WP_E_MISSING: no year, and none in the rule. stamp is
 *         untouched on failure.
 */
enum wp_status wp_stamp_read(struct wp_slice text, const struct wp_stamp_rule *rule,
                             struct wp_stamp *stamp);

/* The year that is written in so many digits: 26 is 2026. */
int wp_year_in_full(int year, int n_digits);

/* Seconds of the day of a whole text such as 6:05 or 6:05:30 PM; false: none, or more than that. */
bool wp_clock_read(struct wp_slice text, double *seconds);

/* True for 45000.5, as a spreadsheet counts the days of 1990 to 2049 when it shows no dates. */
bool wp_stamp_is_serial(struct wp_slice text);

/*
 * True when the stamp's date is of the form 3/4/2026 or 3-4-2026; order: what this one date
 * proves (a number above 12 is a day), else WP_ORDER_UNKNOWN.
 */
bool wp_stamp_needs_order(struct wp_slice text, enum wp_date_order *order);

/* "UTC", "GMT+1" or "UTC+01:00" inside a heading: the offset of the column's stamps. */
bool wp_stamp_zone_in(struct wp_slice heading, double *zone_s);

#endif
