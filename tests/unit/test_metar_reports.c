/* SPDX-License-Identifier: MIT */
/* Files of METAR reports: day to date, wind groups that are missing or odd. */
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

static struct wp_weather_config dated(double reference_s, int year, int month)
{
    struct wp_weather_config config;
    wp_weather_config_default(&config);
    config.reference_s = reference_s;
    config.year = year;
    config.month = month;
    return config;
}

static void month_is_the_latest_that_fits_the_file(void **state)
{
    (void)state;
    static const struct {
        const char *day;
        double reference_s;
        double t_s;
    } cases[] = {
        {"250600Z", 1795586400.0 + 3600.0, 1795586400.0},  /* written an hour later */
        {"250600Z", 1795586400.0 - 3600.0, 1795586400.0},  /* a clock that is slow */
        {"260600Z", 1795586400.0 - 86400.0, 1792994400.0}, /* 2026-10-26T06:00Z */
        {"310600Z", 1795586400.0, 1793426400.0},           /* 2026-10-31T06:00Z */
        {"310600Z", 1772323200.0, 1769839200.0},           /* 2026-03-01: 2026-01-31 */
    };
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        char text[64];
        const struct wp_weather_config config = dated(cases[i].reference_s, 0, 0);
        (void)snprintf(text, sizeof text, "METAR EDXX %s 24010MPS 9999=\n", cases[i].day);
        struct wp_weather weather = weather_of(text, &config);
        assert_near(weather.records[0].t_s, cases[i].t_s, 0.0);
        assert_note(&weather, "--year");
        wp_weather_finish(&weather);
    }
}

static void year_and_month_can_be_told(void **state)
{
    (void)state;
    const struct wp_weather_config told = dated(NAN, 2026, 11);
    struct wp_weather weather = weather_of("METAR EDXX 250600Z 24010MPS 9999=\n", &told);
    assert_near(weather.records[0].t_s, six_s, 0.0);
    assert_int_equal(weather.n_notes, 0);
    wp_weather_finish(&weather);
    /* The year alone tells the month only where the file is of that year. */
    const struct wp_weather_config year = dated(six_s, 2026, 0);
    weather = weather_of("METAR EDXX 250600Z 24010MPS 9999=\n", &year);
    assert_near(weather.records[0].t_s, six_s, 0.0);
    wp_weather_finish(&weather);
    struct wp_diags diags;
    const struct wp_weather_config other = dated(six_s, 2020, 0);
    wp_diags_init(&diags);
    assert_int_equal(wp_weather_parse(&weather, "a", "EDXX 250600Z 24010MPS\n", 22, &other, &diags),
                     WP_E_MISSING);
    assert_non_null(strstr(diags.items[0].hint, "--year, as 2026-11"));
}

static void later_reports_follow_the_first_over_the_months(void **state)
{
    (void)state;
    const struct wp_weather_config told = dated(NAN, 2026, 12);
    struct wp_weather weather = weather_of("EDXX 312330Z 24010MPS 9999=\n"
                                           "EDXX 010000Z 24010MPS 9999=\n"
                                           "EDXX 302330Z 24010MPS 9999=\n",
                                           &told);
    /* 2026-12-30T23:30Z, a day later, and half an hour after that */
    assert_near(weather.records[0].t_s, 1798673400.0, 0.0);
    assert_near(weather.records[1].t_s, 1798673400.0 + 86400.0, 0.0);
    assert_near(weather.records[2].t_s, 1798673400.0 + 88200.0, 0.0);
    wp_weather_finish(&weather);
}

static void dates_above_and_in_front_are_taken(void **state)
{
    (void)state;
    struct wp_weather weather = weather_of("2026/11/25 06:00\nEDXX 250600Z 24010MPS 9999=\n"
                                           "202611250630 METAR EDXX 250630Z 24008MPS 9999=\n",
                                           NULL);
    assert_int_equal(weather.n_records, 2);
    assert_near(weather.records[0].t_s, six_s, 0.0);
    assert_near(weather.records[1].t_s, six_s + 1800.0, 0.0);
    wp_weather_finish(&weather);
}

/* WMO-No. 306, FM 15: 15.5.3 VRB, 15.5.5 00000, 15.5.6 P99KT and P49MPS, slashes for what an
 * automatic station lacks; what is unreadable is missing, not calm. */
