/* SPDX-License-Identifier: MIT */
/* Times against RFC 3339 and the formula of POSIX. */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>

#include "../near.h"
#include "windpeal/weather.h"

static double parsed(const char *text)
{
    double t_s = NAN;
    assert_int_equal(wp_time_parse(text, 0.0, &t_s), WP_OK);
    return t_s;
}

/* RFC 3339 (2002), section 5.8: each example and the same moment as the text there explains it. */
static void examples_of_rfc_3339_are_the_moments_it_says(void **state)
{
    (void)state;
    /* "20 minutes and 50.52 seconds after the 23rd hour of April 12th, 1985 in UTC" */
    assert_near(parsed("1985-04-12T23:20:50.52Z"), parsed("1985-04-12T23:20:50Z") + 0.52, 1e-6);
    /* "equivalent to 1996-12-20T00:39:57Z in UTC" */
    assert_near(parsed("1996-12-19T16:39:57-08:00"), parsed("1996-12-20T00:39:57Z"), 0.0);
    /* "the leap second inserted at the end of 1990": without leap seconds the next day's first. */
    assert_near(parsed("1990-12-31T23:59:60Z"), parsed("1991-01-01T00:00:00Z"), 0.0);
    assert_near(parsed("1990-12-31T15:59:60-08:00"), parsed("1990-12-31T23:59:60Z"), 0.0);
    /* "the same instant ... as noon, January 1, 1937, Netherlands time", 20 minutes ahead of UTC */
    assert_near(parsed("1937-01-01T12:00:27.87+00:20"), parsed("1937-01-01T11:40:27.87Z"), 1e-6);
}

/* IEEE Std 1003.1-2017, Base Definitions, 4.16 "Seconds Since the Epoch", tm_year from 1900. */
static double posix_seconds(long year, long day_of_year, long hour, long minute, long second)
{
    const long tm_year = year - 1900;
    return (double)(second + minute * 60 + hour * 3600 + day_of_year * 86400 +
                    (tm_year - 70) * 31536000 + ((tm_year - 69) / 4) * 86400 -
                    ((tm_year - 1) / 100) * 86400 + ((tm_year + 299) / 400) * 86400);
}

static void first_and_last_days_follow_posix(void **state)
{
    (void)state;
    for (long year = 1970; year <= 2400; year++) {
        const bool is_leap = (year % 4 == 0 && year % 100 != 0) || year % 400 == 0;
        char text[32];
        (void)snprintf(text, sizeof text, "%04ld-01-01T00:00:00Z", year);
        assert_near(parsed(text), posix_seconds(year, 0, 0, 0, 0), 0.0);
        (void)snprintf(text, sizeof text, "%04ld-03-01T01:02:03Z", year);
        assert_near(parsed(text), posix_seconds(year, is_leap ? 60 : 59, 1, 2, 3), 0.0);
        (void)snprintf(text, sizeof text, "%04ld-12-31T23:59:59Z", year);
        assert_near(parsed(text), posix_seconds(year, is_leap ? 365 : 364, 23, 59, 59), 0.0);
        char back[32];
        wp_time_format(parsed(text), back, sizeof back);
        assert_string_equal(back, text);
    }
}

/* Round numbers of seconds and their dates: GNU coreutils, date -u -d @NUMBER. */
static void known_epochs_are_met(void **state)
{
    (void)state;
    const struct {
        const char *text;
        double t_s;
    } epochs[] = {{"1970-01-01T00:00:00Z", 0.0},          {"2000-02-29T00:00:00Z", 951782400.0},
                  {"2001-09-09T01:46:40Z", 1000000000.0}, {"2009-02-13T23:31:30Z", 1234567890.0},
                  {"2038-01-19T03:14:07Z", 2147483647.0}, {"1901-12-13T20:45:52Z", -2147483648.0},
                  {"1900-03-01T00:00:00Z", -2203891200.0}};
    for (size_t i = 0; i < sizeof epochs / sizeof epochs[0]; i++) {
        char text[32];
        assert_near(parsed(epochs[i].text), epochs[i].t_s, 0.0);
        wp_time_format(epochs[i].t_s, text, sizeof text);
        assert_string_equal(text, epochs[i].text);
    }
}

static void years_of_hundreds_are_no_leap_years_but_of_four_hundreds(void **state)
{
    (void)state;
    double t_s = 7.0;
    assert_int_equal(wp_time_parse("2000-02-29", 0.0, &t_s), WP_OK);
    assert_int_equal(wp_time_parse("2100-02-29", 0.0, &t_s), WP_E_RANGE);
    assert_int_equal(wp_time_parse("1900-02-29", 0.0, &t_s), WP_E_RANGE);
    assert_int_equal(wp_time_parse("2024-02-29", 0.0, &t_s), WP_OK);
}

static void public_parser_takes_seconds_and_offsets(void **state)
{
    (void)state;
    double t_s = 7.0;
    assert_int_equal(wp_time_parse(" 1795586400.25 ", 3600.0, &t_s), WP_OK);
    assert_near(t_s, 1795586400.25, 0.0);
    assert_int_equal(wp_time_parse("-1", 0.0, &t_s), WP_OK);
    assert_near(t_s, -1.0, 0.0);
    assert_int_equal(wp_time_parse("2026-11-25 07:00", 3600.0, &t_s), WP_OK);
    assert_near(t_s, 1795586400.0, 0.0);
    assert_int_equal(wp_time_parse("1e15", 0.0, &t_s), WP_E_RANGE);
    assert_int_equal(wp_time_parse("3/4/2026", 0.0, &t_s), WP_E_AMBIGUOUS);
    assert_int_equal(wp_time_parse("", 0.0, &t_s), WP_E_SYNTAX);
    assert_near(t_s, 1795586400.0, 0.0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(examples_of_rfc_3339_are_the_moments_it_says),
        cmocka_unit_test(first_and_last_days_follow_posix),
        cmocka_unit_test(known_epochs_are_met),
        cmocka_unit_test(years_of_hundreds_are_no_leap_years_but_of_four_hundreds),
        cmocka_unit_test(public_parser_takes_seconds_and_offsets),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
