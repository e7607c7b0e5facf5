/* SPDX-License-Identifier: MIT */
/* Which stretch of time a record speaks of, and what it says of it. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "../near.h"
#include "../wind_station.h"
#include "wind/interval.h"

static struct wp_interval_config reading_of(const struct station *station)
{
    return (struct wp_interval_config){
        .weather = &station->weather,
        .step_s = 0.1,
        .station = {10.0, 0.03},
        .set = {10.0, 0.03},
        .gust_s = 3.0,
        .intensity = (double)NAN,
    };
}

static void init(struct wp_intervals *intervals, const struct wp_interval_config *config)
{
    assert_int_equal(wp_intervals_init(intervals, config), WP_OK);
}

static void time_stamp_is_the_end_of_its_interval(void **state)
{
    (void)state;
    struct station station;
    station_init(&station, 3, 60.0, 4.0, 6.0);
    station.records[1].mean_m_s = 7.0;
    const struct wp_interval_config config = reading_of(&station);
    struct wp_intervals intervals;
    init(&intervals, &config);
    struct wp_interval interval;
    wp_interval_at(&intervals, 60.0, &interval); /* the second record runs from 60 to 120 s */
    assert_near(interval.mean_m_s, 7.0, 1e-12);
    assert_int_equal(interval.first, 600);
    assert_int_equal(interval.end, 1200);
    wp_interval_at(&intervals, 59.9, &interval);
    assert_near(interval.mean_m_s, 4.0, 1e-12);
}

static void neighbours_follow_each_other_without_end(void **state)
{
    (void)state;
    struct station station;
    station_init(&station, 4, 60.0, 4.0, 6.0);
    station.records[2].mean_m_s = (double)NAN;
    const struct wp_interval_config config = reading_of(&station);
    struct wp_intervals intervals;
    init(&intervals, &config);
    struct wp_interval here;
    wp_interval_at(&intervals, -1500.0, &here);
    for (int i = 0; i < 12; i++) {
        struct wp_interval next;
        struct wp_interval back;
        struct wp_interval found;
        wp_interval_after(&intervals, &here, &next);
        assert_true(next.first >= here.end);
        wp_interval_before(&intervals, &next, &back);
        assert_int_equal(back.first, here.first);
        wp_interval_at(&intervals, next.start_s + 0.05, &found);
        assert_int_equal(found.first, next.first);
        here = next;
    }
    assert_true(here.repeat > 2);
}

static void hourly_means_speak_of_ten_minutes(void **state)
{
    (void)state;
    struct station station;
    station_init(&station, 3, 3600.0, 4.0, (double)NAN);
    const struct wp_interval_config config = reading_of(&station);
    struct wp_intervals intervals;
    init(&intervals, &config);
    struct wp_interval interval;
    /* Time counts from the start of what the first record speaks of, 600 s before its stamp. */
    wp_interval_at(&intervals, 3600.0, &interval);
    assert_near(interval.end_s - interval.start_s, 600.0, 1e-6);
    struct wp_interval next;
    wp_interval_after(&intervals, &interval, &next);
    assert_near(next.start_s - interval.end_s, 3000.0, 1e-6);
}

static void record_after_a_gap_speaks_of_its_own_interval(void **state)
{
    (void)state;
    struct station station;
    station_init(&station, 3, 60.0, 4.0, 6.0);
    station.records[2].t_s = 1000.0;
    const struct wp_interval_config config = reading_of(&station);
    struct wp_intervals intervals;
    init(&intervals, &config);
    assert_near(wp_record_length(&intervals, 2), 60.0, 1e-9);
    station.records[2].t_s = 185.0; /* late by 5 s: still the next record */
    assert_near(wp_record_length(&intervals, 2), 65.0, 1e-9);
}

