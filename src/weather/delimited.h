/* SPDX-License-Identifier: MIT */
#ifndef WINDPEAL_WEATHER_DELIMITED_H
#define WINDPEAL_WEATHER_DELIMITED_H

#include "weather/columns.h"
#include "weather/intake.h"
#include "weather/line_format.h"

/* Delimited text with a heading, row by row. */

/* How to read the rows of one table. */
struct wp_delimited {
    struct wp_columns columns;
    enum wp_letter_o letter_o;
    bool has_times;  /* some column tells them */
    size_t n_needed; /* fields of a row up to its time and wind speed */
    size_t n_wanted; /* up to the last that is used */
    size_t n_usual;  /* of the longest row; 0: not known */
};

/* Finds the heading in the source of the intake, which reaches to the first row of values at least.
 * The order of dates and the letter for east are those that are given, or unknown. */
enum wp_status wp_delimited_begin(struct wp_intake *intake, struct wp_delimited *table);

/* True for one of the headings, which a logger writes again after a pause. */
bool wp_delimited_is_heading(const struct wp_columns *columns, struct wp_slice line);

/* Reads a row. The record's t_s is its own time. */
enum wp_line_outcome wp_delimited_row(struct wp_intake *intake, const struct wp_delimited *table,
                                      struct wp_slice line, int number, struct wp_record *record);

/* wp_delimited_read where a format settles the zone of its times; zone_known says how. */
enum wp_status wp_delimited_read_as(const struct wp_source *source,
                                    const struct wp_weather_config *config, const char *zone_known,
                                    struct wp_weather *weather, struct wp_diags *diags);

#endif
