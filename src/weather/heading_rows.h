/* SPDX-License-Identifier: MIT */
#ifndef WINDPEAL_WEATHER_HEADING_ROWS_H
#define WINDPEAL_WEATHER_HEADING_ROWS_H

#include <stdbool.h>
#include <stddef.h>

#include "weather/heading.h"
#include "weather/table.h"

/* The rows above a table's values, and the best column for each meaning. */

enum { WP_HEADING_ROWS = 3, WP_HEADING_SIZE = 96 };

/* The rows just above the first row of values; the last one is the nearest. */
struct wp_heading_rows {
    struct wp_slice line[WP_HEADING_ROWS];
    int number[WP_HEADING_ROWS];
    size_t n_lines;
    int first_row; /* line of the first values, 0 without any */
};

/* The headings of all columns, and what was chosen among them. */
struct wp_candidates {
    char text[WP_FIELDS_MAX][WP_HEADING_SIZE];
    struct wp_heading heading[WP_FIELDS_MAX];
    size_t n_columns;            /* empty headings at the end left out */
    int best[WP_MEANING_COUNT];  /* index, -1: none */
    int rival[WP_MEANING_COUNT]; /* as good as the best, -1: none */
    int other[WP_MEANING_COUNT]; /* fits too, but worse, -1: none */
};

/*
 * Collects the rows between a line and the next row of values: those above the first values when
 * after_line is 0. Without any row there, the last comment, where some programs put the heading.
 */
void wp_heading_rows_find(struct wp_slice text, char separator, int after_line,
                          struct wp_heading_rows *rows);

/*
 * Joins as few of the rows as make sense of the table (those above may be a station's name), column
 * by column, and chooses: the best fit, then the shortest text. A row of units goes into brackets.
 *
 * Returns how many flaws are left: no wind speed, no time, two columns that fit equally well.
 */
int wp_candidates_choose(const struct wp_heading_rows *rows, char separator,
                         struct wp_candidates *candidates);

/* No column known: a table without headings. */
void wp_candidates_empty(struct wp_candidates *candidates);

/* Gives a column, from 0, one meaning and no other; beyond the headings it gets its number for a
 * name. */
void wp_candidates_set(struct wp_candidates *candidates, enum wp_meaning meaning, int index);

/* Leaves one way to tell the time: a stamp, else a date or its parts, perhaps with a clock or its
 * parts. */
void wp_candidates_settle_time(struct wp_candidates *candidates);

/* True when there is a stamp, a date or a time of day. */
bool wp_candidates_have_time(const struct wp_candidates *candidates);

#endif
