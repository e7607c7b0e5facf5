/* SPDX-License-Identifier: MIT */
/* Lines of a station, one by one. */
#include "windpeal/feed.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

#include "../near.h"

static struct wp_feed *new_feed(const char *unit)
{
    struct wp_weather_config config;
    struct wp_feed *feed = NULL;
    wp_weather_config_default(&config);
    config.unit = unit;
    assert_int_equal(wp_feed_create(&feed, &config), WP_OK);
    return feed;
}

static enum wp_feed_result line(struct wp_feed *feed, const char *text, double arrived_s,
                                struct wp_record *record)
{
    return wp_feed_line(feed, text, strlen(text), arrived_s, record, NULL);
}

static void table_is_read_row_by_row(void **state)
{
    (void)state;
    struct wp_feed *feed = new_feed(NULL);
    struct wp_record record = {0};
    assert_int_equal(line(feed, "time,wind (km/h),gust (km/h),direction\n", 5.0, &record),
                     WP_FEED_NOTHING);
    assert_int_equal(line(feed, "2026-04-11T14:00:00Z,18,36,240\r\n", 10.0, &record),
                     WP_FEED_RECORD);
    assert_near(record.t_s, 10.0, 0.0);
    assert_near(record.mean_m_s, 5.0, 1e-12);
    assert_near(record.gust_m_s, 10.0, 1e-12);
    assert_near(record.from_deg, 240.0, 0.0);
    assert_int_equal(line(feed, "2026-04-11T14:01:00Z,9,,250", 70.5, &record), WP_FEED_RECORD);
    assert_near(record.t_s, 70.5, 0.0);
    assert_near(record.mean_m_s, 2.5, 1e-12);
    assert_true(isnan(record.gust_m_s));
    wp_feed_destroy(feed);
}

static void bare_number_is_a_speed(void **state)
{
    (void)state;
    struct wp_feed *feed = new_feed("mph");
    struct wp_record record = {0};
    assert_int_equal(line(feed, "10", 3.0, &record), WP_FEED_RECORD);
    assert_near(record.mean_m_s, 4.4704, 1e-12); /* NIST SP 811, appendix B.8 */
    assert_true(isnan(record.from_deg));
    assert_int_equal(line(feed, "10", 5.0, &record), WP_FEED_RECORD);
    wp_feed_destroy(feed);
}

static void repeats_and_late_records_are_dropped(void **state)
{
    (void)state;
    struct wp_feed *feed = new_feed(NULL);
    struct wp_record record = {0};
    struct wp_feed_counts counts;
    line(feed, "time,wind (m/s)", 0.0, &record);
    assert_int_equal(line(feed, "2026-04-11T14:01:00Z,4", 1.0, &record), WP_FEED_RECORD);
    assert_int_equal(line(feed, "2026-04-11T14:01:00Z,4", 2.0, &record), WP_FEED_REPEATED);
    assert_int_equal(line(feed, "2026-04-11T14:00:00Z,7", 3.0, &record), WP_FEED_LATE);
    assert_int_equal(line(feed, "2026-04-11T14:02:00Z,5", 4.0, &record), WP_FEED_RECORD);
    assert_near(record.mean_m_s, 5.0, 0.0);
    /* Another value for the same moment is a correction. */
    assert_int_equal(line(feed, "2026-04-11T14:02:00Z,6", 5.0, &record), WP_FEED_RECORD);
    wp_feed_count(feed, &counts);
    assert_int_equal(counts.n_lines, 6);
    assert_int_equal(counts.n_records, 3);
    assert_int_equal(counts.n_repeated, 1);
    assert_int_equal(counts.n_late, 1);
    assert_int_equal(counts.n_set_back, 0);
    wp_feed_destroy(feed);
}

static void clock_that_is_set_does_not_stop_the_feed(void **state)
{
    (void)state;
    struct wp_feed *feed = new_feed(NULL);
    struct wp_record record = {0};
    struct wp_feed_counts counts;
    line(feed, "time,wind (m/s)", 0.0, &record);
    line(feed, "2026-04-11T14:00:00Z,4", 60.0, &record);
    /* An hour back. */
    assert_int_equal(line(feed, "2026-04-11T13:01:00Z,1", 120.0, &record), WP_FEED_LATE);
    assert_int_equal(line(feed, "2026-04-11T13:02:00Z,2", 180.0, &record), WP_FEED_LATE);
    assert_int_equal(line(feed, "2026-04-11T13:03:00Z,3", 240.0, &record), WP_FEED_RECORD);
    assert_int_equal(line(feed, "2026-04-11T13:04:00Z,4", 300.0, &record), WP_FEED_RECORD);
    /* A year ahead. */
    assert_int_equal(line(feed, "2027-04-11T13:05:00Z,5", 360.0, &record), WP_FEED_RECORD);
    assert_near(record.t_s, 360.0, 0.0);
    /* The caller's clock goes back: time stands still, records go on. */
    assert_int_equal(line(feed, "2027-04-11T13:06:00Z,6", 10.0, &record), WP_FEED_RECORD);
    assert_near(record.t_s, 360.0, 0.0);
    wp_feed_count(feed, &counts);
    assert_int_equal(counts.n_set_back, 1);
    wp_feed_destroy(feed);
}

