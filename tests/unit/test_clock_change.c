/* SPDX-License-Identifier: MIT */
/*
 * A local clock that is set back in autumn and forward in spring. Dates and hours of the changes
 * are those of the IANA time zone database: Europe/Berlin 2026-03-29 and 2026-10-25 at 01:00 UTC,
 * America/New_York 2026-03-08 at 07:00 and 2026-11-01 at 06:00 UTC, Australia/Lord_Howe 2026-04-04
 * at 15:00 UTC by half an hour. Epochs: date -u -d 2026-03-29T01:00Z +%s.
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
#include "../weather_text.h"

/* A local clock: its offset from UTC before the first change, and the changes. */
struct zone {
    double offset_s;
    double at_s[2];    /* UTC; 0: no more */
    double shift_s[2]; /* of the offset */
};

static const struct zone berlin = {3600.0, {1774746000.0, 1792890000.0}, {3600.0, -3600.0}};
static const struct zone new_york = {-18000.0, {1772953200.0, 1793512800.0}, {3600.0, -3600.0}};
static const struct zone lord_howe = {39600.0, {1775314800.0, 0.0}, {-1800.0, 0.0}};

static double offset_at(const struct zone *zone, double t_s)
{
    double offset_s = zone->offset_s;
    for (int i = 0; i < 2; i++) {
        offset_s += zone->at_s[i] > 0.0 && t_s >= zone->at_s[i] ? zone->shift_s[i] : 0.0;
    }
    return offset_s;
}

static double mean_of(size_t i)
{
    return (double)(i % 50) / 10.0 + 1.0;
}

/* A table of n records, stamped by the local clock. */
static char *table_of(const struct zone *zone, double start_s, double step_s, size_t n,
                      bool is_newest_first)
{
    static const char heading[] = "time,wind (m/s)\n";
    const size_t size = 40 * (n + 1);
    char *const text = malloc(size);
    assert_non_null(text);
    memcpy(text, heading, sizeof heading);
    size_t used = sizeof heading - 1;
    for (size_t k = 0; k < n; k++) {
        const size_t i = is_newest_first ? n - 1 - k : k;
        const double t_s = start_s + step_s * (double)i;
        char stamp[32];
        wp_time_format(t_s + offset_at(zone, t_s), stamp, sizeof stamp);
        used += (size_t)snprintf(text + used, size - used, "%.19s,%.1f\n", stamp, mean_of(i));
    }
    return text;
}

/* Every record is there and at its time, by the offset that holds at the first. */
static void assert_even(const char *text, const struct zone *zone, double start_s, double step_s,
                        size_t n)
{
    struct wp_weather_config config;
    wp_weather_config_default(&config);
    config.utc_offset_s = offset_at(zone, start_s);
    config.is_offset_given = true;
    struct wp_weather weather = weather_of(text, &config);
    assert_int_equal(weather.n_records, n);
    for (size_t i = 0; i < n; i++) {
        assert_near(weather.records[i].t_s, start_s + step_s * (double)i, 0.0);
        assert_near(weather.records[i].mean_m_s, mean_of(i), 1e-12);
    }
    assert_int_equal(weather.n_rejected, 0);
    assert_false(has_note(&weather, "gap"));
    wp_weather_finish(&weather);
}

static void assert_course(const struct zone *zone, double start_s, double step_s, size_t n)
{
    for (int is_newest_first = 0; is_newest_first < 2; is_newest_first++) {
        char *const text = table_of(zone, start_s, step_s, n, is_newest_first);
        assert_even(text, zone, start_s, step_s, n);
        free(text);
    }
}

static void repeated_hour_is_kept_in_file_order(void **state)
{
    (void)state;
    static const double steps_s[] = {60.0, 300.0, 600.0, 1200.0, 1800.0, 3600.0};
    for (size_t i = 0; i < sizeof steps_s / sizeof steps_s[0]; i++) {
        const double before_s = 3.0 * 3600.0;
        const size_t n = (size_t)(6.0 * 3600.0 / steps_s[i]);
        assert_course(&berlin, berlin.at_s[1] - before_s, steps_s[i], n);
        assert_course(&new_york, new_york.at_s[1] - before_s, steps_s[i], n);
    }
    assert_course(&lord_howe, lord_howe.at_s[0] - 7200.0, 300.0, 48);
    assert_course(&lord_howe, lord_howe.at_s[0] - 7200.0, 600.0, 24);
}

