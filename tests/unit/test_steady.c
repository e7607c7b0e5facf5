/* SPDX-License-Identifier: MIT */
/* Steady winds as reports of 10 minutes. */
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

static void fixed_wind_is_reports_of_ten_minutes(void **state)
{
    (void)state;
    struct wp_weather weather;
    double start_s = -1.0;
    double end_s = -1.0;
    assert_int_equal(wp_weather_fixed(&weather, 5.0, 9.0, 240.0, 3600.0), WP_OK);
    assert_string_equal(weather.format, "fixed wind");
    assert_int_equal(weather.n_records, 6);
    for (size_t i = 0; i < 6; i++) {
        assert_near(weather.records[i].t_s, 600.0 * (double)(i + 1), 0.0);
        assert_near(weather.records[i].mean_m_s, 5.0, 0.0);
        assert_near(weather.records[i].gust_m_s, 9.0, 0.0);
        assert_near(weather.records[i].from_deg, 240.0, 0.0);
        assert_true(isnan(weather.records[i].temperature_c));
    }
    wp_weather_span(&weather, &start_s, &end_s);
    assert_near(start_s, 0.0, 0.0);
    assert_near(end_s, 3600.0, 0.0);
    wp_weather_finish(&weather);
}

static void part_of_a_report_is_a_whole_one(void **state)
{
    (void)state;
    struct wp_weather weather;
    assert_int_equal(wp_weather_fixed(&weather, 5.0, NAN, NAN, 601.0), WP_OK);
    assert_int_equal(weather.n_records, 2);
    wp_weather_finish(&weather);
    assert_int_equal(wp_weather_fixed(&weather, 5.0, NAN, NAN, 0.1), WP_OK);
    assert_int_equal(weather.n_records, 1);
    assert_near(weather.interval_s, 600.0, 0.0);
    wp_weather_finish(&weather);
}

static void still_air_has_no_direction(void **state)
{
    (void)state;
    struct wp_weather weather;
    assert_int_equal(wp_weather_fixed(&weather, 0.0, NAN, 240.0, 600.0), WP_OK);
    assert_true(isnan(weather.records[0].from_deg));
    wp_weather_finish(&weather);
    assert_int_equal(wp_weather_beaufort(&weather, 0, 240.0, 600.0, NULL), WP_OK);
    assert_near(weather.records[0].mean_m_s, 0.0, 0.0);
    assert_true(isnan(weather.records[0].from_deg));
    wp_weather_finish(&weather);
}

static void impossible_winds_are_refused(void **state)
{
    (void)state;
    const double winds[][4] = {
        {-1.0, NAN, NAN, 600.0},  {76.0, NAN, NAN, 600.0},  {NAN, NAN, NAN, 600.0},
        {5.0, 4.9, NAN, 600.0},   {5.0, 76.0, NAN, 600.0},  {5.0, NAN, -1.0, 600.0},
        {5.0, NAN, 361.0, 600.0}, {5.0, NAN, NAN, 0.0},     {5.0, NAN, NAN, -1.0},
        {5.0, NAN, NAN, NAN},     {5.0, NAN, NAN, INFINITY}};
    for (size_t i = 0; i < sizeof winds / sizeof winds[0]; i++) {
        struct wp_weather weather;
        assert_int_equal(
            wp_weather_fixed(&weather, winds[i][0], winds[i][1], winds[i][2], winds[i][3]),
            WP_E_RANGE);
        assert_null(weather.records);
        assert_int_equal(weather.n_records, 0);
    }
}

static void forces_past_the_scale_are_refused(void **state)
{
    (void)state;
    const int forces[] = {-1, 13};
    for (size_t i = 0; i < 2; i++) {
        struct wp_weather weather;
        struct wp_diags diags;
        wp_diags_init(&diags);
        assert_int_equal(wp_weather_beaufort(&weather, forces[i], NAN, 600.0, &diags), WP_E_RANGE);
        assert_non_null(strstr(diags.items[0].message, "expected 0 to 12"));
        assert_null(weather.records);
    }
    struct wp_weather weather;
    struct wp_diags diags;
    wp_diags_init(&diags);
    assert_int_equal(wp_weather_beaufort(&weather, 4, 400.0, 600.0, &diags), WP_E_RANGE);
    assert_non_null(strstr(diags.items[0].message, "expected 0 to 360"));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(fixed_wind_is_reports_of_ten_minutes),
        cmocka_unit_test(part_of_a_report_is_a_whole_one),
        cmocka_unit_test(still_air_has_no_direction),
        cmocka_unit_test(impossible_winds_are_refused),
        cmocka_unit_test(forces_past_the_scale_are_refused),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
