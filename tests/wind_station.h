/* SPDX-License-Identifier: MIT */
#ifndef WINDPEAL_TESTS_WIND_STATION_H
#define WINDPEAL_TESTS_WIND_STATION_H

/* A station of made-up records, and a wind over it. Include after cmocka.h. */

#include <math.h>
#include <stdlib.h>

#include "windpeal/wind.h"

enum { STATION_RECORDS_MAX = 720 };

struct station {
    struct wp_weather weather;
    struct wp_record records[STATION_RECORDS_MAX];
};

/* n records of interval_s, the first one ending at interval_s, all alike. */
static inline void station_init(struct station *station, size_t n, double interval_s,
                                double mean_m_s, double gust_m_s)
{
    assert_true(n <= STATION_RECORDS_MAX);
    *station = (struct station){.weather = {.n_records = n, .interval_s = interval_s}};
    station->weather.records = station->records;
    for (size_t i = 0; i < n; i++) {
        station->records[i] = (struct wp_record){.t_s = (double)(i + 1) * interval_s,
                                                 .mean_m_s = mean_m_s,
                                                 .gust_m_s = gust_m_s,
                                                 .from_deg = 240.0,
                                                 .temperature_c = (double)NAN,
                                                 .pressure_pa = (double)NAN};
    }
}

/* Wind at the station's own height of 10 m, from the start of its records. */
static inline struct wp_wind_config station_config(const struct station *station, uint64_t seed)
{
    struct wp_wind_config config;
    wp_wind_config_default(&config);
    config.weather = &station->weather;
    config.height_m = 10.0;
    config.roughness_m = 0.03;
    config.is_as_given = true;
    config.seed = seed;
    return config;
}

static inline struct wp_wind *station_wind(const struct wp_wind_config *config)
{
    struct wp_wind *wind = NULL;
    assert_int_equal(wp_wind_create(&wind, config), WP_OK);
    assert_non_null(wind);
    return wind;
}

/* The next n samples; free() them. */
static inline struct wp_wind_sample *station_samples(const struct wp_wind_config *config, size_t n)
{
    struct wp_wind *wind = station_wind(config);
    struct wp_wind_sample *samples = malloc(n * sizeof *samples);
    assert_non_null(samples);
    for (size_t i = 0; i < n; i++) {
        wp_wind_step(wind, &samples[i]);
    }
    wp_wind_destroy(wind);
    return samples;
}

/* Mean speed of samples first to end. */
static inline double station_mean(const struct wp_wind_sample *samples, size_t first, size_t end)
{
    double sum = 0.0;
    for (size_t i = first; i < end; i++) {
        sum += samples[i].speed_m_s;
    }
    return sum / (double)(end - first);
}

#endif