/* The hour that is missing in spring belongs to the one that comes twice in autumn. */
static void year_of_local_time_is_one_course(void **state)
{
    (void)state;
    assert_course(&berlin, 1767222000.0, 3600.0, 8760);    /* 2026-01-01T00:00+01:00 */
    assert_course(&new_york, 1767243600.0, 1800.0, 17520); /* 2026-01-01T00:00-05:00 */
}

static void change_is_told_with_its_line(void **state)
{
    (void)state;
    struct wp_weather weather = weather_of("time,wind (m/s)\n"
                                           "2026-10-25 01:40,3\n"
                                           "2026-10-25 02:00,4\n"
                                           "2026-10-25 02:20,5\n"
                                           "2026-10-25 02:40,6\n"
                                           "2026-10-25 02:00,7\n"
                                           "2026-10-25 02:20,8\n"
                                           "2026-10-25 02:40,9\n"
                                           "2026-10-25 03:00,10\n",
                                           NULL);
    assert_int_equal(weather.n_records, 8);
    assert_note(&weather, "the file's clock is set back 60 min at line 6");
    assert_note(&weather, "--tz");
    wp_weather_finish(&weather);
}

/* What looks alike but is no change of the clock stays what it was. */
static void other_disorder_is_left_alone(void **state)
{
    (void)state;
    static const struct {
        const char *rows;
        size_t n_records;
    } cases[] = {
        /* times that know their zone: a correction */
        {"2026-10-25 01:40Z,3\n2026-10-25 02:00Z,4\n2026-10-25 02:20Z,5\n2026-10-25 02:40Z,6\n"
         "2026-10-25 02:00Z,7\n2026-10-25 03:00Z,8\n",
         5},
        /* the last hour once more, from a second download */
        {"2026-10-25 01:40,3\n2026-10-25 02:00,4\n2026-10-25 02:20,5\n2026-10-25 02:40,6\n"
         "2026-10-25 02:00,4\n2026-10-25 02:20,5\n2026-10-25 02:40,6\n2026-10-25 03:00,10\n",
         5},
        /* one late row */
        {"2026-10-25 01:40,3\n2026-10-25 02:00,4\n2026-10-25 02:20,5\n2026-10-25 03:00,6\n"
         "2026-10-25 02:40,7\n2026-10-25 03:20,8\n",
         6},
        /* a corrected record by day */
        {"2026-10-25 11:00,3\n2026-10-25 12:00,4\n2026-10-25 12:00,5\n2026-10-25 13:00,6\n", 3},
    };
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        char text[512];
        (void)snprintf(text, sizeof text, "time,wind (m/s)\n%s", cases[i].rows);
        struct wp_weather weather = weather_of(text, NULL);
        assert_int_equal(weather.n_records, cases[i].n_records);
        assert_false(has_note(&weather, "clock"));
        wp_weather_finish(&weather);
    }
}

/* Two stations that take turns by the hour are no clock that is set back. */
static void two_stations_are_no_change(void **state)
{
    (void)state;
    char text[2048] = "time,wind (m/s)\n";
    for (int i = 0; i < 18; i++) {
        const size_t used = strlen(text);
        (void)snprintf(text + used, sizeof text - used, "2026-10-25 %02d:%02d,%d\n", 1 + i / 6,
                       20 * (i % 3), 3 + i / 3 % 2);
    }
    const struct weather_mistake mistake = {text, WP_E_AMBIGUOUS, 5, "expected one station",
                                            "--same-time last"};
    assert_mistakes(&mistake, 1);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(repeated_hour_is_kept_in_file_order),
        cmocka_unit_test(year_of_local_time_is_one_course),
        cmocka_unit_test(change_is_told_with_its_line),
        cmocka_unit_test(other_disorder_is_left_alone),
        cmocka_unit_test(two_stations_are_no_change),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
