/* SPDX-License-Identifier: MIT */
/* NDBC text: years of both kinds, missing values, gusts of continuous winds. */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>

#include "../near.h"
#include "../weather_text.h"

/* 2026-11-25T06:00:00Z: date -u -d 2026-11-25T06:00 +%s */
static const double six_s = 1795586400.0;

/* 1996-11-25T06:00:00Z: date -u -d 1996-11-25T06:00 +%s */
static const double six_1996_s = 848901600.0;

static void old_files_have_short_years_and_no_minutes(void **state)
{
    (void)state;
    struct wp_weather weather = weather_of("YY MM DD hh WD   WSPD GST  WVHT  BAR    ATMP\n"
                                           "96 11 25 06 126 09.2 11.0 03.00 1016.6 018.9\n"
                                           "96 11 25 07 999 99.0 99.0 99.00 9999.0 999.0\n",
                                           NULL);
    assert_int_equal(weather.n_records, 2);
    assert_near(weather.records[0].t_s, six_1996_s, 0.0);
    assert_near(weather.records[0].mean_m_s, 9.2, 0.0);
    assert_near(weather.records[0].gust_m_s, 11.0, 0.0);
    assert_near(weather.records[0].from_deg, 126.0, 0.0);
    assert_near(weather.records[0].pressure_pa, 101660.0, 1e-9);
    assert_true(isnan(weather.records[1].mean_m_s) && isnan(weather.records[1].gust_m_s));
    assert_true(isnan(weather.records[1].from_deg) && isnan(weather.records[1].temperature_c));
    assert_int_equal(weather.n_repairs, 0);
    wp_weather_finish(&weather);
}

/* "Maximum 5-second peak gust during the measurement hour", with its time: it is not that of the
 * record beside which it stands. */
static void gust_of_the_hour_goes_to_its_own_ten_minutes(void **state)
{
    (void)state;
    static const char *const texts[] = {
        /* newest first, as the real-time files have it, and the other way round */
        "#YY  MM DD hh mm WDIR WSPD GDR GST GTIME\n"
        "2026 11 25 06 50 239  4.7 240  7.3 0612\n"
        "2026 11 25 06 30 239  4.5 999 99.0 9999\n"
        "2026 11 25 06 20 239  4.4 999 99.0 9999\n"
        "2026 11 25 06 10 239  4.3 999 99.0 9999\n",
        "#YY  MM DD hh mm WDIR WSPD GDR GST GTIME\n"
        "2026 11 25 06 10 239  4.3 999 99.0 9999\n"
        "2026 11 25 06 20 239  4.4 999 99.0 9999\n"
        "2026 11 25 06 30 239  4.5 999 99.0 9999\n"
        "2026 11 25 06 50 239  4.7 240  7.3 0612\n"};
    for (size_t i = 0; i < 2; i++) {
        struct wp_weather weather = weather_of(texts[i], NULL);
        assert_int_equal(weather.n_records, 4);
        assert_near(weather.averaging_s, 600.0, 0.0);
        for (size_t k = 0; k < 4; k++) {
            assert_int_equal(isnan(weather.records[k].gust_m_s) == 0, k == 1);
        }
        assert_near(weather.records[1].t_s, six_s + 1200.0, 0.0);
        assert_near(weather.records[1].gust_m_s, 7.3, 0.0);
        wp_weather_finish(&weather);
    }
}

static void gust_below_the_mean_of_its_ten_minutes_is_missing(void **state)
{
    (void)state;
    struct wp_weather weather = weather_of("#YY  MM DD hh mm WDIR WSPD GDR GST GTIME\n"
                                           "2026 11 25 06 10 239  9.3 999 99.0 9999\n"
                                           "2026 11 25 06 20 239  4.7 240  7.3 0605\n",
                                           NULL);
    assert_true(isnan(weather.records[0].gust_m_s) && isnan(weather.records[1].gust_m_s));
    assert_int_equal(weather.n_repairs, 1);
    assert_int_equal(weather.repairs[0].line, 2);
    wp_weather_finish(&weather);
}

static void rows_that_are_none_are_rejected(void **state)
{
    (void)state;
    struct wp_weather weather = weather_of("#YY  MM DD hh mm WDIR WSPD GST\n"
                                           "2026 11 25 06 00 200  5.0  7.0\n"
                                           "2026 11 31 06 00 200  5.0  7.0\n"
                                           "2026 11 25\n",
                                           NULL);
    assert_int_equal(weather.n_records, 1);
    assert_int_equal(weather.n_rejected, 2);
    assert_int_equal(weather.repairs[0].line, 3);
    assert_int_equal(weather.repairs[1].line, 4);
    wp_weather_finish(&weather);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(old_files_have_short_years_and_no_minutes),
        cmocka_unit_test(gust_of_the_hour_goes_to_its_own_ten_minutes),
        cmocka_unit_test(gust_below_the_mean_of_its_ten_minutes_is_missing),
        cmocka_unit_test(rows_that_are_none_are_rejected),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
