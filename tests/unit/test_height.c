/* SPDX-License-Identifier: MIT */
/* Wind at other heights and over other ground. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "../near.h"
#include "wind/height.h"

static void same_place_changes_nothing(void **state)
{
    (void)state;
    const struct wp_exposure place = {10.0, 0.03};
    assert_true(wp_height_factor(place, place) == 1.0);
}

static void there_and_back_is_one(void **state)
{
    (void)state;
    const struct wp_exposure station = {10.0, 0.03};
    const struct wp_exposure garden = {2.0, 0.25};
    const double product = wp_height_factor(station, garden) * wp_height_factor(garden, station);
    assert_near(product, 1.0, 1e-12);
}

static void lower_and_rougher_is_calmer(void **state)
{
    (void)state;
    const struct wp_exposure station = {10.0, 0.03};
    const double lower = wp_height_factor(station, (struct wp_exposure){2.0, 0.03});
    const double rougher = wp_height_factor(station, (struct wp_exposure){2.0, 0.25});
    assert_true(lower < 1.0);
    assert_true(rougher < lower);
}

static void both_laws_agree_at_the_blending_height(void **state)
{
    (void)state;
    const struct wp_exposure station = {10.0, 0.03};
    const double same = wp_height_factor(station, (struct wp_exposure){60.0, 0.03});
    const double other = wp_height_factor(station, (struct wp_exposure){60.0, 1.0});
    assert_near(same, other, 1e-12);
}

static void intensity_has_an_upper_limit(void **state)
{
    (void)state;
    assert_true(wp_height_intensity((struct wp_exposure){0.3, 0.25}) == 0.5);
    assert_true(wp_height_intensity((struct wp_exposure){0.2, 0.25}) == 0.5);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(same_place_changes_nothing),
        cmocka_unit_test(there_and_back_is_one),
        cmocka_unit_test(lower_and_rougher_is_calmer),
        cmocka_unit_test(both_laws_agree_at_the_blending_height),
        cmocka_unit_test(intensity_has_an_upper_limit),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
