/* SPDX-License-Identifier: MIT */
#ifndef TESTS_FUZZ_WEATHER_OUTCOME_H
#define TESTS_FUZZ_WEATHER_OUTCOME_H

/* What must hold of any weather that was read, whatever the bytes. */

#include <math.h>
#include <stdlib.h>

#include "windpeal/weather.h"

static inline void require(bool is_true)
{
    if (!is_true) {
        abort();
    }
}

static inline bool is_within(double value, double least, double most)
{
    return isnan(value) || (value >= least && value <= most);
}

static inline void check_record(const struct wp_record *record)
{
    require(isfinite(record->t_s));
    require(is_within(record->mean_m_s, 0.0, 75.0) && is_within(record->gust_m_s, 0.0, 75.0));
    require(!(record->gust_m_s < record->mean_m_s));
    require(is_within(record->from_deg, 0.0, 360.0));
    require(is_within(record->temperature_c, -100.0, 100.0));
    require(is_within(record->pressure_pa, 1e4, 2e5));
}

/* Logs of sessions keep what a live feed told, in its order. */
static inline void check_weather(const struct wp_weather *weather)
{
    require(weather->n_notes <= WP_WEATHER_NOTES_MAX && weather->n_columns <= WP_COLUMNS_MAX);
    if (weather->is_session) {
        return;
    }
    require(weather->n_records > 0 && weather->n_missing < weather->n_records);
    require(weather->interval_s > 0.0);
    for (size_t i = 0; i < weather->n_records; i++) {
        const struct wp_record *const record = &weather->records[i];
        check_record(record);
        require(i == 0 || record[-1].t_s < record->t_s);
    }
    size_t n_rejected = 0;
    for (size_t i = 0; i < weather->n_repairs; i++) {
        require(weather->repairs[i].line > 0 && weather->repairs[i].what[0] != '\0');
        n_rejected += weather->repairs[i].is_rejected ? 1 : 0;
    }
    require(n_rejected == weather->n_rejected);
}

/* Read, or refused with one finding; never both. Frees the weather. */
static inline void check_outcome(enum wp_status status, struct wp_weather *weather,
                                 const struct wp_diags *diags)
{
    require(diags->n_items == (status ? 1U : 0U));
    if (status) {
        require(diags->items[0].status == status);
    } else {
        check_weather(weather);
    }
    wp_weather_finish(weather);
}

/* Most questions answered beforehand. */
static inline struct wp_weather_config told_config(void)
{
    struct wp_weather_config config;
    wp_weather_config_default(&config);
    config.unit = "kt";
    config.utc_offset_s = -5400.0;
    config.is_offset_given = true;
    config.date_order = WP_ORDER_MONTH_FIRST;
    config.year = 2026;
    config.month = 11;
    config.reference_s = 1795586400.0;
    config.interval_s = 1.0;
    config.scale = 0.5;
    return config;
}

#endif
