/* SPDX-License-Identifier: MIT */
#ifndef WINDPEAL_WEATHER_CALENDAR_H
#define WINDPEAL_WEATHER_CALENDAR_H

#include <stdbool.h>
#include <stdint.h>

/*
 * The Gregorian calendar, extended backwards (ISO 8601), by whole-number arithmetic: no time zone
 * data, no locale. Days count from 1970-01-01.
 */

/* A day of the calendar. */
struct wp_date {
    int year;  /* 1 to 9999, what RFC 3339 can write */
    int month; /* 1 to 12 */
    int day;   /* 1 to 31 */
};

/* True when the calendar has this day. */
bool wp_date_is_valid(struct wp_date date);

/* Days from 1970-01-01 to a valid date, negative before. */
int64_t wp_date_to_days(struct wp_date date);

/* The date of a day, which must lie in the years 1 to 9999. */
struct wp_date wp_date_from_days(int64_t days);

/* The date of a time; t_s within these years. */
struct wp_date wp_date_at(double t_s);

#endif
