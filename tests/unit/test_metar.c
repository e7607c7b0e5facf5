/* SPDX-License-Identifier: MIT */
/* METAR wind groups that are refused, and what is told of those that are taken. */
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

static void assert_refused(const char *text, enum wp_status status, const char *message)
{
    struct wp_weather weather;
    struct wp_diags diags;
    wp_diags_init(&diags);
    const enum wp_status got = wp_weather_metar(&weather, text, 600.0, &diags);
    if (got != status || diags.n_items != 1 || !strstr(diags.items[0].message, message) ||
        !strstr(diags.items[0].hint, "24015G25KT is 15 knots")) {
        fail_msg("'%s': status %d: %s", text, (int)got, diags.items[0].message);
    }
    assert_null(weather.records);
}

static void other_texts_are_no_wind_groups(void **state)
{
    (void)state;
    const char *const texts[] = {"",         "windy",    "24O15KT",  "240KT",    "2405KT",
                                 "24015",    "24015G25", "P99KT",    "400V10KT", "24015G5KT",
                                 "37010KT",  "24015KTS", "240 15KT", "24015GKT", "2401515KT",
                                 "24015MPH", "VRB KT",   "-24015KT"};
    for (size_t i = 0; i < sizeof texts / sizeof texts[0]; i++) {
        assert_refused(texts[i], WP_E_SYNTAX, "no wind group; expected three digits or VRB");
    }
}

static void misspelt_group_is_named(void **state)
{
    (void)state;
    assert_refused("METAR EDXX 250630Z 24O15KT 9999 Q1012=", WP_E_SYNTAX, "'24O15KT' holds no");
}

static void trend_and_remarks_are_not_the_wind(void **state)
{
    (void)state;
    assert_refused("METAR EDXX 250630Z 9999 TEMPO 24015KT=", WP_E_SYNTAX, "no wind group");
    assert_refused("METAR KXXX 250651Z 10SM RMK 24015KT=", WP_E_SYNTAX, "no wind group");
}

static void winds_that_were_not_reported_are_missing(void **state)
{
    (void)state;
    assert_refused("/////KT", WP_E_MISSING, "'/////KT' means a wind that is not reported");
    assert_refused("240//KT", WP_E_MISSING, "not reported");
    assert_refused("METAR EDXX 250630Z NIL=", WP_E_MISSING, "'NIL' means a report without content");
}

static void speeds_past_the_limit_are_refused(void **state)
{
    (void)state;
    assert_refused("240150KT", WP_E_RANGE, "above 75 m/s");
    assert_refused("24050G80MPS", WP_E_RANGE, "above 75 m/s");
}

static void durations_are_checked(void **state)
{
    (void)state;
    struct wp_weather weather;
    struct wp_diags diags;
    wp_diags_init(&diags);
    assert_int_equal(wp_weather_metar(&weather, "24015KT", 0.0, &diags), WP_E_RANGE);
    assert_non_null(strstr(diags.items[0].message, "more than 0 s"));
    assert_int_equal(weather.n_notes, 0);
    assert_string_equal(weather.format, "");
}

static void what_is_assumed_is_told(void **state)
{
    (void)state;
    const char *const texts[] = {"///15KT", "00015KT", "240P99KT", "24015G10KT", "24015KT 200V280"};
    const char *const notes[] = {"direction is not reported", "direction is not reported",
                                 "P means more than this speed", "gust is not above the mean",
                                 "varies between 200 and 280 deg"};
    for (size_t i = 0; i < sizeof texts / sizeof texts[0]; i++) {
        struct wp_weather weather;
        assert_int_equal(wp_weather_metar(&weather, texts[i], 600.0, NULL), WP_OK);
        assert_int_equal(weather.n_notes, 1);
        assert_note(&weather, notes[i]);
        wp_weather_finish(&weather);
    }
}

static void letters_of_either_case_are_read(void **state)
{
    (void)state;
    struct wp_weather weather;
    assert_int_equal(wp_weather_metar(&weather, "  24010g20mps ", 1200.0, NULL), WP_OK);
    assert_string_equal(weather.format, "METAR");
    assert_int_equal(weather.n_records, 2);
    assert_near(weather.records[1].mean_m_s, 10.0, 0.0);
    assert_near(weather.records[1].gust_m_s, 20.0, 0.0);
    wp_weather_finish(&weather);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(other_texts_are_no_wind_groups),
        cmocka_unit_test(misspelt_group_is_named),
        cmocka_unit_test(trend_and_remarks_are_not_the_wind),
        cmocka_unit_test(winds_that_were_not_reported_are_missing),
        cmocka_unit_test(speeds_past_the_limit_are_refused),
        cmocka_unit_test(durations_are_checked),
        cmocka_unit_test(what_is_assumed_is_told),
        cmocka_unit_test(letters_of_either_case_are_read),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
