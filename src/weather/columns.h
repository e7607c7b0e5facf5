/* SPDX-License-Identifier: MIT */
#ifndef WINDPEAL_WEATHER_COLUMNS_H
#define WINDPEAL_WEATHER_COLUMNS_H

#include "weather/heading_rows.h"
#include "weather/intake.h"
#include "weather/stamp.h"
#include "weather/table.h"

/* Finds the heading of a delimited text and decides which column is what. */

/* A column in use. */
struct wp_column {
    int index; /* from 0; -1: the table has none */
    enum wp_unit unit;
};

/* How to read the rows. */
struct wp_columns {
    char separator;
    bool has_headings;              /* false: the columns are told by number */
    size_t n_headings;              /* fields of the heading row, empty ones at its end left out */
    struct wp_heading_rows heading; /* later copies of its lines are no data */
    struct wp_column of[WP_MEANING_COUNT]; /* stamp, or date and perhaps clock */
    struct wp_stamp_rule rule;             /* the order of dates is not yet known */
    bool has_zone;                         /* the heading names the zone */
    bool is_hour_with_minutes;             /* the column of hours holds hhmm */
    char station_heading[WP_HEADING_SIZE]; /* of the column that names stations */
    bool is_station_doubtful;              /* it may number the rows */
};

/* The whole decision, told in the columns and notes of the intake's weather; an error is in its
 * diags. */
enum wp_status wp_columns_find(struct wp_intake *intake, struct wp_columns *columns);

/* Which column holds the dates: the stamps, the dates, or times that are both. */
enum wp_meaning wp_columns_date(const struct wp_columns *columns);

#endif
