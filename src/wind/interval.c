/* SPDX-License-Identifier: MIT */
/* From records to the intervals that they speak of, scaled to the wanted height. */
#include "wind/interval.h"

#include <math.h>

#include "base/exact.h"
#include "wind/practice.h"
#include "wind/spread.h"

/* A record further from the one before than this many averaging times leaves a stretch bare. */
static const double STRETCH_MAX = 1.5;

/* Share of the gust's excess over the mean that the smooth mean may use up. */
static const double LIMIT_SHARE = 0.6;

/* Excess over the mean that stands for the gust where there is none: in sigmas, and at least a
 * share of the mean. */
static const double LIMIT_SIGMAS = 2.0;
static const double LIMIT_LEAST = 0.2;

static bool has_mean(const struct wp_record *record)
{
    return isfinite(record->mean_m_s) && record->mean_m_s >= 0.0;
}

size_t wp_record_usable(const struct wp_weather *weather, size_t index)
{
    while (index < weather->n_records && !has_mean(&weather->records[index])) {
        index++;
    }
    return index;
}

/* The usable record before index, or n_records. */
static size_t usable_before(const struct wp_weather *weather, size_t index)
{
    while (index-- > 0) {
        if (has_mean(&weather->records[index])) {
            return index;
        }
    }
    return weather->n_records;
}

size_t wp_record_last(const struct wp_weather *weather, double t_s)
{
    size_t low = 0;
    size_t high = weather->n_records;
    while (low < high) {
        const size_t middle = low + (high - low) / 2;
        if (weather->records[middle].t_s <= t_s) {
            low = middle + 1;
        } else {
            high = middle;
        }
    }
    const size_t record = usable_before(weather, low);
    return record < weather->n_records ? record : wp_record_usable(weather, 0);
}

void wp_record_air(const struct wp_weather *weather, size_t index, double *temperature_c,
                   double *pressure_pa)
{
    enum { LOOK_BACK = 100 };
    *temperature_c = (double)NAN;
    *pressure_pa = (double)NAN;
    for (size_t i = 0; i <= LOOK_BACK && i <= index; i++) {
        const struct wp_record *record = &weather->records[index - i];
        if (isnan(*temperature_c)) {
            *temperature_c = record->temperature_c;
        }
        if (isnan(*pressure_pa)) {
            *pressure_pa = record->pressure_pa;
        }
        if (!isnan(*temperature_c) && !isnan(*pressure_pa)) {
            return;
        }
    }
}

double wp_record_length(const struct wp_intervals *intervals, size_t record)
{
    const struct wp_record *records = intervals->weather->records;
    const double since_s =
        record > 0 ? records[record].t_s - records[record - 1].t_s : intervals->weather->interval_s;
    return since_s <= STRETCH_MAX * intervals->averaging_s ? since_s : intervals->averaging_s;
}

int64_t wp_intervals_step_at(const struct wp_intervals *intervals, double t_s)
{
    return (int64_t)ceil((t_s - intervals->phase_s) / intervals->step_s - WP_STEP_SLACK);
}

/* Standard deviation of the means within WP_SPREAD_S around a record; NAN when they do not tell. */
static double scatter_around(const struct wp_weather *weather, size_t record)
{
    const double t_s = weather->records[record].t_s;
    size_t first = record;
    while (first > 0 && t_s - weather->records[first - 1].t_s < 0.5 * WP_SPREAD_S) {
        first--;
    }
    struct wp_spread spread;
    wp_spread_init(&spread, weather->records[record].mean_m_s);
    for (size_t i = first; i < weather->n_records; i++) {
        if (weather->records[i].t_s - t_s > 0.5 * WP_SPREAD_S) {
            break;
        }
        if (has_mean(&weather->records[i])) {
            wp_spread_add(&spread, weather->records[i].mean_m_s);
        }
    }
    return wp_spread_sigma(&spread);
}

/* Sigma of a record from whatever tells it. */
static double sigma_of(const struct wp_intervals *intervals, size_t index)
{
    const struct wp_record *record = &intervals->weather->records[index];
    /* A gust that is not above the mean was not measured: many stations repeat the mean. */
    if (intervals->source == WP_SIGMA_FROM_GUSTS && record->gust_m_s > record->mean_m_s) {
        const double factor = wp_gust_table_at(&intervals->table, record->mean_m_s);
        return wp_gust_sigma(record->mean_m_s, record->gust_m_s, factor);
    }
    if (intervals->source == WP_SIGMA_FROM_SCATTER) {
        const double scatter_m_s = scatter_around(intervals->weather, index);
        if (scatter_m_s > 0.0) {
            return scatter_m_s / wp_gust_table_at(&intervals->table, record->mean_m_s);
        }
    }
    return intervals->intensity * record->mean_m_s /
           wp_gust_table_at(&intervals->within, record->mean_m_s);
}

static void set_speeds(const struct wp_intervals *intervals, struct wp_interval *interval)
{
    const struct wp_record *record = &intervals->weather->records[interval->record];
    const double sigma_m_s = sigma_of(intervals, interval->record);
    interval->gust_m_s = (double)NAN;
    double excess_m_s = fmax(LIMIT_SIGMAS * sigma_m_s, LIMIT_LEAST * record->mean_m_s);
    if (record->gust_m_s > record->mean_m_s) {
        excess_m_s = record->gust_m_s - record->mean_m_s;
    }
    interval->mean_m_s = intervals->factor * record->mean_m_s;
    interval->sigma_m_s = fmin(sigma_m_s, WP_SIGMA_MAX * interval->mean_m_s);
    interval->limit_m_s = interval->mean_m_s + LIMIT_SHARE * excess_m_s;
    if (intervals->source == WP_SIGMA_FROM_GUSTS && record->gust_m_s > record->mean_m_s &&
        interval->repeat == 0 && intervals->gust_over_s <= STRETCH_MAX * intervals->averaging_s) {
        interval->gust_m_s = interval->mean_m_s + excess_m_s;
    }
}

