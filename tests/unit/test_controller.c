/* SPDX-License-Identifier: MIT */
/* Claims about what the controller of a drive knows of the wind. */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "../near.h"
#include "drive_fixture.h"
#include "striker/controller.h"

static void start(struct drive_fixture *f, struct wp_controller *controller, double update_s)
{
    assert_int_equal(wp_wind_create(&f->wind, &f->wind_config), WP_OK);
    wp_controller_init(controller, f->wind, update_s);
}

static void frequent_readings_are_taken_at_each_update_and_held(void **state)
{
    (void)state;
    struct drive_fixture f;
    struct wp_controller c;
    drive_open(&f, 200, 5.0);
    for (size_t i = 0; i < 200; i++) {
        f.weather.records[i].mean_m_s = 1.0 + 0.1 * (double)i;
    }
    start(&f, &c, 10.0);
    assert_false(c.is_generated);
    assert_near(wp_controller_at(&c, 0.0)->speed_m_s, 1.0, 1e-12);
    assert_near(wp_controller_at(&c, 9.99)->speed_m_s, 1.0, 1e-12);
    assert_near(wp_controller_at(&c, 10.0)->speed_m_s, 1.2, 1e-12);
    assert_near(wp_controller_at(&c, 17.0)->speed_m_s, 1.2, 1e-12);
    assert_near(wp_controller_at(&c, 123.0)->speed_m_s, 1.0 + 0.1 * 24.0, 1e-12);
    drive_close(&f);
}

static void missing_reading_leaves_the_last_and_no_direction_is_variable(void **state)
{
    (void)state;
    struct drive_fixture f;
    struct wp_controller c;
    drive_open(&f, 200, 10.0);
    f.weather.records[2].mean_m_s = 4.0;
    f.weather.records[3].mean_m_s = NAN;
    f.weather.records[4].mean_m_s = 3.0;
    f.weather.records[4].from_deg = NAN;
    start(&f, &c, 10.0);
    assert_near(wp_controller_at(&c, 35.0)->speed_m_s, 4.0, 0.0);
    assert_near(wp_controller_at(&c, 45.0)->speed_m_s, 3.0, 1e-12);
    assert_true(isnan(wp_controller_at(&c, 45.0)->from_deg));
    assert_near(wp_controller_at(&c, 45.0)->steadiness_01, 0.0, 0.0);
    drive_close(&f);
}

/* Two unit vectors 90 degrees apart have a mean of length cos 45. */
static void turn_between_readings_makes_them_unsteady(void **state)
{
    (void)state;
    struct drive_fixture f;
    struct wp_controller c;
    drive_open(&f, 200, 10.0);
    f.weather.records[2].from_deg = 350.0;
    f.weather.records[3].from_deg = 80.0;
    f.weather.records[4].from_deg = 80.0;
    start(&f, &c, 10.0);
    assert_near(wp_controller_at(&c, 15.0)->steadiness_01, 1.0, 1e-12);
    wp_controller_at(&c, 25.0);
    assert_near(wp_controller_at(&c, 35.0)->steadiness_01, sqrt(0.5), 1e-12);
    assert_near(wp_controller_at(&c, 45.0)->steadiness_01, 1.0, 1e-12);
    drive_close(&f);
}

/* The same wind stepped by hand: each window shows the mean of the one before it. */
static void rare_readings_give_way_to_the_generated_mean(void **state)
{
    (void)state;
    struct drive_fixture f;
    struct wp_controller c;
    struct wp_wind *by_hand;
    struct wp_wind_sample sample;
    drive_open(&f, 12, 600.0);
    start(&f, &c, 10.0);
    assert_true(c.is_generated);
    assert_int_equal(wp_wind_create(&by_hand, &f.wind_config), WP_OK);
    wp_wind_step(by_hand, &sample);
    assert_near(wp_controller_at(&c, 3.0)->speed_m_s, sample.speed_m_s, 1e-12);
    for (int window = 0; window < 200; window++) {
        double speed = 0.0;
        double east = 0.0;
        double north = 0.0;
        int n = 0;
        for (; sample.t_s < 10.0 * (window + 1); wp_wind_step(by_hand, &sample), n++) {
            speed += sample.speed_m_s;
            east += sin(sample.from_deg / 57.29577951308232);
            north += cos(sample.from_deg / 57.29577951308232);
        }
        const struct wp_reading *reading = wp_controller_at(&c, 10.0 * (window + 1) + 4.0);
        assert_near(reading->speed_m_s, speed / n, 1e-9);
        assert_near(reading->steadiness_01, hypot(east, north) / n, 1e-9);
        const double from = 57.29577951308232 * atan2(east, north);
        assert_near(reading->from_deg, from < 0.0 ? from + 360.0 : from, 1e-6);
    }
    wp_wind_destroy(by_hand);
    drive_close(&f);
}

/* The controller's readings are the station's: 10 m up, whatever the height of the set. */
static void height_of_the_set_does_not_change_the_mean_reading(void **state)
{
    (void)state;
    struct drive_fixture f;
    struct wp_controller c;
    drive_open(&f, 24, 600.0);
    f.wind_config.is_as_given = false;
    f.wind_config.height_m = 2.0;
    f.wind_config.roughness_m = 0.1;
    start(&f, &c, 10.0);
    assert_true(wp_wind_height_factor(f.wind) < 0.8);
    double sum = 0.0;
    for (int window = 0; window < 1320; window++) {
        sum += wp_controller_at(&c, 600.0 + 10.0 * window)->speed_m_s;
    }
    assert_near(sum / 1320.0, 5.0, 0.05); /* the records' mean is kept, so only end windows err */
    drive_close(&f);
}

static void look_ups_in_between_change_nothing(void **state)
{
    (void)state;
    struct drive_fixture f;
    struct wp_controller often;
    struct wp_controller rarely;
    drive_open(&f, 12, 600.0);
    start(&f, &often, 10.0);
    for (int i = 0; i < 5000; i++) {
        wp_controller_at(&often, 0.25 * i);
    }
    wp_wind_destroy(f.wind);
    start(&f, &rarely, 10.0);
    wp_controller_at(&rarely, 0.25 * 4999);
    assert_memory_equal(&often.reading, &rarely.reading, sizeof often.reading);
    drive_close(&f);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(frequent_readings_are_taken_at_each_update_and_held),
        cmocka_unit_test(missing_reading_leaves_the_last_and_no_direction_is_variable),
        cmocka_unit_test(turn_between_readings_makes_them_unsteady),
        cmocka_unit_test(rare_readings_give_way_to_the_generated_mean),
        cmocka_unit_test(height_of_the_set_does_not_change_the_mean_reading),
        cmocka_unit_test(look_ups_in_between_change_nothing),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
