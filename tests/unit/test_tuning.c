/* SPDX-License-Identifier: MIT */
/* Lengths for notes. */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "tube/tuning.h"

static struct wp_tube_spec plain(double outer_m, double wall_m)
{
    return (struct wp_tube_spec){
        .material = {68.9e9, 2700.0, 0.33, 1e-4, 23.4e-6, -5e-4, 200.0, 900.0, NAN},
        .outer_diameter_m = outer_m,
        .wall_m = wall_m,
        .length_m = NAN,
        .temperature_c = 20.0,
        .is_supported_at_node = true,
    };
}

static void check_first(struct wp_tube_spec spec, double target_hz)
{
    double first_hz;
    assert_int_equal(wp_tube_length_for(&spec, WP_TUNED_FIRST_PARTIAL, target_hz, &spec.length_m),
                     WP_OK);
    assert_int_equal(wp_tube_frequencies(&spec, &first_hz, 1), WP_OK);
    assert_true(fabs(1200.0 * log2(first_hz / target_hz)) < 1e-3);
}

static void length_gives_back_the_note(void **state)
{
    (void)state;
    struct wp_tube_spec spec = plain(0.032, 0.0016);
    check_first(spec, 220.0);
    check_first(spec, 1760.0);
    spec.temperature_c = -5.0;
    check_first(spec, 440.0);
    spec.end_mass_kg = 0.02;
    check_first(spec, 440.0);
    check_first(plain(0.012, 0.006), 880.0);
}

/* A warm tube sounds flat, so tuned while warm it must be cut shorter. */
static void tube_tuned_warm_is_shorter(void **state)
{
    (void)state;
    struct wp_tube_spec spec = plain(0.032, 0.0016);
    double cold_m, warm_m;
    assert_int_equal(wp_tube_length_for(&spec, WP_TUNED_FIRST_PARTIAL, 440.0, &cold_m), WP_OK);
    spec.temperature_c = 35.0;
    assert_int_equal(wp_tube_length_for(&spec, WP_TUNED_FIRST_PARTIAL, 440.0, &warm_m), WP_OK);
    assert_true(warm_m < cold_m);
}

static void heard_pitch_takes_the_long_tube_where_there_is_one(void **state)
{
    (void)state;
    for (double target_hz = 60.0; target_hz < 3000.0; target_hz *= 1.07) {
        struct wp_tube_spec spec = plain(0.038, 0.0015);
        double heard_hz;
        assert_int_equal(wp_tube_length_for(&spec, WP_TUNED_HEARD_PITCH, target_hz, &spec.length_m),
                         WP_OK);
        assert_int_equal(wp_tuned_pitch(&spec, WP_TUNED_HEARD_PITCH, &heard_hz), WP_OK);
        assert_true(fabs(1200.0 * log2(heard_hz / target_hz)) < 1e-3);
        if (target_hz < 600.0) {
            double first_hz;
            assert_int_equal(wp_tube_frequencies(&spec, &first_hz, 1), WP_OK);
            assert_true(first_hz < target_hz / 3.0);
        }
    }
}

static void out_of_reach_is_refused_on_both_sides(void **state)
{
    (void)state;
    const struct wp_tube_spec spec = plain(0.050, 0.0015);
    double lowest_hz, highest_hz, length_m = 7.0;
    assert_int_equal(wp_tuning_reach(&spec, WP_TUNED_FIRST_PARTIAL, &lowest_hz, &highest_hz),
                     WP_OK);
    assert_int_equal(
        wp_tube_length_for(&spec, WP_TUNED_FIRST_PARTIAL, highest_hz * 1.001, &length_m),
        WP_E_RANGE);
    assert_int_equal(
        wp_tube_length_for(&spec, WP_TUNED_FIRST_PARTIAL, lowest_hz * 0.999, &length_m),
        WP_E_RANGE);
    assert_int_equal(wp_tube_length_for(&spec, WP_TUNED_FIRST_PARTIAL, NAN, &length_m), WP_E_RANGE);
    assert_true(length_m == 7.0);
    assert_int_equal(
        wp_tube_length_for(&spec, WP_TUNED_FIRST_PARTIAL, highest_hz * 0.999, &length_m), WP_OK);
    assert_true(length_m < 0.151);
    assert_int_equal(
        wp_tube_length_for(&spec, WP_TUNED_FIRST_PARTIAL, lowest_hz * 1.001, &length_m), WP_OK);
    assert_true(length_m > 11.9);
}

static void impossible_wall_is_refused(void **state)
{
    (void)state;
    const struct wp_tube_spec spec = plain(0.050, 0.026);
    double length_m;
    assert_int_equal(wp_tube_length_for(&spec, WP_TUNED_FIRST_PARTIAL, 440.0, &length_m),
                     WP_E_RANGE);
}

/* 1/32 in = 0.79375 mm. */
static void rule_rounds_to_the_nearest_mark(void **state)
{
    (void)state;
    assert_true(fabs(wp_length_rounded(0.58312, 0.0005) - 0.583) < 1e-12);
    assert_true(fabs(wp_length_rounded(0.0127, 0.00079375) - 0.0127) < 1e-12);
    assert_true(wp_length_rounded(0.58312, 0.0) == 0.58312);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(length_gives_back_the_note),
        cmocka_unit_test(tube_tuned_warm_is_shorter),
        cmocka_unit_test(heard_pitch_takes_the_long_tube_where_there_is_one),
        cmocka_unit_test(out_of_reach_is_refused_on_both_sides),
        cmocka_unit_test(impossible_wall_is_refused),
        cmocka_unit_test(rule_rounds_to_the_nearest_mark),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
