/* SPDX-License-Identifier: MIT */
/* The weather samples: readable without repair, and as their stories say. WP_SOURCE_ROOT names the
 * folder above theirs. */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#include "windpeal/weather.h"

static struct wp_weather load(const char *name)
{
    char path[512];
    struct wp_weather weather;
    struct wp_diags diags;
    wp_diags_init(&diags);
    const char *const root = getenv("WP_SOURCE_ROOT");
    (void)snprintf(path, sizeof path, "%s/weather-samples/%s", root ? root : ".", name);
    if (wp_weather_load(&weather, path, NULL, &diags)) {
        fail_msg("%s:%d: %s", path, diags.items[0].mark.line, diags.items[0].message);
    }
    assert_int_equal(weather.n_rejected, 0);
    for (size_t i = 0; i < weather.n_records; i++) {
        const struct wp_record *const record = &weather.records[i];
        assert_false(record->gust_m_s < record->mean_m_s);
        assert_false(isnan(record->temperature_c));
    }
    return weather;
}

static void assert_start(const struct wp_weather *weather, const char *want)
{
    double start_s = 0.0;
    double end_s = 0.0;
    char text[32];
    wp_weather_span(weather, &start_s, &end_s);
    wp_time_format(start_s, text, sizeof text);
    assert_string_equal(text, want);
}

static void breezy_afternoon_is_five_hours_of_minutes(void **state)
{
    (void)state;
    struct wp_weather weather = load("breezy-afternoon.csv");
    double mean_m_s = 0.0;
    double max_m_s = 0.0;
    wp_weather_summary(&weather, &mean_m_s, &max_m_s);
    assert_start(&weather, "2026-04-11T11:00:00Z");
    assert_int_equal(weather.n_records, 300);
    assert_true(weather.interval_s == 60.0);
    assert_int_equal(weather.n_missing, 0);
    assert_int_equal(weather.n_notes, 0);
    assert_true(mean_m_s > 4.5 && mean_m_s < 6.0);
    assert_true(max_m_s > 9.0 && max_m_s < 14.0);
    wp_weather_finish(&weather);
}

static void front_veers_and_cools_before_two(void **state)
{
    (void)state;
    struct wp_weather weather = load("front-passage.csv");
    assert_start(&weather, "2026-10-23T00:00:00Z");
    assert_int_equal(weather.n_records, 144);
    assert_int_equal(weather.n_missing, 1);
    assert_true(isnan(weather.records[56].mean_m_s));            /* 09:30 */
    const struct wp_record *const before = &weather.records[77]; /* 13:00 */
    const struct wp_record *const after = &weather.records[86];  /* 14:30 */
    assert_true(before->from_deg > 200.0 && before->from_deg < 250.0);
    assert_true(after->from_deg > 290.0 && after->from_deg < 340.0);
    assert_true(before->temperature_c - after->temperature_c > 5.0);
    assert_true(weather.records[83].gust_m_s > 20.0); /* 14:00 */
    assert_int_equal(weather.n_notes, 0);
    wp_weather_finish(&weather);
}

static void calm_night_has_calms_and_one_gap(void **state)
{
    (void)state;
    struct wp_weather weather = load("calm-night.csv");
    size_t n_calms = 0;
    assert_start(&weather, "2026-07-18T19:30:00Z");
    assert_int_equal(weather.n_records, 88);
    assert_true(weather.interval_s == 300.0);
    for (size_t i = 0; i < weather.n_records; i++) {
        const struct wp_record *const record = &weather.records[i];
        assert_true(record->mean_m_s < 2.5);
        assert_int_equal(isnan(record->from_deg) != 0, record->mean_m_s == 0.0);
        n_calms += record->mean_m_s == 0.0;
    }
    assert_true(n_calms >= 5);
    assert_int_equal(weather.n_notes, 1);
    assert_non_null(strstr(weather.notes[0], "1 gap"));
    wp_weather_finish(&weather);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(breezy_afternoon_is_five_hours_of_minutes),
        cmocka_unit_test(front_veers_and_cools_before_two),
        cmocka_unit_test(calm_night_has_calms_and_one_gap),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
