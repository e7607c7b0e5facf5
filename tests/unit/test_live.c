/* SPDX-License-Identifier: MIT */
/* The wind of a feed. */
#include "wind/live.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

#include "../near.h"
#include "../wind_station.h"

static struct wp_record record_at(double t_s, double mean_m_s, double gust_m_s, double from_deg)
{
    return (struct wp_record){.t_s = t_s,
                              .mean_m_s = mean_m_s,
                              .gust_m_s = gust_m_s,
                              .from_deg = from_deg,
                              .temperature_c = (double)NAN,
                              .pressure_pa = (double)NAN};
}

static struct wp_wind_config feed_config(void)
{
    struct wp_wind_config config;
    wp_wind_config_default(&config);
    config.is_live = true;
    config.is_as_given = true;
    return config;
}

static void pass(struct wp_wind *wind, size_t n)
{
    struct wp_wind_sample sample;
    for (size_t i = 0; i < n; i++) {
        wp_wind_step(wind, &sample);
    }
}

static double mean_of_next(struct wp_wind *wind, size_t n)
{
    struct wp_wind_sample sample;
    double sum = 0.0;
    for (size_t i = 0; i < n; i++) {
        wp_wind_step(wind, &sample);
        sum += sample.speed_m_s;
    }
    return sum / (double)n;
}

static void calm_before_the_first_record(void **state)
{
    (void)state;
    const struct wp_wind_config config = feed_config();
    struct wp_wind *wind = station_wind(&config);
    double reading_m_s;
    double from_deg;
    assert_near(mean_of_next(wind, 1000), 0.0, 0.0);
    assert_int_equal(wp_wind_news(wind), WP_WIND_WAITING);
    wp_wind_reading(wind, 0.0, &reading_m_s, &from_deg);
    assert_near(reading_m_s, 0.0, 0.0);
    assert_true(isnan(from_deg));
    wp_wind_destroy(wind);
}

/* An uneven feed with a correction, a record without mean and one without direction. */
static void fill_uneven(struct station *station)
{
    static const double times_s[12] = {0.0,   3.0,   61.3,  120.0, 120.0, 185.0,
                                       240.0, 300.1, 361.0, 365.0, 430.0, 900.0};
    station_init(station, 12, 60.0, 5.0, 8.0);
    for (size_t i = 0; i < 12; i++) {
        station->records[i].t_s = times_s[i];
        station->records[i].mean_m_s = 3.0 + 0.5 * (double)i;
        station->records[i].gust_m_s = i % 3 == 0 ? (double)NAN : 7.0 + 0.5 * (double)i;
        station->records[i].from_deg = i % 4 == 1 ? (double)NAN : 300.0 + 20.0 * (double)i;
    }
    station->records[6].mean_m_s = (double)NAN;
}

static void records_added_give_the_bits_of_records_known(void **state)
{
    (void)state;
    static struct station station;
    fill_uneven(&station);
    struct wp_wind_config config = feed_config();
    struct wp_wind *added = station_wind(&config);
    config.weather = &station.weather;
    struct wp_wind *known = station_wind(&config);
    size_t next = 0;
    for (size_t i = 0; i < 15000; i++) {
        struct wp_wind_sample a;
        struct wp_wind_sample b;
        while (next < station.weather.n_records &&
               station.records[next].t_s <= 0.1 * (double)i + 0.35) {
            assert_int_equal(wp_wind_report(added, &station.records[next]), WP_OK);
            next++;
        }
        wp_wind_step(added, &a);
        wp_wind_step(known, &b);
        assert_memory_equal(&a, &b, sizeof a);
        assert_int_equal(wp_wind_news(added), wp_wind_news(known));
    }
    wp_wind_destroy(added);
    wp_wind_destroy(known);
}

/* A file holds one record of a moment only, the last one. */
static void correction_leaves_no_trace_of_what_it_corrects(void **state)
{
    (void)state;
    const struct wp_wind_config config = feed_config();
    for (double t_s = 0.0; t_s < 200.0; t_s += 90.0) {
        struct wp_wind *corrected = station_wind(&config);
        struct wp_wind *right = station_wind(&config);
        const struct wp_record first = record_at(0.0, 4.0, 6.0, 100.0);
        const struct wp_record wrong = record_at(t_s, 9.0, 30.0, 10.0);
        const struct wp_record last = record_at(t_s, 6.0, 9.0, 200.0);
        if (t_s > 0.0) {
            assert_int_equal(wp_wind_report(corrected, &first), WP_OK);
            assert_int_equal(wp_wind_report(right, &first), WP_OK);
        }
        assert_int_equal(wp_wind_report(corrected, &wrong), WP_OK);
        assert_int_equal(wp_wind_report(corrected, &last), WP_OK);
        assert_int_equal(wp_wind_report(right, &last), WP_OK);
        for (size_t i = 0; i < 4000; i++) {
            struct wp_wind_sample a;
            struct wp_wind_sample b;
            wp_wind_step(corrected, &a);
            wp_wind_step(right, &b);
            assert_memory_equal(&a, &b, sizeof a);
        }
        wp_wind_destroy(corrected);
        wp_wind_destroy(right);
    }
}

