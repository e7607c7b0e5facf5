/* SPDX-License-Identifier: MIT */
/* Decimal numbers against the C library's strtod in the C locale. */
#include "base/decimal.h"

#include <float.h>
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#include "base/random.h"

static void short_numbers_are_correctly_rounded(void **state)
{
    (void)state;
    struct wp_random random;
    wp_random_init(&random, 5, WP_STREAM_DITHER, 0);
    for (int i = 0; i < 50000; i++) {
        char text[64];
        const unsigned long whole = wp_random_word(&random) % 1000000U;
        const unsigned long part = wp_random_word(&random) % 1000000000U;
        const int exponent = i % 27 - 13;
        (void)snprintf(text, sizeof text, "%s%lu.%09lue%d", i & 1 ? "-" : "", whole, part,
                       exponent);
        double got = NAN;
        const char *end = wp_decimal_parse(text, &got);
        assert_true(end == text + strlen(text));
        assert_true(got == strtod(text, NULL));
    }
}

static void long_and_extreme_numbers_are_near(void **state)
{
    (void)state;
    const char *const texts[] = {"3.14159265358979323846264338327950288",
                                 "0.000000000000000000000000000000123456789012345678901234",
                                 "123456789012345678901234567890",
                                 "1.7976931348623157e308",
                                 "2.2250738585072014e-308",
                                 "1e-320",
                                 "00000000000000000000000000000001.5",
                                 "9007199254740993"};
    for (size_t i = 0; i < sizeof texts / sizeof texts[0]; i++) {
        double got = NAN;
        const double want = strtod(texts[i], NULL);
        assert_non_null(wp_decimal_parse(texts[i], &got));
        assert_true(fabs(got - want) <= fmax(2.0 * DBL_EPSILON * want, DBL_TRUE_MIN));
    }
}

static void number_ends_where_it_ends(void **state)
{
    (void)state;
    const char *const texts[] = {"1.5mm", "3 in", "2e", "7e+", ".5x", "1.2.3", "1,5", "0x10"};
    const size_t lengths[] = {3, 1, 1, 1, 2, 3, 1, 1};
    for (size_t i = 0; i < sizeof texts / sizeof texts[0]; i++) {
        double got = NAN;
        assert_ptr_equal(wp_decimal_parse(texts[i], &got), texts[i] + lengths[i]);
        assert_true(got == strtod(texts[i], NULL) || i == 7);
    }
}

static void what_is_no_number_is_refused(void **state)
{
    (void)state;
    const char *const texts[] = {"", ".", "-", "+-1", "e5", "nan", "inf", " 1", "1e309", "--1"};
    for (size_t i = 0; i < sizeof texts / sizeof texts[0]; i++) {
        double got = 77.0;
        assert_null(wp_decimal_parse(texts[i], &got));
        assert_true(got == 77.0);
    }
}

static void tiny_numbers_fade_to_zero(void **state)
{
    (void)state;
    double got = NAN;
    assert_non_null(wp_decimal_parse("1e-400", &got));
    assert_true(got == 0.0);
    assert_non_null(wp_decimal_parse("0e99999999999", &got));
    assert_true(got == 0.0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(short_numbers_are_correctly_rounded),
        cmocka_unit_test(long_and_extreme_numbers_are_near),
        cmocka_unit_test(number_ends_where_it_ends),
        cmocka_unit_test(what_is_no_number_is_refused),
        cmocka_unit_test(tiny_numbers_fade_to_zero),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
