/* SPDX-License-Identifier: MIT */
/* Mean direction between records. */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "../near.h"
#include "../wind_station.h"
#include "wind/turn.h"

static void begin(struct wp_turn *turn, struct wp_intervals *intervals, struct station *station,
                  const double *from_deg)
{
    for (size_t i = 0; i < station->weather.n_records; i++) {
        station->records[i].from_deg = from_deg[i];
    }
    const struct wp_interval_config config = {
        .weather = &station->weather,
        .step_s = 0.1,
        .station = {10.0, 0.03},
        .set = {10.0, 0.03},
        .gust_s = 3.0,
        .intensity = 0.2,
    };
    assert_int_equal(wp_intervals_init(intervals, &config), WP_OK);
    wp_turn_init(turn, intervals, 5);
}

static void turn_from_350_to_10_passes_north(void **state)
{
    (void)state;
    struct station station;
    struct wp_intervals intervals;
    struct wp_turn turn;
    station_init(&station, 2, 60.0, 4.0, 6.0);
    begin(&turn, &intervals, &station, (const double[]){350.0, 10.0});
    assert_near(wp_turn_at(&turn, 0.0), 350.0, 1e-9);
    assert_near(wp_turn_at(&turn, 45.0), 355.0, 1e-9); /* middles at 30 and 90 s */
    assert_near(wp_turn_wrapped(wp_turn_at(&turn, 60.0)), 0.0, 1e-9);
    assert_near(wp_turn_wrapped(wp_turn_at(&turn, 75.0)), 5.0, 1e-9);
    assert_near(wp_turn_wrapped(wp_turn_at(&turn, 1000.0)), 10.0, 1e-9);
}

static void missing_directions_are_passed_over(void **state)
{
    (void)state;
    struct station station;
    struct wp_intervals intervals;
    struct wp_turn turn;
    station_init(&station, 3, 60.0, 4.0, 6.0);
    begin(&turn, &intervals, &station, (const double[]){100.0, (double)NAN, 140.0});
    assert_near(wp_turn_at(&turn, 90.0), 120.0, 1e-9);
}

static void seed_picks_a_bearing_when_none_is_known(void **state)
{
    (void)state;
    struct station station;
    struct wp_intervals intervals;
    struct wp_turn turn;
    struct wp_turn other;
    station_init(&station, 1, 600.0, 4.0, 6.0);
    begin(&turn, &intervals, &station, (const double[]){(double)NAN});
    wp_turn_init(&other, &intervals, 6);
    assert_true(wp_turn_at(&turn, 0.0) >= 0.0 && wp_turn_at(&turn, 0.0) < 360.0);
    assert_true(wp_turn_at(&turn, 0.0) != wp_turn_at(&other, 0.0));
}

static void calm_and_unknown_directions_wander(void **state)
{
    (void)state;
    struct wp_record record = {.mean_m_s = 4.0, .from_deg = 10.0};
    assert_true(wp_turn_wander(&record) == 0.0);
    record.mean_m_s = 0.2;
    assert_true(wp_turn_wander(&record) > 40.0);
    record = (struct wp_record){.mean_m_s = 4.0, .from_deg = (double)NAN};
    assert_true(wp_turn_wander(&record) > 40.0);
}

static void angles_wrap_to_a_full_circle(void **state)
{
    (void)state;
    assert_true(wp_turn_wrapped(360.0) == 0.0);
    assert_near(wp_turn_wrapped(-10.0), 350.0, 1e-12);
    assert_true(wp_turn_wrapped(-1e-15) < 360.0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(turn_from_350_to_10_passes_north),
        cmocka_unit_test(missing_directions_are_passed_over),
        cmocka_unit_test(seed_picks_a_bearing_when_none_is_known),
        cmocka_unit_test(calm_and_unknown_directions_wander),
        cmocka_unit_test(angles_wrap_to_a_full_circle),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