static void new_wind_is_there_within_a_quarter_of_the_interval(void **state)
{
    (void)state;
    static const double cases[2][2] = {{60.0, 15.0}, {600.0, 30.0}}; /* interval, way */
    for (size_t k = 0; k < 2; k++) {
        static struct wp_live live;
        const struct wp_exposure field = {10.0, 0.03};
        const struct wp_live_config config = {
            .reading = {.step_s = 0.1,
                        .station = field,
                        .set = field,
                        .gust_s = 3.0,
                        .intensity = (double)NAN},
            .interval_s = cases[k][0],
            .fade_s = 60.0,
        };
        struct wp_live_moment moment;
        const struct wp_record first = record_at(0.0, 4.0, 7.0, 350.0);
        const struct wp_record second = record_at(100.0, 8.0, 13.0, 10.0);
        wp_live_init(&live, &config);
        wp_live_add(&live, &first);
        wp_live_add(&live, &second);
        double first_deg = 0.0;
        for (double before = 4.0; live.now < 2000;) {
            const double t_s = 0.1 * (double)live.now;
            wp_live_step(&live, &moment);
            const double mean_m_s = live.at[WP_LIVE_MEAN_M_S];
            assert_true(mean_m_s - before <= 4.0 * 0.1 / cases[k][1] * 1.0001);
            before = mean_m_s;
            if (t_s < 99.95) {
                assert_near(mean_m_s, 4.0, 0.0);
                first_deg = live.at[WP_LIVE_FROM_DEG];
            } else if (t_s > 99.95 + cases[k][1]) {
                assert_near(mean_m_s, 8.0, 0.0);
                assert_near(live.at[WP_LIVE_FROM_DEG] - first_deg, 20.0, 1e-9); /* the short way */
            }
        }
    }
}

static void silent_feed_is_given_up_and_fades(void **state)
{
    (void)state;
    struct wp_wind_config config = feed_config();
    config.interval_s = 20.0;
    struct wp_wind *wind = station_wind(&config);
    const struct wp_record first = record_at(0.0, 5.0, 7.0, 200.0);
    const struct wp_record again = record_at(200.0, 5.0, 7.0, 200.0);
    wp_wind_report(wind, &first);
    pass(wind, 601); /* up to 60.0 s: three intervals */
    assert_int_equal(wp_wind_news(wind), WP_WIND_FRESH);
    pass(wind, 1);
    assert_int_equal(wp_wind_news(wind), WP_WIND_SILENT);
    assert_true(mean_of_next(wind, 100) > 2.5); /* it has only begun to fall */
    pass(wind, 510);
    assert_int_equal(wp_wind_news(wind), WP_WIND_FADED);
    assert_near(mean_of_next(wind, 700), 0.0, 0.0);
    wp_wind_report(wind, &again);
    pass(wind, 200);
    assert_int_equal(wp_wind_news(wind), WP_WIND_FRESH);
    assert_true(mean_of_next(wind, 200) > 2.5);
    wp_wind_destroy(wind);
}

/* A set that is edited long after the last report plays in the calm that there is. */
static void feed_that_was_silent_before_the_start_has_faded_as_far(void **state)
{
    (void)state;
    static const double late_s[] = {15.0, 45.0, 60.0, 3600.0};
    static struct station station;
    station_init(&station, 4, 20.0, 8.0, 12.0); /* the last at 80 s, given up at 140 s */
    for (size_t i = 0; i < 4; i++) {
        struct wp_wind_config config = feed_config();
        double reading_m_s;
        double from_deg;
        config.weather = &station.weather;
        config.start_s = 140.0 + late_s[i];
        struct wp_wind *wind = station_wind(&config);
        pass(wind, 1);
        wp_wind_reading(wind, 0.0, &reading_m_s, &from_deg);
        assert_near(reading_m_s, 8.0 * fmax(0.0, 1.0 - late_s[i] / 60.0), 0.03); /* of two steps */
        assert_int_equal(wp_wind_news(wind), late_s[i] < 60.0 ? WP_WIND_SILENT : WP_WIND_FADED);
        pass(wind, 650);
        assert_int_equal(wp_wind_news(wind), WP_WIND_FADED);
        assert_near(mean_of_next(wind, 10), 0.0, 0.0);
        wp_wind_destroy(wind);
    }
}

static void silent_feed_may_be_held(void **state)
{
    (void)state;
    struct wp_wind_config config = feed_config();
    config.interval_s = 20.0;
    config.fade_s = INFINITY;
    struct wp_wind *wind = station_wind(&config);
    const struct wp_record first = record_at(0.0, 5.0, 7.0, 200.0);
    wp_wind_report(wind, &first);
    pass(wind, 100000);
    assert_int_equal(wp_wind_news(wind), WP_WIND_SILENT);
    assert_true(mean_of_next(wind, 1000) > 2.5);
    wp_wind_destroy(wind);
}

