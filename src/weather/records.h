/* SPDX-License-Identifier: MIT */
#ifndef WINDPEAL_WEATHER_RECORDS_H
#define WINDPEAL_WEATHER_RECORDS_H

#include <stdbool.h>
#include <stddef.h>

#include "weather/tally.h"
#include "windpeal/weather.h"

/* Gathers records in the order of a file and puts them in the order of time. */

/* A record and the line it stood on. */
struct wp_row {
    struct wp_record record;
    int line;
};

struct wp_rows {
    struct wp_row *rows;
    size_t n_rows;
    size_t capacity;
};

/* Makes room for n at once, so that a long file's rows need not be copied as they become more; that
 * may fail without harm. Memory which is not used then is not touched. */
void wp_rows_reserve(struct wp_rows *rows, size_t n);

/* Appends one; WP_OK or WP_E_NO_MEMORY, after which what was there stays. */
enum wp_status wp_rows_add(struct wp_rows *rows, const struct wp_record *record, int line);

/* True when two records tell the same, whatever their times. */
bool wp_record_is_same(const struct wp_record *a, const struct wp_record *b);

/*
 * Sorts by time, drops repeats (counted in tally; of two records of one time the one of the later
 * line counts unless the first is wanted) and fills records, n_records, n_missing and interval_s of
 * weather. The memory of rows becomes that of the records: rows, which holds at least one, is empty
 * afterwards.
 */
enum wp_status wp_rows_finish(struct wp_rows *rows, enum wp_same_time same_time,
                              struct wp_tally *tally, struct wp_weather *weather);

/* Frees what rows holds. */
void wp_rows_free(struct wp_rows *rows);

/* Gusts that cannot be, and the direction of still air, become missing; counted in tally. */
void wp_record_repair(struct wp_record *record, struct wp_tally *tally, int line);

#endif
