/* SPDX-License-Identifier: MIT */
/* Puts records in order, repairs what cannot be, and sums them up. */
#include "weather/records.h"

#include <math.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

enum { ROWS_AT_FIRST = 256 };

void wp_rows_reserve(struct wp_rows *rows, size_t n)
{
    if (n > rows->capacity && n <= SIZE_MAX / sizeof(struct wp_row)) {
        struct wp_row *const grown = realloc(rows->rows, n * sizeof *grown);
        rows->rows = grown ? grown : rows->rows;
        rows->capacity = grown ? n : rows->capacity;
    }
}

enum wp_status wp_rows_add(struct wp_rows *rows, const struct wp_record *record, int line)
{
    if (rows->n_rows == rows->capacity) {
        const size_t capacity = rows->capacity > 0 ? 2 * rows->capacity : ROWS_AT_FIRST;
        if (capacity > SIZE_MAX / sizeof(struct wp_row)) {
            return WP_E_NO_MEMORY;
        }
        struct wp_row *const grown = realloc(rows->rows, capacity * sizeof *grown);
        if (!grown) {
            return WP_E_NO_MEMORY;
        }
        rows->rows = grown;
        rows->capacity = capacity;
    }
    rows->rows[rows->n_rows++] = (struct wp_row){*record, line};
    return WP_OK;
}

void wp_rows_free(struct wp_rows *rows)
{
    free(rows->rows);
    *rows = (struct wp_rows){NULL, 0, 0};
}

void wp_record_repair(struct wp_record *record, struct wp_tally *tally, int line)
{
    static const struct wp_slice none = {"", 0};
    if (record->gust_m_s == 0.0 && record->mean_m_s > 0.0) {
        wp_tally_add(tally, WP_REPAIR_GUST_ZERO, line, none);
        record->gust_m_s = NAN;
    } else if (record->gust_m_s < record->mean_m_s) {
        wp_tally_add(tally, WP_REPAIR_GUST_BELOW, line, none);
        record->gust_m_s = NAN;
    }
    if (record->mean_m_s == 0.0) {
        record->from_deg = NAN;
    }
}

static int compare_rows(const void *left, const void *right)
{
    const struct wp_row *const a = left;
    const struct wp_row *const b = right;
    const int by_time = (a->record.t_s > b->record.t_s) - (a->record.t_s < b->record.t_s);
    return by_time != 0 ? by_time : (a->line > b->line) - (a->line < b->line);
}

static void sort_rows(struct wp_rows *rows)
{
    for (size_t i = 1; i < rows->n_rows; i++) {
        if (compare_rows(&rows->rows[i - 1], &rows->rows[i]) > 0) {
            qsort(rows->rows, rows->n_rows, sizeof rows->rows[0], compare_rows);
            return;
        }
    }
}

static bool is_same(double a, double b)
{
    return a == b || (isnan(a) && isnan(b));
}

bool wp_record_is_same(const struct wp_record *a, const struct wp_record *b)
{
    return is_same(a->mean_m_s, b->mean_m_s) && is_same(a->gust_m_s, b->gust_m_s) &&
           is_same(a->from_deg, b->from_deg) && is_same(a->temperature_c, b->temperature_c) &&
           is_same(a->pressure_pa, b->pressure_pa);
}

/* Sorted rows, so that no two have one time: the last of them stays, or the first. */
static void drop_repeats(struct wp_rows *rows, bool is_first_kept, struct wp_tally *tally)
{
    size_t kept = 0;
    for (size_t i = 0; i < rows->n_rows; i++) {
        const struct wp_row *const row = &rows->rows[i];
        struct wp_row *const last = kept > 0 ? &rows->rows[kept - 1] : NULL;
        if (!last || last->record.t_s < row->record.t_s) {
            rows->rows[kept++] = *row;
            continue;
        }
        const bool is_repeat = wp_record_is_same(&last->record, &row->record);
        wp_tally_add(tally,
                     is_repeat       ? WP_REPAIR_SAME
                     : is_first_kept ? WP_REPAIR_LATER
                                     : WP_REPAIR_REPLACED,
                     row->line, (struct wp_slice){"", 0});
        *last = is_first_kept ? *last : *row;
    }
    rows->n_rows = kept;
}

static int compare_doubles(const void *left, const void *right)
{
    const double a = *(const double *)left;
    const double b = *(const double *)right;
    return (a > b) - (a < b);
}

/* Median of n ascending times' steps; 600 s, WMO's time for a mean wind (Guide to Instruments,
 * WMO-No. 8), when there is none. Steps are collected in place of the times. */