static void build(const struct wp_intervals *intervals, size_t record, int64_t repeat,
                  struct wp_interval *interval)
{
    const double end_s = intervals->weather->records[record].t_s - intervals->origin_s;
    const double length_s = wp_record_length(intervals, record);
    *interval = (struct wp_interval){.record = record, .repeat = repeat};
    if (repeat == 0) {
        interval->start_s = end_s - length_s;
        interval->end_s = end_s;
    } else {
        const double from_s = repeat > 0 ? end_s - intervals->hold_s : end_s - length_s;
        interval->start_s = from_s + (double)repeat * intervals->hold_s;
        interval->end_s = interval->start_s + intervals->hold_s;
    }
    interval->first = wp_intervals_step_at(intervals, interval->start_s);
    interval->end = wp_intervals_step_at(intervals, interval->end_s);
    set_speeds(intervals, interval);
}

void wp_interval_after(const struct wp_intervals *intervals, const struct wp_interval *interval,
                       struct wp_interval *next)
{
    const struct wp_weather *weather = intervals->weather;
    const size_t record = interval->record;
    const size_t later = wp_record_usable(weather, record + 1);
    if (interval->repeat < 0 || later == weather->n_records) {
        build(intervals, record, interval->repeat + 1, next);
    } else {
        build(intervals, later, 0, next);
    }
}

void wp_interval_before(const struct wp_intervals *intervals, const struct wp_interval *interval,
                        struct wp_interval *previous)
{
    const struct wp_weather *weather = intervals->weather;
    const size_t record = interval->record;
    const size_t earlier = usable_before(weather, record);
    if (interval->repeat > 0 || earlier == weather->n_records) {
        build(intervals, record, interval->repeat - 1, previous);
    } else {
        build(intervals, earlier, 0, previous);
    }
}

void wp_interval_at(const struct wp_intervals *intervals, double t_s, struct wp_interval *interval)
{
    const size_t record = wp_record_last(intervals->weather, t_s + intervals->origin_s);
    build(intervals, record, 0, interval);
    if (t_s < interval->start_s) {
        const double before_s = interval->start_s - t_s;
        build(intervals, record, -(int64_t)ceil(before_s / intervals->hold_s), interval);
        return;
    }
    struct wp_interval next;
    wp_interval_after(intervals, interval, &next);
    if (next.repeat > 0 && t_s >= next.start_s) {
        const double after_s = t_s - interval->end_s;
        build(intervals, record, 1 + (int64_t)floor(after_s / intervals->hold_s), &next);
    }
    if (next.start_s <= t_s) {
        *interval = next;
    }
}

static void set_exposure(struct wp_intervals *intervals, const struct wp_interval_config *config)
{
    intervals->factor = wp_height_factor(config->station, config->set);
    intervals->intensity =
        isnan(config->intensity) ? wp_height_intensity(config->station) : config->intensity;
    wp_gust_table_scatter(&intervals->within, WP_MEAN_S, WP_INSTANT_S, config->station.height_m);
    intervals->eddy_m = config->set.height_m;
    const double interval_s = intervals->weather->interval_s;
    const double gust_over_s = config->gust_over_s > 0.0   ? config->gust_over_s
                               : config->averaging_s > 0.0 ? config->averaging_s
                                                           : fmin(interval_s, WP_GUST_REPORT_MAX_S);
    intervals->gust_over_s = gust_over_s;
    if (gust_over_s >= WP_GUST_RECORD_MIN * config->gust_s) {
        intervals->source = WP_SIGMA_FROM_GUSTS;
        wp_gust_table_init(&intervals->table, gust_over_s, config->gust_s,
                           config->station.height_m);
    } else if (isnan(config->intensity) && interval_s * WP_SPREAD_LEAST < WP_SPREAD_S) {
        intervals->source = WP_SIGMA_FROM_SCATTER;
        wp_gust_table_scatter(&intervals->table, WP_SPREAD_S, interval_s, config->station.height_m);
    } else {
        intervals->source = WP_SIGMA_FROM_INTENSITY;
    }
}

enum wp_status wp_intervals_init(struct wp_intervals *intervals,
                                 const struct wp_interval_config *config)
{
    const struct wp_weather *weather = config->weather;
    const size_t first = wp_record_usable(weather, 0);
    if (first == weather->n_records) {
        return WP_E_RANGE;
    }
    *intervals = (struct wp_intervals){.weather = weather, .step_s = config->step_s};
    intervals->averaging_s =
        config->averaging_s > 0.0 ? config->averaging_s : fmin(weather->interval_s, WP_MEAN_S);
    intervals->hold_s = fmax(intervals->averaging_s, WP_MEAN_S);
    intervals->origin_s = weather->records[first].t_s - wp_record_length(intervals, first);
    const double start_s = config->start_s - intervals->origin_s;
    intervals->phase_s = start_s - floor(start_s / config->step_s + 0.5) * config->step_s;
    set_exposure(intervals, config);
    return WP_OK;
}