/* Every 7 s; the median keeps one late and one early report out. */
static void interval_is_learnt_from_the_feed(void **state)
{
    (void)state;
    static const double times_s[6] = {0.0, 7.0, 14.0, 40.0, 47.0, 54.0};
    const struct wp_wind_config config = feed_config();
    struct wp_wind *wind = station_wind(&config);
    for (size_t i = 0; i < 6; i++) {
        const struct wp_record record = record_at(times_s[i], 5.0, 7.0, 200.0);
        assert_int_equal(wp_wind_report(wind, &record), WP_OK);
    }
    pass(wind, 751);
    assert_int_equal(wp_wind_news(wind), WP_WIND_FRESH);
    pass(wind, 2); /* past 54 + 21 s */
    assert_int_equal(wp_wind_news(wind), WP_WIND_SILENT);
    wp_wind_destroy(wind);
}

static void reports_out_of_place_are_refused(void **state)
{
    (void)state;
    const struct wp_wind_config config = feed_config();
    struct wp_wind *wind = station_wind(&config);
    struct wp_record record = record_at(10.0, 5.0, 7.0, 200.0);
    pass(wind, 101); /* 10.0 s was the last one */
    assert_int_equal(wp_wind_report(wind, &record), WP_E_RANGE);
    record.t_s = 20.0;
    assert_int_equal(wp_wind_report(wind, &record), WP_OK);
    record.t_s = 19.0;
    assert_int_equal(wp_wind_report(wind, &record), WP_E_RANGE);
    record.t_s = (double)NAN;
    assert_int_equal(wp_wind_report(wind, &record), WP_E_RANGE);
    for (int i = 1; i < WP_WIND_WAITING_MAX; i++) {
        record.t_s = 20.0 + i;
        assert_int_equal(wp_wind_report(wind, &record), WP_OK);
    }
    record.t_s = 100.0;
    assert_int_equal(wp_wind_report(wind, &record), WP_E_RANGE);
    wp_wind_destroy(wind);

    static struct station station;
    station_init(&station, 2, 60.0, 5.0, 8.0);
    const struct wp_wind_config known = station_config(&station, 1);
    wind = station_wind(&known);
    assert_int_equal(wp_wind_report(wind, &record), WP_E_RANGE);
    assert_int_equal(wp_wind_news(wind), WP_WIND_FRESH);
    wp_wind_destroy(wind);
}

/* A feed's format may be known by its first line only. */
static void averages_told_before_the_first_record_give_the_bits_of_those_known(void **state)
{
    (void)state;
    static const struct wp_averages metar = {600.0, 3.0, 600.0};
    static const struct wp_averages endless = {7200.0, 3.0, 600.0};
    static struct station station;
    fill_uneven(&station);
    struct wp_wind_config config = feed_config();
    struct wp_wind *told = station_wind(&config);
    config.averaging_s = 600.0;
    config.gust_over_s = 600.0;
    struct wp_wind *known = station_wind(&config);
    config.averaging_s = config.gust_over_s = 0.0;
    struct wp_wind *untold = station_wind(&config);
    struct wp_wind_sample a;
    struct wp_wind_sample b;
    struct wp_wind_sample c;
    pass(told, 50);
    pass(known, 50);
    pass(untold, 50);
    assert_int_equal(wp_wind_set_averages(told, &endless), WP_E_RANGE);
    assert_int_equal(wp_wind_set_averages(told, &metar), WP_OK);
    bool is_alike = true;
    for (size_t i = 2; i < 4; i++) {
        assert_int_equal(wp_wind_report(told, &station.records[i]), WP_OK);
        assert_int_equal(wp_wind_report(known, &station.records[i]), WP_OK);
        assert_int_equal(wp_wind_report(untold, &station.records[i]), WP_OK);
    }
    for (size_t i = 0; i < 3000; i++) {
        wp_wind_step(told, &a);
        wp_wind_step(known, &b);
        wp_wind_step(untold, &c);
        assert_memory_equal(&a, &b, sizeof a);
        is_alike = is_alike && a.speed_m_s == c.speed_m_s;
    }
    assert_false(is_alike);
    assert_int_equal(wp_wind_set_averages(told, &metar), WP_E_RANGE);
    wp_wind_destroy(told);
    wp_wind_destroy(known);
    wp_wind_destroy(untold);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(calm_before_the_first_record),
        cmocka_unit_test(records_added_give_the_bits_of_records_known),
        cmocka_unit_test(averages_told_before_the_first_record_give_the_bits_of_those_known),
        cmocka_unit_test(correction_leaves_no_trace_of_what_it_corrects),
        cmocka_unit_test(new_wind_is_there_within_a_quarter_of_the_interval),
        cmocka_unit_test(silent_feed_is_given_up_and_fades),
        cmocka_unit_test(feed_that_was_silent_before_the_start_has_faded_as_far),
        cmocka_unit_test(silent_feed_may_be_held),
        cmocka_unit_test(interval_is_learnt_from_the_feed),
        cmocka_unit_test(reports_out_of_place_are_refused),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