static double median_step(double *times_s, size_t n)
{
    if (n < 2) {
        return 600.0;
    }
    bool is_even = true;
    for (size_t i = 0; i + 1 < n; i++) {
        times_s[i] = times_s[i + 1] - times_s[i];
        is_even = is_even && times_s[i] == times_s[0];
    }
    if (!is_even) {
        qsort(times_s, n - 1, sizeof times_s[0], compare_doubles);
    }
    return times_s[(n - 1) / 2];
}

static void note_gaps(struct wp_weather *weather)
{
    size_t n = 0;
    char first[32] = "";
    for (size_t i = 1; i < weather->n_records; i++) {
        const struct wp_record *const record = &weather->records[i - 1];
        if (record[1].t_s - record[0].t_s > 2.5 * weather->interval_s) {
            if (n == 0) {
                wp_time_format(record->t_s, first, sizeof first);
            }
            n++;
        }
    }
    if (n > 0) {
        wp_weather_note(weather,
                        "%zu gap%s longer than 2.5 intervals, the first after %s: "
                        "the wind is drawn straight across",
                        n, n == 1 ? "" : "s", first);
    }
}

/* The records of the rows, in the same memory, which is cut to their size; NULL: no memory. */
static struct wp_record *take_records(struct wp_rows *rows)
{
    char *const at = (char *)rows->rows; /* at least one row */
    for (size_t i = 0; i < rows->n_rows; i++) {
        memmove(at + i * sizeof(struct wp_record), &rows->rows[i].record, sizeof(struct wp_record));
    }
    void *const cut = realloc(at, rows->n_rows * sizeof(struct wp_record));
    if (cut) {
        *rows = (struct wp_rows){NULL, 0, 0};
    }
    return cut;
}

/* Interval, missing means. */
static enum wp_status sum_up(struct wp_weather *weather)
{
    const size_t n = weather->n_records;
    double *const times_s = malloc((n > 0 ? n : 1) * sizeof *times_s);
    if (!times_s) {
        return WP_E_NO_MEMORY;
    }
    for (size_t i = 0; i < n; i++) {
        times_s[i] = weather->records[i].t_s;
        weather->n_missing += isnan(weather->records[i].mean_m_s) ? 1 : 0;
    }
    weather->interval_s = median_step(times_s, n);
    free(times_s);
    return WP_OK;
}

enum wp_status wp_rows_finish(struct wp_rows *rows, enum wp_same_time same_time,
                              struct wp_tally *tally, struct wp_weather *weather)
{
    sort_rows(rows);
    drop_repeats(rows, same_time == WP_SAME_TIME_FIRST, tally);
    const size_t n_records = rows->n_rows;
    weather->records = take_records(rows);
    if (!weather->records) {
        return WP_E_NO_MEMORY;
    }
    weather->n_records = n_records;
    weather->n_missing = 0;
    const enum wp_status status = sum_up(weather);
    if (!status) {
        note_gaps(weather);
    }
    return status;
}

void wp_weather_config_default(struct wp_weather_config *config)
{
    *config = (struct wp_weather_config){.day_s = NAN, .reference_s = NAN, .scale = 1.0};
}

void wp_weather_finish(struct wp_weather *weather)
{
    free(weather->records);
    free(weather->repairs);
    memset(weather, 0, sizeof *weather);
}

void wp_weather_move(struct wp_weather *weather, double by_s)
{
    for (size_t i = 0; i < weather->n_records; i++) {
        weather->records[i].t_s += by_s;
    }
    wp_weather_note(weather,
                    "times are the start of what each record tells, as given: moved by "
                    "%g s",
                    by_s);
}

void wp_weather_span(const struct wp_weather *weather, double *start_s, double *end_s)
{
    *start_s = 0.0;
    *end_s = 0.0;
    if (weather->is_session) {
        *start_s = weather->start_s;
        *end_s = weather->end_s;
    } else if (weather->n_records > 0) {
        *start_s = weather->records[0].t_s - weather->interval_s;
        *end_s = weather->records[weather->n_records - 1].t_s;
    }
}

void wp_weather_summary(const struct wp_weather *weather, double *mean_m_s, double *max_gust_m_s)
{
    double sum_m_s = 0.0;
    double most_m_s = NAN;
    for (size_t i = 0; i < weather->n_records; i++) {
        const struct wp_record *const record = &weather->records[i];
        sum_m_s += isnan(record->mean_m_s) ? 0.0 : record->mean_m_s;
        most_m_s = fmax(most_m_s, fmax(record->mean_m_s, record->gust_m_s));
    }
    const size_t n_means = weather->n_records - weather->n_missing;
    *mean_m_s = n_means > 0 ? sum_m_s / (double)n_means : (double)NAN;
    *max_gust_m_s = most_m_s;
}