static void gust_tells_sigma_and_height_leaves_it(void **state)
{
    (void)state;
    struct station station;
    station_init(&station, 1, 600.0, 5.0, 9.0);
    struct wp_interval_config config = reading_of(&station);
    struct wp_intervals intervals;
    struct wp_interval as_given;
    struct wp_interval lower;
    init(&intervals, &config);
    wp_interval_at(&intervals, 0.0, &as_given);
    config.set.height_m = 3.0;
    init(&intervals, &config);
    wp_interval_at(&intervals, 0.0, &lower);
    assert_true(lower.mean_m_s < as_given.mean_m_s);
    assert_true(lower.sigma_m_s == as_given.sigma_m_s);
    station.records[0].gust_m_s = 13.0;
    wp_interval_at(&intervals, 0.0, &lower);
    assert_true(lower.sigma_m_s > 1.8 * as_given.sigma_m_s);
}

static void gust_that_was_not_measured_leaves_the_intensity(void **state)
{
    (void)state;
    struct station station;
    station_init(&station, 1, 600.0, 5.0, 9.0);
    struct wp_interval_config config = reading_of(&station);
    config.intensity = 0.2;
    struct wp_intervals intervals;
    init(&intervals, &config);
    const double unmeasured[] = {(double)NAN, 0.0, 4.0, 5.0};
    for (size_t i = 0; i < 4; i++) {
        station.records[0].gust_m_s = unmeasured[i];
        struct wp_interval interval;
        wp_interval_at(&intervals, 0.0, &interval);
        /* An intensity is that within ten minutes, 0.9825 of all turbulence at 5 m/s and 10 m. */
        assert_near(interval.sigma_m_s, 1.0 / 0.9825, 0.005);
    }
}

static void smooth_mean_stays_below_the_gust(void **state)
{
    (void)state;
    struct station station;
    station_init(&station, 1, 600.0, 8.0, 10.0);
    const struct wp_interval_config config = reading_of(&station);
    struct wp_intervals intervals;
    init(&intervals, &config);
    struct wp_interval interval;
    wp_interval_at(&intervals, 0.0, &interval);
    assert_true(interval.limit_m_s > 8.0 && interval.limit_m_s < 10.0);
}

static void short_records_tell_sigma_by_their_scatter(void **state)
{
    (void)state;
    struct station station;
    station_init(&station, 60, 5.0, 5.0, (double)NAN);
    for (size_t k = 0; k < 60; k++) {
        station.records[k].mean_m_s = 5.0 + sqrt(2.0) * sin((double)k); /* standard deviation 1 */
    }
    struct wp_interval_config config = reading_of(&station);
    struct wp_intervals intervals;
    init(&intervals, &config);
    struct wp_interval interval;
    wp_interval_at(&intervals, 152.0, &interval);
    /* Averages over 5 s have lost part of the scatter. */
    assert_true(interval.sigma_m_s > 1.02 && interval.sigma_m_s < 1.4);
    config.intensity = 0.1; /* a given intensity goes first */
    init(&intervals, &config);
    wp_interval_at(&intervals, 152.0, &interval);
    assert_near(interval.sigma_m_s / station.records[interval.record].mean_m_s, 0.1 / 0.98, 0.001);
}

static void records_without_any_mean_are_refused(void **state)
{
    (void)state;
    struct station station;
    station_init(&station, 2, 60.0, (double)NAN, (double)NAN);
    const struct wp_interval_config config = reading_of(&station);
    struct wp_intervals intervals;
    assert_int_equal(wp_intervals_init(&intervals, &config), WP_E_RANGE);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(time_stamp_is_the_end_of_its_interval),
        cmocka_unit_test(neighbours_follow_each_other_without_end),
        cmocka_unit_test(hourly_means_speak_of_ten_minutes),
        cmocka_unit_test(record_after_a_gap_speaks_of_its_own_interval),
        cmocka_unit_test(gust_tells_sigma_and_height_leaves_it),
        cmocka_unit_test(gust_that_was_not_measured_leaves_the_intensity),
        cmocka_unit_test(smooth_mean_stays_below_the_gust),
        cmocka_unit_test(short_records_tell_sigma_by_their_scatter),
        cmocka_unit_test(records_without_any_mean_are_refused),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
