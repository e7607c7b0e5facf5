/* SPDX-License-Identifier: MIT */
/* Time stamps in the forms that tables have, dates and days. */
#include "weather/stamp.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>

#include "weather/calendar.h"
#include "windpeal/weather.h"

static struct wp_slice slice(const char *text)
{
    return (struct wp_slice){text, strlen(text)};
}

/* Reads a stamp and writes it again as RFC 3339. */
static void assert_stamp(const char *text, enum wp_date_order order, double zone_s,
                         const char *want)
{
    const struct wp_stamp_rule rule = {.order = order, .zone_s = zone_s};
    struct wp_stamp stamp = {0.0, false, false};
    char got[32] = "";
    const enum wp_status status = wp_stamp_read(slice(text), &rule, &stamp);
    wp_time_format(stamp.t_s, got, sizeof got);
    if (status || strcmp(got, want) != 0) {
        fail_msg("'%s': status %d, %s instead of %s", text, (int)status, got, want);
    }
}

static void iso_stamps_may_be_short(void **state)
{
    (void)state;
    const char *const texts[] = {"2026-11-25T06:00:00Z",
                                 "2026-11-25T06:00Z",
                                 "2026-11-25 06:00",
                                 "2026-11-25 06:00:00.000 UTC",
                                 "2026/11/25 06:00:00",
                                 "20261125T060000Z",
                                 "20261125 0600",
                                 "202611250600",
                                 "20261125060000",
                                 "2026112506",
                                 "2026-11-25T07:00:00+01:00",
                                 "2026-11-25T03:30:00-0230",
                                 "2026-11-25 07:00+01",
                                 "2026-11-25 6:00 GMT",
                                 "1795586400",
                                 "1795586400.0",
                                 "1795586400000",
                                 "1795586400000000",
                                 "1795586400000000000",
                                 "2026-11-25 6:00 AM",
                                 "2026-11-25 06:00:00 am"};
    for (size_t i = 0; i < sizeof texts / sizeof texts[0]; i++) {
        assert_stamp(texts[i], WP_ORDER_UNKNOWN, 0.0, "2026-11-25T06:00:00Z");
    }
}

static void zone_of_the_rule_is_for_stamps_without_one(void **state)
{
    (void)state;
    assert_stamp("2026-11-25 07:00", WP_ORDER_UNKNOWN, 3600.0, "2026-11-25T06:00:00Z");
    assert_stamp("2026-11-25 07:00Z", WP_ORDER_UNKNOWN, 3600.0, "2026-11-25T07:00:00Z");
    assert_stamp("1795586400", WP_ORDER_UNKNOWN, 3600.0, "2026-11-25T06:00:00Z");
    assert_stamp("202611250700", WP_ORDER_UNKNOWN, 3600.0, "2026-11-25T06:00:00Z");
}

static void full_stops_mean_day_month_year(void **state)
{
    (void)state;
    assert_stamp("3.4.2026 07:00", WP_ORDER_UNKNOWN, 0.0, "2026-04-03T07:00:00Z");
    assert_stamp("03.04.26 7:00", WP_ORDER_MONTH_FIRST, 0.0, "2026-04-03T07:00:00Z");
}

static void slashes_follow_the_order(void **state)
{
    (void)state;
    assert_stamp("3/4/2026 07:00", WP_ORDER_DAY_FIRST, 0.0, "2026-04-03T07:00:00Z");
    assert_stamp("3/4/2026 07:00", WP_ORDER_MONTH_FIRST, 0.0, "2026-03-04T07:00:00Z");
    assert_stamp("3-4-26 07:00 PM", WP_ORDER_MONTH_FIRST, 0.0, "2026-03-04T19:00:00Z");
    const struct wp_stamp_rule unknown = {.order = WP_ORDER_UNKNOWN};
    struct wp_stamp stamp = {7.0, false, false};
    assert_int_equal(wp_stamp_read(slice("3/4/2026 07:00"), &unknown, &stamp), WP_E_AMBIGUOUS);
    assert_true(stamp.t_s == 7.0);
}

static void number_above_twelve_is_a_day(void **state)
{
    (void)state;
    enum wp_date_order order = WP_ORDER_UNKNOWN;
    assert_true(wp_stamp_needs_order(slice("3/4/2026"), &order));
    assert_int_equal(order, WP_ORDER_UNKNOWN);
    assert_true(wp_stamp_needs_order(slice("13/4/2026 07:00"), &order));
    assert_int_equal(order, WP_ORDER_DAY_FIRST);
    assert_true(wp_stamp_needs_order(slice("3-14-26"), &order));
    assert_int_equal(order, WP_ORDER_MONTH_FIRST);
    assert_false(wp_stamp_needs_order(slice("3.4.2026"), &order));
    assert_false(wp_stamp_needs_order(slice("2026/3/4"), &order));
    assert_false(wp_stamp_needs_order(slice("1795586400"), &order));
}

static void noon_and_midnight_of_the_twelve_hour_clock(void **state)
{
    (void)state;
    /* 12 AM is the start of the day: common practice in the United States, no source. */
    assert_stamp("2026-11-25 12:00 AM", WP_ORDER_UNKNOWN, 0.0, "2026-11-25T00:00:00Z");
    assert_stamp("2026-11-25 12:30:00PM", WP_ORDER_UNKNOWN, 0.0, "2026-11-25T12:30:00Z");
    assert_stamp("2026-11-25 1:00pm", WP_ORDER_UNKNOWN, 0.0, "2026-11-25T13:00:00Z");
}

