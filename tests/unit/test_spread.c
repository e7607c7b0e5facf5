/* SPDX-License-Identifier: MIT */
/* The scatter of short records. */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "../near.h"
#include "base/random.h"
#include "wind/spread.h"

/* Scatter of n normal numbers of a standard deviation about 6, rounded to steps (0: not). */
static double scatter_of(size_t n, double sigma, double step)
{
    struct wp_spread spread;
    struct wp_random random;
    wp_spread_init(&spread, 6.5);
    wp_random_init(&random, 5, WP_STREAM_WIND, 0);
    for (size_t i = 0; i < n; i++) {
        const double value = 6.0 + sigma * wp_random_normal(&random);
        wp_spread_add(&spread, step > 0.0 ? step * floor(value / step + 0.5) : value);
    }
    return wp_spread_sigma(&spread);
}

/* A standard deviation of n numbers is known to 1 / sqrt(2 n): 0.7 % of 10000, four of them. */
static void scatter_is_the_standard_deviation(void **state)
{
    (void)state;
    assert_near(scatter_of(10000, 0.8, 0.0), 0.8, 0.8 * 0.028);
}

/* Steps of a knot, 0.514 m/s, add 7 % to a sigma of 0.4 m/s and 12 % to one of 0.3 m/s when they
 * are left in. */
static void rounding_is_taken_out(void **state)
{
    (void)state;
    const double knot = 1852.0 / 3600.0;
    assert_near(scatter_of(10000, 0.4, knot), 0.4, 0.4 * 0.04);
    assert_near(scatter_of(10000, 0.3, knot), 0.3, 0.3 * 0.06);
}

static void few_or_equal_values_tell_nothing(void **state)
{
    (void)state;
    assert_true(isnan(scatter_of(WP_SPREAD_LEAST - 1, 0.8, 0.0)));
    assert_false(isnan(scatter_of(WP_SPREAD_LEAST, 0.8, 0.0)));
    assert_true(isnan(scatter_of(100, 0.0, 0.0)));
    assert_true(isnan(scatter_of(100, 0.01, 0.5)));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(scatter_is_the_standard_deviation),
        cmocka_unit_test(rounding_is_taken_out),
        cmocka_unit_test(few_or_equal_values_tell_nothing),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
