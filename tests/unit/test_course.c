/* SPDX-License-Identifier: MIT */
/* Claims about the course of a striking: speeds, minutes of wind, gusts. */
#include "windpeal/course.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

#include "../near.h"
#include "../wind_station.h"

/* Speeds 0.01 to 1 m/s in equal steps: the q-quantile is 0.01 + 0.99 q, a bin is 4.7 % wide. */
static void quantiles_are_those_of_the_speeds(void **state)
{
    (void)state;
    struct wp_speed_spread spread;
    memset(&spread, 0, sizeof spread);
    assert_true(isnan(wp_speed_spread_quantile(&spread, 0.5)));
    for (int i = 0; i < 1000; i++) {
        wp_speed_spread_add(&spread, 0.01 + 0.99 * ((double)i + 0.5) / 1000.0);
    }
    static const double shares[] = {0.1, 0.25, 0.5, 0.9};
    for (size_t i = 0; i < sizeof shares / sizeof shares[0]; i++) {
        const double want = 0.01 + 0.99 * shares[i];
        assert_near(wp_speed_spread_quantile(&spread, shares[i]), want, 0.025 * want);
    }
}

static void classes_of_speed_hold_every_strike_once(void **state)
{
    (void)state;
    struct wp_speed_spread spread;
    memset(&spread, 0, sizeof spread);
    static const double speeds[] = {1e-7, 0.015, 0.02, 0.03, 0.05, 0.9, 50.0};
    for (size_t i = 0; i < sizeof speeds / sizeof speeds[0]; i++) {
        wp_speed_spread_add(&spread, speeds[i]);
    }
    assert_int_equal(wp_speed_spread_count(&spread, 0.0, 0.02), 2);
    assert_int_equal(wp_speed_spread_count(&spread, 0.02, 0.05), 2);
    assert_int_equal(wp_speed_spread_count(&spread, 0.05, 10.0), 3);
}

/* Half an hour at 2 m/s and half an hour at 6 m/s; a strike every 30 s and every 10 s. */
static void strikes_go_to_the_wind_of_their_minute(void **state)
{
    (void)state;
    struct station station;
    station_init(&station, 6, 600.0, 2.0, (double)NAN);
    for (size_t i = 3; i < 6; i++) {
        station.records[i].mean_m_s = 6.0;
    }
    struct wp_wind_config config = station_config(&station, 3);
    config.intensity = 0.0;
    struct wp_wind *wind = station_wind(&config);
    struct wp_course course;
    wp_course_init(&course, wind, config.step_s);
    size_t n = 0;
    for (double t_s = 5.0; t_s < 3600.0; t_s += t_s < 1800.0 ? 30.0 : 10.0) {
        const struct wp_strike strike = {.t_s = t_s, .tube = n++ % 3, .speed_m_s = 0.2};
        wp_course_add(&course, &strike);
    }
    wp_course_end(&course, 3600.0);
    double duration_s = 0.0;
    size_t n_strikes = 0;
    for (size_t i = 0; i < WP_WIND_CLASSES; i++) {
        duration_s += course.classes[i].duration_s;
        n_strikes += course.classes[i].n_strikes;
    }
    assert_near(duration_s, 3600.0, 0.2);
    assert_int_equal(n_strikes, n);
    /* The mean curve turns between the two records; most minutes are clear of the turn. */
    const struct wp_wind_class light = course.classes[1];
    const struct wp_wind_class light2 = course.classes[2];
    const double light_s = light.duration_s + light2.duration_s;
    assert_true(light_s >= 1200.0 && light_s <= 2100.0);
    assert_near(60.0 * (double)(light.n_strikes + light2.n_strikes) / light_s, 2.0, 0.3);
    const struct wp_wind_class strong = course.classes[6];
    const struct wp_wind_class strong2 = course.classes[5];
    const double strong_s = strong.duration_s + strong2.duration_s;
    assert_true(strong_s >= 1200.0 && strong_s <= 2100.0);
    assert_near(60.0 * (double)(strong.n_strikes + strong2.n_strikes) / strong_s, 6.0, 0.6);
    assert_int_equal(course.n_silences, 60);
    wp_wind_destroy(wind);
}

/* Without turbulence there are no gusts; with it some, and each holds the tubes struck in it. */
static void gusts_are_of_a_gusty_wind(void **state)
{
    (void)state;
    static const double intensities[] = {0.0, 0.25};
    for (size_t k = 0; k < 2; k++) {
        struct station station;
        station_init(&station, 12, 600.0, 5.0, (double)NAN);
        struct wp_wind_config config = station_config(&station, 11);
        config.intensity = intensities[k];
        struct wp_wind *wind = station_wind(&config);
        struct wp_course course;
        wp_course_init(&course, wind, config.step_s);
        for (size_t i = 0; i < 7200; i++) {
            const struct wp_strike strike = {
                .t_s = (double)i + 0.5, .tube = i % 2, .speed_m_s = 0.2};
            wp_course_add(&course, &strike);
        }
        wp_course_end(&course, 7200.0);
        if (k == 0) {
            assert_int_equal(course.n_gusts, 0);
            assert_int_equal(course.n_gust_tubes, 0);
        } else {
            assert_in_range(course.n_gusts, 30, 400);
            /* Two tubes struck in turn every second: a gust of two seconds reaches both. */
            assert_true(course.n_gust_tubes > course.n_gusts);
            assert_true(course.n_gust_tubes <= 2 * course.n_gusts);
        }
        wp_wind_destroy(wind);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(quantiles_are_those_of_the_speeds),
        cmocka_unit_test(classes_of_speed_hold_every_strike_once),
        cmocka_unit_test(strikes_go_to_the_wind_of_their_minute),
        cmocka_unit_test(gusts_are_of_a_gusty_wind),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
