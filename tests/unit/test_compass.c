/* SPDX-License-Identifier: MIT */
/* Directions in letters. */
#include "weather/compass.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>

static struct wp_slice slice(const char *text)
{
    return (struct wp_slice){text, strlen(text)};
}

static void sixteen_points_are_a_sixteenth_apart(void **state)
{
    (void)state;
    const char *const points[16] = {"N", "NNE", "NE", "ENE", "E", "ESE", "SE", "SSE",
                                    "S", "SSW", "SW", "WSW", "W", "WNW", "NW", "nnw"};
    for (int i = 0; i < 16; i++) {
        double from_deg = -1.0;
        assert_true(wp_compass_read(slice(points[i]), WP_O_UNKNOWN, &from_deg));
        assert_true(from_deg == 22.5 * i);
    }
}

static void other_words_are_no_points(void **state)
{
    (void)state;
    const char *const words[] = {"",  "NS", "WE", "NNN", "NNNE", "north",
                                 "X", "O",  "NO", "200", "E "};
    for (size_t i = 0; i < sizeof words / sizeof words[0]; i++) {
        double from_deg = -1.0;
        assert_false(wp_compass_read(slice(words[i]), WP_O_UNKNOWN, &from_deg));
        assert_true(from_deg == -1.0);
    }
}

static enum wp_letter_o decide(const char *const *words, size_t n)
{
    struct wp_compass_letters letters = {false, false, false};
    for (size_t i = 0; i < n; i++) {
        assert_true(wp_compass_note(slice(words[i]), &letters));
    }
    assert_false(wp_compass_note(slice("left"), &letters));
    return wp_compass_decide(&letters);
}

static void company_of_the_letter_o_tells_its_language(void **state)
{
    (void)state;
    const char *const german[] = {"N", "NO", "SW"};
    const char *const romance[] = {"N", "NO", "SE"};
    const char *const either[] = {"N", "NO", "S"};
    double from_deg = 0.0;
    assert_int_equal(decide(german, 3), WP_O_EAST);
    assert_int_equal(decide(romance, 3), WP_O_WEST);
    assert_int_equal(decide(either, 3), WP_O_UNKNOWN);
    assert_true(wp_compass_read(slice("ONO"), WP_O_EAST, &from_deg));
    assert_true(from_deg == 67.5);
    assert_true(wp_compass_read(slice("ONO"), WP_O_WEST, &from_deg));
    assert_true(from_deg == 292.5);
}

static void no_single_direction_has_words(void **state)
{
    (void)state;
    const char *const words[] = {"VRB", "vrb", "V", "VAR", "variable", "Calm", "C"};
    for (size_t i = 0; i < sizeof words / sizeof words[0]; i++) {
        assert_true(wp_compass_is_variable(slice(words[i])));
    }
    assert_false(wp_compass_is_variable(slice("N")));
    assert_false(wp_compass_is_variable(slice("")));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(sixteen_points_are_a_sixteenth_apart),
        cmocka_unit_test(other_words_are_no_points),
        cmocka_unit_test(company_of_the_letter_o_tells_its_language),
        cmocka_unit_test(no_single_direction_has_words),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
