/* SPDX-License-Identifier: MIT */
/*
 * Real data sets, fetched by .ci/run; the environment variable WINDPEAL_OPEN_DATA names their
 * folder, without it the test is skipped.
 *
 * seattle-weather.csv: daily weather of Seattle 2012 to 2015 from NOAA's National Climatic Data
 * Center (a work of the United States government, in the public domain there), as Debian's package
 * python3-vega-datasets 0.9 ships it.
 * seattle-weather-hourly-normals.csv: NOAA's hourly normals of Seattle, from the npm package
 * vega-datasets 3.2.1 (BSD-3-Clause).
 * weather.csv: daily weather of two cities in one file, from the same package.
 * plaka.log: four hours of a yacht's instruments, NMEA 0183, from the npm package signalk-server
 * 2.23.0 (Apache-2.0).
 *
 * The figures were computed from the same files with Python: its csv and datetime modules; for
 * plaka.log the mean of the MWV,T sentences before each ZDA, checksums by exclusive or.
 */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#include "../near.h"
#include "windpeal/weather.h"

enum { SKIPPED = 77, DAYS = 1461 };

static enum wp_status load(const char *name, struct wp_weather *weather, struct wp_diags *diags)
{
    char path[512];
    wp_diags_init(diags);
    (void)snprintf(path, sizeof path, "%s/%s", getenv("WINDPEAL_OPEN_DATA"), name);
    return wp_weather_load(weather, path, NULL, diags);
}

static struct wp_weather must_load(const char *name)
{
    struct wp_weather weather;
    struct wp_diags diags;
    if (load(name, &weather, &diags)) {
        fail_msg("%s:%d: %s", name, diags.items[0].mark.line, diags.items[0].message);
    }
    return weather;
}

static void four_years_of_days_are_read_whole(void **state)
{
    (void)state;
    struct wp_weather weather = must_load("seattle-weather.csv");
    double mean_m_s = 0.0;
    double max_m_s = 0.0;
    assert_int_equal(weather.n_records, DAYS);
    assert_int_equal(weather.n_missing, 0);
    assert_int_equal(weather.n_rejected, 0);
    assert_near(weather.interval_s, 86400.0, 0.0);
    for (size_t i = 0; i < DAYS; i++) {
        assert_near(weather.records[i].t_s, 1325376000.0 + 86400.0 * (double)i, 0.0);
    }
    wp_weather_summary(&weather, &mean_m_s, &max_m_s);
    assert_near(mean_m_s, 3.241136208076654, 1e-10);
    assert_near(max_m_s, 9.5, 0.0);
    assert_near(weather.records[0].mean_m_s, 4.7, 0.0);
    assert_near(weather.records[700].mean_m_s, 8.8, 0.0);
    assert_near(weather.records[1460].mean_m_s, 3.5, 0.0);
    wp_weather_finish(&weather);
}

static void year_of_hourly_normals_is_read_whole(void **state)
{
    (void)state;
    struct wp_weather weather = must_load("seattle-weather-hourly-normals.csv");
    double mean_m_s = 0.0;
    double max_m_s = 0.0;
    wp_weather_summary(&weather, &mean_m_s, &max_m_s);
    assert_int_equal(weather.n_records, 8759);
    assert_int_equal(weather.n_rejected, 0);
    assert_near(weather.interval_s, 3600.0, 0.0);
    assert_near(mean_m_s, 3.5976367165201504, 1e-10);
    assert_near(max_m_s, 4.7, 0.0);
    assert_near(weather.records[5000].t_s, 1280307600.0, 0.0);
    assert_near(weather.records[5000].mean_m_s, 3.1, 0.0);
    assert_near(weather.records[5000].temperature_c, 17.8, 0.0);
    assert_near(weather.records[5000].pressure_pa, 101870.0, 1e-6);
    wp_weather_finish(&weather);
}

static void instruments_of_a_yacht_are_read(void **state)
{
    (void)state;
    struct wp_weather weather = must_load("plaka.log");
    double mean_m_s = 0.0;
    double max_m_s = 0.0;
    wp_weather_summary(&weather, &mean_m_s, &max_m_s);
    assert_string_equal(weather.format, "NMEA 0183");
    assert_int_equal(weather.n_records, 3618);
    assert_near(weather.interval_s, 4.0, 0.0);
    assert_near(mean_m_s, 3.3058771604938277, 1e-10);
    assert_near(max_m_s, 11.785922222222222, 1e-10);
    /* 09:56:01 to 14:03:24 of a day that the log does not tell: ZDA has no date. */
    assert_near(weather.records[0].t_s, 35761.0, 0.0);
    assert_near(weather.records[3617].t_s, 50604.0, 0.0);
    assert_near(weather.records[0].mean_m_s, 8.16 * 1852.0 / 3600.0, 1e-12);
    assert_near(weather.records[0].from_deg, 313.0, 1e-9);
    wp_weather_finish(&weather);
}

static void two_cities_in_one_file_are_asked_about(void **state)
{
    (void)state;
    struct wp_weather weather;
    struct wp_diags diags;
    assert_int_equal(load("weather.csv", &weather, &diags), WP_E_AMBIGUOUS);
    assert_non_null(strstr(diags.items[0].message, "expected one station"));
}

int main(void)
{
    if (!getenv("WINDPEAL_OPEN_DATA")) {
        puts("skipped: WINDPEAL_OPEN_DATA does not name a folder of open data sets");
        return SKIPPED;
    }
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(four_years_of_days_are_read_whole),
        cmocka_unit_test(year_of_hourly_normals_is_read_whole),
        cmocka_unit_test(instruments_of_a_yacht_are_read),
        cmocka_unit_test(two_cities_in_one_file_are_asked_about),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
