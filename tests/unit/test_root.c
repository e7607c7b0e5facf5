/* SPDX-License-Identifier: MIT */
/* Zeros between two places. */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "tube/root.h"

static double cosine_minus_x(double x, const void *context)
{
    (void)context;
    return cos(x) - x;
}

static double steep(double x, const void *context)
{
    (*(int *)(uintptr_t)context)++;
    return expm1(200.0 * (x - 0.9));
}

static double line(double x, const void *context)
{
    return x - *(const double *)context;
}

/* Dottie's number, 0.7390851332151607 (any table of constants). */
static void finds_the_zero_to_the_last_bits(void **state)
{
    (void)state;
    assert_true(fabs(wp_root_find(cosine_minus_x, NULL, 0.0, 1.0) - 0.7390851332151607) < 1e-15);
    assert_true(fabs(wp_root_find(cosine_minus_x, NULL, 1.0, 0.0) - 0.7390851332151607) < 1e-15);
}

/* The secant alone would creep along such a curve. */
static void steep_curve_needs_few_looks(void **state)
{
    (void)state;
    int n_looks = 0;
    assert_true(fabs(wp_root_find(steep, &n_looks, 0.0, 1.0) - 0.9) < 1e-14);
    assert_true(n_looks < 30);
}

static void zero_on_an_end_is_found(void **state)
{
    (void)state;
    const double at = 2.0;
    assert_true(wp_root_find(line, &at, 2.0, 3.0) == 2.0);
    assert_true(wp_root_find(line, &at, 1.0, 2.0) == 2.0);
}

static void bracket_without_a_change_gives_its_better_end(void **state)
{
    (void)state;
    const double at = 0.0;
    assert_true(wp_root_find(line, &at, 1.0, 2.0) == 1.0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(finds_the_zero_to_the_last_bits),
        cmocka_unit_test(steep_curve_needs_few_looks),
        cmocka_unit_test(zero_on_an_end_is_found),
        cmocka_unit_test(bracket_without_a_change_gives_its_better_end),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