static void twenty_four_hours_are_the_next_midnight(void **state)
{
    (void)state;
    /* ISO 8601:2004, 4.2.3: the end of a day is 24:00. */
    assert_stamp("2026-12-31 24:00", WP_ORDER_UNKNOWN, 0.0, "2027-01-01T00:00:00Z");
}

static void times_that_do_not_exist_are_out_of_range(void **state)
{
    (void)state;
    const char *const texts[] = {"2026-02-29 00:00",    "2026-13-01 00:00",    "2026-00-10 00:00",
                                 "2026-04-31",          "2026-01-01 24:01",    "2026-01-01 25:00",
                                 "2026-01-01 00:60",    "2026-01-01 13:00 PM", "2026-01-01 0:00 AM",
                                 "2026-01-01 00:00:61", "0000-01-01"};
    const struct wp_stamp_rule rule = {.order = WP_ORDER_UNKNOWN};
    for (size_t i = 0; i < sizeof texts / sizeof texts[0]; i++) {
        struct wp_stamp stamp = {7.0, false, false};
        if (wp_stamp_read(slice(texts[i]), &rule, &stamp) != WP_E_RANGE || stamp.t_s != 7.0) {
            fail_msg("'%s' passed", texts[i]);
        }
    }
}

static void other_texts_are_no_stamps(void **state)
{
    (void)state;
    const char *const texts[] = {"",
                                 "now",
                                 "06:00",
                                 "2026-11",
                                 "2026-11-25T",
                                 "2026-11-25 06:",
                                 "2026-11-25 06:00 CET",
                                 "2026-11-25 06:00Zx",
                                 "25 Nev 2026",
                                 "12345",
                                 "-1795586400",
                                 "2026-11-25 06:00+1:0",
                                 "2026--11-25",
                                 "2026-11/25",
                                 "----"};
    const struct wp_stamp_rule rule = {.order = WP_ORDER_DAY_FIRST};
    for (size_t i = 0; i < sizeof texts / sizeof texts[0]; i++) {
        struct wp_stamp stamp = {7.0, false, false};
        if (wp_stamp_read(slice(texts[i]), &rule, &stamp) != WP_E_SYNTAX || stamp.t_s != 7.0) {
            fail_msg("'%s' passed", texts[i]);
        }
    }
}

static void heading_may_name_the_zone(void **state)
{
    (void)state;
    double zone_s = -1.0;
    assert_true(wp_stamp_zone_in(slice("Time (UTC)"), &zone_s));
    assert_true(zone_s == 0.0);
    assert_true(wp_stamp_zone_in(slice("date [GMT+1]"), &zone_s));
    assert_true(zone_s == 3600.0);
    assert_true(wp_stamp_zone_in(slice("time (utc -03:30)"), &zone_s));
    assert_true(zone_s == -12600.0);
    assert_false(wp_stamp_zone_in(slice("local time"), &zone_s));
}

static void every_day_comes_back_from_its_count(void **state)
{
    (void)state;
    struct wp_date before = {1600, 2, 28};
    for (int64_t day = wp_date_to_days(before) + 1; day < 40000; day++) {
        const struct wp_date date = wp_date_from_days(day);
        const bool is_next_day =
            date.year == before.year && date.month == before.month && date.day == before.day + 1;
        const bool is_next_month =
            date.day == 1 &&
            !wp_date_is_valid((struct wp_date){before.year, before.month, before.day + 1});
        if (!wp_date_is_valid(date) || wp_date_to_days(date) != day ||
            is_next_day == is_next_month) {
            fail_msg("day %lld is %d-%d-%d", (long long)day, date.year, date.month, date.day);
        }
        before = date;
    }
}

static void times_past_the_years_of_four_digits_have_no_date(void **state)
{
    (void)state;
    char text[32];
    wp_time_format(253402300799.0, text, sizeof text);
    assert_string_equal(text, "9999-12-31T23:59:59Z");
    wp_time_format(253402300800.0, text, sizeof text);
    assert_string_equal(text, "no date");
    wp_time_format(-62135596800.0, text, sizeof text);
    assert_string_equal(text, "0001-01-01T00:00:00Z");
    wp_time_format(-62135596801.0, text, sizeof text);
    assert_string_equal(text, "no date");
    wp_time_format(NAN, text, sizeof text);
    assert_string_equal(text, "no date");
}

static void formatted_times_are_rounded_to_seconds(void **state)
{
    (void)state;
    char text[32];
    wp_time_format(1795586399.5, text, sizeof text);
    assert_string_equal(text, "2026-11-25T06:00:00Z");
    wp_time_format(1795586400.4, text, sizeof text);
    assert_string_equal(text, "2026-11-25T06:00:00Z");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(iso_stamps_may_be_short),
        cmocka_unit_test(zone_of_the_rule_is_for_stamps_without_one),
        cmocka_unit_test(full_stops_mean_day_month_year),
        cmocka_unit_test(slashes_follow_the_order),
        cmocka_unit_test(number_above_twelve_is_a_day),
        cmocka_unit_test(noon_and_midnight_of_the_twelve_hour_clock),
        cmocka_unit_test(twenty_four_hours_are_the_next_midnight),
        cmocka_unit_test(times_that_do_not_exist_are_out_of_range),
        cmocka_unit_test(other_texts_are_no_stamps),
        cmocka_unit_test(heading_may_name_the_zone),
        cmocka_unit_test(every_day_comes_back_from_its_count),
        cmocka_unit_test(times_past_the_years_of_four_digits_have_no_date),
        cmocka_unit_test(formatted_times_are_rounded_to_seconds),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
