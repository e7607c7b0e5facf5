/* SPDX-License-Identifier: MIT */
/*
 * A real data set: hourly normals 1981-2010 of Seattle-Tacoma airport by NOAA's National Climatic
 * Data Center (a work of the United States government, in the public domain there), as the npm
 * package vega-datasets 3.2.1 ships it in data/seattle-weather-hourly-normals.csv. The environment
 * variable WINDPEAL_OPEN_DATA names the package's folder data; without it the test is skipped.
 *
 * The figures were computed from the same file with Python's csv and datetime modules.
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

enum { SKIPPED = 77, HOURS = 8759 };

static int load_normals(void **state)
{
    static struct wp_weather weather;
    struct wp_diags diags;
    char path[512];
    wp_diags_init(&diags);
    (void)snprintf(path, sizeof path, "%s/seattle-weather-hourly-normals.csv",
                   getenv("WINDPEAL_OPEN_DATA"));
    if (wp_weather_load(&weather, path, NULL, &diags)) {
        print_error("%s: %s\n", path, diags.items[0].message);
        return -1;
    }
    *state = &weather;
    return 0;
}

static int free_normals(void **state)
{
    wp_weather_finish(*state);
    return 0;
}

static void year_of_hours_is_read_whole(void **state)
{
    const struct wp_weather *const weather = *state;
    assert_int_equal(weather->n_records, HOURS);
    assert_int_equal(weather->n_missing, 0);
    assert_int_equal(weather->n_rejected, 0);
    assert_near(weather->interval_s, 3600.0, 0.0);
    for (size_t i = 0; i < HOURS; i++) {
        assert_near(weather->records[i].t_s, 1262307600.0 + 3600.0 * (double)i, 0.0);
    }
}

static void wind_and_temperature_have_their_means(void **state)
{
    const struct wp_weather *const weather = *state;
    double mean_m_s = 0.0;
    double max_m_s = 0.0;
    double sum_c = 0.0;
    wp_weather_summary(weather, &mean_m_s, &max_m_s);
    for (size_t i = 0; i < weather->n_records; i++) {
        sum_c += weather->records[i].temperature_c;
    }
    assert_near(mean_m_s, 3.597636716520, 1e-10);
    assert_near(max_m_s, 4.7, 0.0);
    assert_near(sum_c / HOURS, 11.127617307912, 1e-10);
}

static void single_hours_are_those_of_the_file(void **state)
{
    const struct wp_record *const records = ((const struct wp_weather *)*state)->records;
    assert_near(records[1000].t_s, 1265907600.0, 0.0);
    assert_near(records[1000].mean_m_s, 4.1, 0.0);
    assert_near(records[1000].temperature_c, 7.7, 0.0);
    assert_near(records[2174].mean_m_s, 4.7, 0.0);
    assert_near(records[5000].mean_m_s, 3.1, 0.0);
    assert_near(records[5000].temperature_c, 17.8, 0.0);
}

int main(void)
{
    if (!getenv("WINDPEAL_OPEN_DATA")) {
        puts("skipped: WINDPEAL_OPEN_DATA does not name the folder data of vega-datasets 3.2.1");
        return SKIPPED;
    }
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(year_of_hours_is_read_whole),
        cmocka_unit_test(wind_and_temperature_have_their_means),
        cmocka_unit_test(single_hours_are_those_of_the_file),
    };
    return cmocka_run_group_tests(tests, load_normals, free_normals);
}
