/* SPDX-License-Identifier: MIT */
/* Claims about when and how hard a controller kicks. */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "../near.h"
#include "striker/schedule.h"

static const struct wp_schedule schedule = {
    .slowest_s = 25.0,
    .fastest_s = 0.8,
    .calm_below_m_s = 0.5,
    .full_at_m_s = 11.0,
    .least_duty_01 = 0.4,
};

static void more_wind_never_slows_or_weakens(void **state)
{
    (void)state;
    double last_s = INFINITY;
    double last_duty = 0.0;
    for (int i = 0; i <= 4000; i++) {
        const double wind_m_s = 0.01 * i;
        const double delay_s = wp_schedule_delay_s(&schedule, wind_m_s);
        const double duty = wp_schedule_duty(&schedule, wind_m_s);
        assert_true(delay_s <= last_s && delay_s >= 0.8 && delay_s <= 25.0);
        assert_true(duty >= last_duty && duty <= 1.0);
        last_s = delay_s;
        last_duty = duty;
    }
    assert_near(last_s, 0.8, 1e-12);
    assert_near(last_duty, 1.0, 1e-12);
}

static void calm_is_silent_and_its_edge_is_not(void **state)
{
    (void)state;
    assert_near(wp_schedule_duty(&schedule, 0.499), 0.0, 0.0);
    assert_near(wp_schedule_duty(&schedule, 0.5), 0.4, 1e-12);
    assert_near(wp_schedule_delay_s(&schedule, 0.0), 25.0, 1e-12);
}

/* Half way between calm and full: the mean of 1 / 25 and 1 / 0.8 kicks a second. */
static void kicks_a_second_grow_in_a_straight_line(void **state)
{
    (void)state;
    assert_near(wp_schedule_delay_s(&schedule, 5.75), 2.0 / (1.0 / 25.0 + 1.0 / 0.8), 1e-12);
    assert_near(wp_schedule_duty(&schedule, 5.75), 0.7, 1e-12);
}

static void mean_is_weighted_by_time(void **state)
{
    (void)state;
    struct wp_running_mean mean;
    wp_running_mean_init(&mean, 10.0, 25.0);
    assert_near(wp_running_mean_value(&mean), 0.0, 0.0);
    wp_running_mean_add(&mean, 8.0);
    assert_near(wp_running_mean_value(&mean), 8.0, 1e-12);
    wp_running_mean_add(&mean, 2.0);
    assert_near(wp_running_mean_value(&mean), 5.0, 1e-12);
    wp_running_mean_add(&mean, 1.0); /* 10 s of 1, 10 s of 2 and 5 s of 8 */
    assert_near(wp_running_mean_value(&mean), (10.0 + 20.0 + 40.0) / 25.0, 1e-12);
}

static void old_readings_are_forgotten(void **state)
{
    (void)state;
    struct wp_running_mean mean;
    wp_running_mean_init(&mean, 1.0, WP_MEAN_READINGS_MAX);
    for (int i = 0; i < 3 * WP_MEAN_READINGS_MAX; i++) {
        wp_running_mean_add(&mean, i < 2 * WP_MEAN_READINGS_MAX ? 40.0 : 3.0);
    }
    assert_near(wp_running_mean_value(&mean), 3.0, 1e-12);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(more_wind_never_slows_or_weakens),
        cmocka_unit_test(calm_is_silent_and_its_edge_is_not),
        cmocka_unit_test(kicks_a_second_grow_in_a_straight_line),
        cmocka_unit_test(mean_is_weighted_by_time),
        cmocka_unit_test(old_readings_are_forgotten),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