static void odd_wind_groups_are_counted_not_guessed(void **state)
{
    (void)state;
    const struct wp_weather_config told = dated(NAN, 2026, 11);
    struct wp_weather weather = weather_of("METAR EDXX 250600Z 00000MPS 9999 M03/M10 Q1013=\n"
                                           "METAR EDXX 250610Z /////KT 9999=\n"
                                           "METAR EDXX 250620Z VRB02MPS 9999=\n"
                                           "METAR EDXX 250630Z 240P49MPS 9999=\n"
                                           "METAR EDXX 250640Z P99KT 9999=\n"
                                           "METAR EDXX 250650Z ///05MPS 9999=\n"
                                           "METAR EDXX 250700Z NIL=\n"
                                           "METAR EDXX 250710Z 24005MPS 9999 TEMPO 24025G40MPS=\n"
                                           "METAR EDXX 252510Z 24005MPS 9999=\n",
                                           &told);
    static const double means[] = {0.0, NAN, 2.0, 49.0, NAN, 5.0, 5.0};
    assert_int_equal(weather.n_records, 7);
    for (size_t i = 0; i < 7; i++) {
        const struct wp_record *const record = &weather.records[i];
        assert_true(isnan(means[i]) ? isnan(record->mean_m_s) != 0 : record->mean_m_s == means[i]);
        assert_true(isnan(record->gust_m_s));
        assert_int_equal(isnan(record->from_deg) != 0, i != 3 && i != 6);
    }
    assert_near(weather.records[0].temperature_c, -3.0, 0.0);
    assert_near(weather.records[0].pressure_pa, 101300.0, 1e-9);
    assert_int_equal(weather.n_missing, 2);
    assert_int_equal(weather.n_rejected, 1);
    assert_int_equal(weather.n_repairs, 3);
    assert_int_equal(weather.repairs[0].line, 4);
    assert_int_equal(weather.repairs[1].line, 5);
    assert_string_equal(weather.repairs[1].found, "P99KT");
    assert_int_equal(weather.repairs[2].line, 9);
    assert_true(weather.repairs[2].is_rejected);
    wp_weather_finish(&weather);
}

/* Federal Meteorological Handbook No. 1: means of two minutes in the United States. */
static void means_of_american_stations_are_of_two_minutes(void **state)
{
    (void)state;
    static const char two[] = "KXXB 250600Z 24010KT 10SM=\nEDXB 250630Z 24010KT 9999=\n";
    struct wp_weather_config told = dated(NAN, 2026, 11);
    struct wp_weather weather = weather_of("KXXB 250600Z 24010KT 10SM=\n", &told);
    assert_near(weather.averaging_s, 120.0, 0.0);
    wp_weather_finish(&weather);
    told.station = "KXXB";
    weather = weather_of(two, &told);
    assert_near(weather.averaging_s, 120.0, 0.0);
    wp_weather_finish(&weather);
    told.station = "edxb";
    weather = weather_of(two, &told);
    assert_near(weather.averaging_s, 600.0, 0.0);
    assert_int_equal(weather.n_records, 1);
    wp_weather_finish(&weather);
}

/* A few reports from elsewhere in one station's file are taken and told; with the records of two
 * stations the reader cannot know which is meant. */
static void strays_are_told_and_two_stations_asked_about(void **state)
{
    (void)state;
    const struct wp_weather_config told = dated(NAN, 2026, 11);
    struct wp_weather weather = weather_of("EDXB 250600Z 24005MPS 9999=\n"
                                           "UUXB 250630Z 24006MPS 9999=\n"
                                           "EDXB 250700Z 24007MPS 9999=\n"
                                           "EDXB 250730Z 24008MPS 9999=\n"
                                           "EDXB 250800Z 24009MPS 9999=\n"
                                           "KXXB 250830Z 24010MPS 9999=\n",
                                           &told);
    assert_int_equal(weather.n_records, 6);
    assert_near(weather.records[1].mean_m_s, 6.0, 0.0);
    assert_note(&weather, "several stations ('EDXB', 'UUXB', 'KXXB')");
    assert_near(weather.averaging_s, 600.0, 0.0);
    wp_weather_finish(&weather);
    static const char *const two[] = {
        "EDXB 250600Z 24005MPS 9999=\nUUXB 250630Z 24006MPS 9999=\n"
        "EDXB 250700Z 24005MPS 9999=\nUUXB 250730Z 24006MPS 9999=\n"
        "EDXB 250800Z 24005MPS 9999=\nUUXB 250830Z 24006MPS 9999=\n"
        "EDXB 250900Z 24005MPS 9999=\n",
        "EDXB 250600Z 24005MPS 9999=\nUUXB 250600Z 24006MPS 9999=\n",
    };
    for (size_t i = 0; i < sizeof two / sizeof two[0]; i++) {
        struct wp_diags diags;
        wp_diags_init(&diags);
        assert_int_equal(wp_weather_parse(&weather, "a.txt", two[i], strlen(two[i]), &told, &diags),
                         WP_E_AMBIGUOUS);
        assert_int_equal(diags.items[0].mark.line, 2);
        assert_non_null(strstr(diags.items[0].message, "'EDXB', 'UUXB'"));
        assert_non_null(strstr(diags.items[0].hint, "--station 'EDXB'"));
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(month_is_the_latest_that_fits_the_file),
        cmocka_unit_test(year_and_month_can_be_told),
        cmocka_unit_test(later_reports_follow_the_first_over_the_months),
        cmocka_unit_test(dates_above_and_in_front_are_taken),
        cmocka_unit_test(odd_wind_groups_are_counted_not_guessed),
        cmocka_unit_test(strays_are_told_and_two_stations_asked_about),
        cmocka_unit_test(means_of_american_stations_are_of_two_minutes),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