static void faults_are_told_with_their_line(void **state)
{
    (void)state;
    struct wp_feed *feed = new_feed(NULL);
    struct wp_record record = {0};
    struct wp_diags diags;
    wp_diags_init(&diags);
    line(feed, "time,wind (m/s)", 0.0, &record);
    line(feed, "2026-04-11T14:00:00Z,4", 1.0, &record);
    assert_int_equal(wp_feed_line(feed, "rubbish", 7, 2.0, &record, &diags), WP_FEED_REFUSED);
    assert_int_equal(diags.n_items, 1);
    assert_int_equal(diags.items[0].mark.line, 3);
    /* The table goes on, and its heading may come again. */
    assert_int_equal(line(feed, "time,wind (m/s)", 3.0, &record), WP_FEED_NOTHING);
    assert_int_equal(line(feed, "2026-04-11T14:01:00Z,5", 4.0, &record), WP_FEED_RECORD);
    wp_feed_destroy(feed);
}

static void what_goes_before_the_feed_is_passed_over(void **state)
{
    (void)state;
    struct wp_feed *feed = new_feed(NULL);
    struct wp_record record = {0};
    struct wp_diags diags;
    wp_diags_init(&diags);
    wp_feed_line(feed, "<subscribed to roof/weather>", 28, 0.0, &record, &diags);
    assert_int_equal(line(feed, "{\"wind\": {\"speed_m_s\": 3.5}}", 1.0, &record), WP_FEED_RECORD);
    assert_string_equal(wp_feed_understood(feed)->format, "JSON");
    assert_near(record.t_s, 1.0, 0.0);
    assert_int_equal(line(feed, "{\"humidity\": 71}", 2.0, &record), WP_FEED_NOTHING);
    wp_feed_destroy(feed);
}

static void ambiguity_breaks_the_feed(void **state)
{
    (void)state;
    struct wp_feed *feed = new_feed(NULL);
    struct wp_record record = {0};
    struct wp_diags diags;
    wp_diags_init(&diags);
    line(feed, "date,wind (m/s)", 0.0, &record);
    assert_int_equal(wp_feed_line(feed, "3/4/2026 14:00,4", 16, 1.0, &record, &diags),
                     WP_FEED_BROKEN);
    assert_int_equal(diags.n_items, 1);
    assert_non_null(strstr(diags.items[0].hint, "--date-order"));
    wp_feed_destroy(feed);
}

static void lines_may_come_in_pieces(void **state)
{
    (void)state;
    struct wp_feed *feed = new_feed(NULL);
    struct wp_record record = {0};
    const char text[] = "time,wind (m/s)\n2026-04-11T14:00:00Z,4\n2026-04-11T14:01:00Z,5";
    size_t n_records = 0;
    for (size_t i = 0; i < strlen(text); i++) {
        assert_int_equal(wp_feed_add(feed, text + i, 1), 1);
        n_records += wp_feed_next(feed, 1.0, &record, NULL) == WP_FEED_RECORD;
    }
    assert_int_equal(n_records, 1);
    assert_int_equal(wp_feed_next(feed, 1.0, &record, NULL), WP_FEED_MORE);
    wp_feed_end(feed);
    assert_int_equal(wp_feed_next(feed, 1.0, &record, NULL), WP_FEED_RECORD);
    assert_near(record.mean_m_s, 5.0, 0.0);
    assert_int_equal(wp_feed_next(feed, 1.0, &record, NULL), WP_FEED_MORE);
    wp_feed_destroy(feed);
}

static void endless_line_is_refused_once(void **state)
{
    (void)state;
    struct wp_feed *feed = new_feed(NULL);
    struct wp_record record = {0};
    struct wp_feed_counts counts;
    for (int i = 0; i < 3 * WP_FEED_AHEAD_MAX; i++) {
        assert_int_equal(wp_feed_add(feed, "x", 1), 1);
        assert_int_equal(wp_feed_next(feed, 1.0, &record, NULL), WP_FEED_MORE);
    }
    wp_feed_add(feed, "\n6\n", 3);
    assert_int_equal(wp_feed_next(feed, 1.0, &record, NULL), WP_FEED_REFUSED);
    assert_int_equal(wp_feed_next(feed, 1.0, &record, NULL), WP_FEED_RECORD);
    wp_feed_count(feed, &counts);
    assert_int_equal(counts.n_lines, 2);
    wp_feed_destroy(feed);
}

static void offset_must_lie_within_a_day(void **state)
{
    (void)state;
    struct wp_weather_config config;
    struct wp_feed *feed = NULL;
    wp_weather_config_default(&config);
    config.utc_offset_s = NAN;
    assert_int_equal(wp_feed_create(&feed, &config), WP_E_RANGE);
    assert_null(feed);
    wp_feed_destroy(NULL);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(table_is_read_row_by_row),
        cmocka_unit_test(bare_number_is_a_speed),
        cmocka_unit_test(repeats_and_late_records_are_dropped),
        cmocka_unit_test(clock_that_is_set_does_not_stop_the_feed),
        cmocka_unit_test(faults_are_told_with_their_line),
        cmocka_unit_test(what_goes_before_the_feed_is_passed_over),
        cmocka_unit_test(ambiguity_breaks_the_feed),
        cmocka_unit_test(lines_may_come_in_pieces),
        cmocka_unit_test(endless_line_is_refused_once),
        cmocka_unit_test(offset_must_lie_within_a_day),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
