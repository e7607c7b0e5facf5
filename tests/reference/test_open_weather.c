/* SPDX-License-Identifier: MIT */
/*
 * A real data set: daily weather of Seattle 2012 to 2015 from NOAA's National Climatic Data Center
 * (a work of the United States government, in the public domain there), as Debian's package
 * python3-vega-datasets 0.9 ships it in seattle-weather.csv. The environment variable
 * WINDPEAL_OPEN_DATA names the folder of that file; without it the test is skipped.
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

enum { SKIPPED = 77, DAYS = 1461 };

static int load_days(void **state)
{
    static struct wp_weather weather;
    struct wp_diags diags;
    char path[512];
    wp_diags_init(&diags);
    (void)snprintf(path, sizeof path, "%s/seattle-weather.csv", getenv("WINDPEAL_OPEN_DATA"));
    if (wp_weather_load(&weather, path, NULL, &diags)) {
        print_error("%s: %s\n", path, diags.items[0].message);
        return -1;
    }
    *state = &weather;
    return 0;
}

static int free_days(void **state)
{
    wp_weather_finish(*state);
    return 0;
}

static void four_years_of_days_are_read_whole(void **state)
{
    const struct wp_weather *const weather = *state;
    assert_int_equal(weather->n_records, DAYS);
    assert_int_equal(weather->n_missing, 0);
    assert_int_equal(weather->n_rejected, 0);
    assert_near(weather->interval_s, 86400.0, 0.0);
    for (size_t i = 0; i < DAYS; i++) {
        assert_near(weather->records[i].t_s, 1325376000.0 + 86400.0 * (double)i, 0.0);
    }
}

static void wind_has_its_mean_and_maximum(void **state)
{
    double mean_m_s = 0.0;
    double max_m_s = 0.0;
    wp_weather_summary(*state, &mean_m_s, &max_m_s);
    assert_near(mean_m_s, 3.241136208076654, 1e-10);
    assert_near(max_m_s, 9.5, 0.0);
}

static void single_days_are_those_of_the_file(void **state)
{
    const struct wp_record *const records = ((const struct wp_weather *)*state)->records;
    assert_near(records[0].mean_m_s, 4.7, 0.0);
    assert_near(records[700].mean_m_s, 8.8, 0.0);
    assert_near(records[1460].mean_m_s, 3.5, 0.0);
}

int main(void)
{
    if (!getenv("WINDPEAL_OPEN_DATA")) {
        puts("skipped: WINDPEAL_OPEN_DATA does not name the folder of seattle-weather.csv");
        return SKIPPED;
    }
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(four_years_of_days_are_read_whole),
        cmocka_unit_test(wind_has_its_mean_and_maximum),
        cmocka_unit_test(single_days_are_those_of_the_file),
    };
    return cmocka_run_group_tests(tests, load_days, free_days);
}
