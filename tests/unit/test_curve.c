/* SPDX-License-Identifier: MIT */
/* Curves that keep the mean of every record. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "../near.h"
#include "wind/curve.h"

enum { POINTS = 100000 };

static double average(const struct wp_curve *curve)
{
    double sum = 0.0;
    for (int i = 0; i < POINTS; i++) {
        sum += wp_curve_at(curve, (i + 0.5) / POINTS);
    }
    return sum / POINTS;
}

static double least(const struct wp_curve *curve)
{
    double value = curve->left;
    for (int i = 0; i <= POINTS; i++) {
        const double at = wp_curve_at(curve, (double)i / POINTS);
        value = at < value ? at : value;
    }
    return value;
}

static void piece_averages_to_its_record(void **state)
{
    (void)state;
    const double ramps[] = {1.0, 0.5, 0.01};
    for (size_t i = 0; i < 3; i++) {
        const struct wp_curve curve = wp_curve_through(2.0, 5.0, 4.0, ramps[i]);
        assert_near(average(&curve), 5.0, 1e-6);
        assert_near(wp_curve_at(&curve, 0.0), 2.0, 1e-12);
        assert_near(wp_curve_at(&curve, 1.0), 4.0, 1e-12);
    }
}

static void piece_between_quieter_records_is_not_negative(void **state)
{
    (void)state;
    /* The lull of a row 8, 1, 8 is the hardest case: both edges are pulled up. */
    const double edge = wp_curve_edge(1.0, 8.0);
    const struct wp_curve curve = wp_curve_through(edge, 1.0, edge, 1.0);
    assert_true(least(&curve) >= 0.0);
    assert_near(average(&curve), 1.0, 1e-6);
    assert_true(wp_curve_edge(0.0, 8.0) == 0.0);
}

static void both_sides_agree_on_an_edge(void **state)
{
    (void)state;
    assert_true(wp_curve_edge(3.0, 4.0) == wp_curve_edge(4.0, 3.0));
    assert_near(wp_curve_edge(3.0, 4.0), 3.5, 1e-12);
}

static void clamped_piece_stays_below_the_limit_and_keeps_its_average(void **state)
{
    (void)state;
    /* Records 2, 8, 2 with a gust of 10: unclamped the curve would rise to 12. */
    const double edge = wp_curve_edge(2.0, 8.0);
    struct wp_curve curve = wp_curve_through(edge, 8.0, edge, 1.0);
    assert_near(curve.level, 12.0, 1e-12);
    wp_curve_clamp(&curve, 8.0, 10.0);
    assert_near(curve.level, 10.0, 1e-12);
    assert_true(curve.ramp > 0.0 && curve.ramp < 1.0);
    assert_near(average(&curve), 8.0, 1e-6);
}

static void clamp_leaves_a_low_piece_alone(void **state)
{
    (void)state;
    struct wp_curve curve = wp_curve_through(3.0, 4.0, 5.0, 1.0);
    wp_curve_clamp(&curve, 4.0, 6.0);
    assert_true(curve.ramp == 1.0);
}

static void line_is_straight(void **state)
{
    (void)state;
    const struct wp_curve line = wp_curve_line(2.0, 6.0);
    assert_near(wp_curve_at(&line, 0.25), 3.0, 1e-12);
    assert_near(wp_curve_at(&line, 0.75), 5.0, 1e-12);
}

/* Mean square over a million midpoints. */
static double square_of(const struct wp_curve *curve, double value)
{
    enum { MILLION = 1000000 };
    double sum = 0.0;
    for (int i = 0; i < MILLION; i++) {
        const double off = wp_curve_at(curve, (i + 0.5) / MILLION) - value;
        sum += off * off / MILLION;
    }
    return sum;
}

static void variance_is_that_of_the_points(void **state)
{
    (void)state;
    for (double ramp = 0.1; ramp <= 1.0; ramp += 0.3) {
        const struct wp_curve curve = wp_curve_through(1.0, 4.0, 7.5, ramp);
        assert_near(wp_curve_variance(&curve, 4.0), square_of(&curve, 4.0), 1e-9);
        assert_near(wp_curve_variance(&curve, 0.0), square_of(&curve, 0.0), 1e-9);
    }
}

static void level_is_chosen_for_a_mean_square(void **state)
{
    (void)state;
    for (double ramp = 0.1; ramp <= 1.0; ramp += 0.3) {
        struct wp_curve curve = wp_curve_through(1.0, 2.0, 3.0, ramp);
        wp_curve_set_square(&curve, 9.0, 0.5);
        assert_near(square_of(&curve, 0.0), 9.0, 1e-9);
        wp_curve_set_square(&curve, 0.0, 0.5);
        assert_near(curve.level, 0.5, 0.0);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(piece_averages_to_its_record),
        cmocka_unit_test(piece_between_quieter_records_is_not_negative),
        cmocka_unit_test(both_sides_agree_on_an_edge),
        cmocka_unit_test(clamped_piece_stays_below_the_limit_and_keeps_its_average),
        cmocka_unit_test(clamp_leaves_a_low_piece_alone),
        cmocka_unit_test(line_is_straight),
        cmocka_unit_test(variance_is_that_of_the_points),
        cmocka_unit_test(level_is_chosen_for_a_mean_square),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
