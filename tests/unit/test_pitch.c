/* SPDX-License-Identifier: MIT */
/* Heard pitch and the onset of ovalling. */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "tube/pitch.h"

static void short_tube_is_heard_at_its_first_partial(void **state)
{
    (void)state;
    const struct wp_heard heard = wp_heard_pitch(440.0, 3600.0);
    assert_true(heard.hz == 440.0 && !heard.is_from_fourth);
}

/* Partials 4, 5, 6 near 2:3:4, heard one below: half of the fourth (Rossing 1976). */
static void long_tube_is_heard_at_half_of_partial_four(void **state)
{
    (void)state;
    const struct wp_heard heard = wp_heard_pitch(100.0, 860.0);
    assert_true(heard.hz == 430.0 && heard.is_from_fourth);
}

static void crossover_lies_midway_between_100_and_300_hz(void **state)
{
    (void)state;
    assert_true(fabs(WP_HEARD_CROSSOVER_HZ - sqrt(100.0 * 300.0)) < 0.1);
    assert_true(wp_heard_pitch(173.0, 1480.0).is_from_fourth);
    assert_false(wp_heard_pitch(174.0, 1480.0).is_from_fourth);
}

static void pitch_of_a_long_tube_is_an_estimate_of_20_cents(void **state)
{
    (void)state;
    const double harmonic_hz[] = {80.0, 200.0, 380.0, 600.0, 900.0, 1200.0};
    struct wp_heard_candidate heard[WP_HEARD_MAX];
    assert_int_equal(wp_heard_candidates(harmonic_hz, heard), 2);
    assert_true(heard[0].from == WP_HEARD_HALF_FOURTH && heard[1].from == WP_HEARD_FITTED);
    /* Partials at exactly 2:3:4 leave no doubt: both say 300 Hz. */
    assert_true(fabs(heard[0].hz - 300.0) < 1e-9 && fabs(heard[1].hz - 300.0) < 1e-9);
    assert_true(heard[0].uncertainty_cents == 20.0);
}

/* Least squares of 600, 850, 1100 Hz against 2f, 3f, 4f: f = (1200 + 2550 + 4400) / 29. */
static void second_candidate_is_the_least_squares_fit(void **state)
{
    (void)state;
    const double stiff_hz[] = {80.0, 200.0, 380.0, 600.0, 850.0, 1100.0};
    struct wp_heard_candidate heard[WP_HEARD_MAX];
    assert_int_equal(wp_heard_candidates(stiff_hz, heard), 2);
    assert_true(fabs(heard[1].hz - 8150.0 / 29.0) < 1e-9);
}

static void between_100_and_300_hz_both_kinds_are_candidates(void **state)
{
    (void)state;
    double hz[] = {170.0, 460.0, 890.0, 1440.0, 2100.0, 2850.0};
    struct wp_heard_candidate heard[WP_HEARD_MAX];
    assert_int_equal(wp_heard_candidates(hz, heard), 3);
    assert_true(heard[0].from == WP_HEARD_HALF_FOURTH && heard[2].from == WP_HEARD_FIRST);
    hz[0] = 180.0;
    assert_int_equal(wp_heard_candidates(hz, heard), 3);
    assert_true(heard[0].from == WP_HEARD_FIRST && heard[1].from == WP_HEARD_HALF_FOURTH);
    hz[0] = 300.0;
    assert_int_equal(wp_heard_candidates(hz, heard), 1);
    assert_true(heard[0].from == WP_HEARD_FIRST && heard[0].hz == 300.0);
}

/*
 * Thin ring, n = 2: omega^2 = n^2 (n^2-1)^2 / (n^2+1) * E h^2 / (12 rho R^4), for a long tube with
 * E/(1-nu^2) (Rayleigh 1894, sect. 233; Love 1927, ch. 24).
 */
static void ovalling_follows_rayleighs_ring(void **state)
{
    (void)state;
    const struct wp_section s = {.outer_radius_m = 0.0505,
                                 .inner_radius_m = 0.0495,
                                 .young_modulus_pa = 70e9,
                                 .density_kg_m3 = 2700.0};
    const double omega2 =
        36.0 / 5.0 * 70e9 * 0.001 * 0.001 / (1.0 - 0.09) / (12.0 * 2700.0 * pow(0.05, 4));
    assert_true(fabs(wp_ovalling_onset(&s, 0.3) * 2.0 * M_PI / sqrt(omega2) - 1.0) < 1e-9);
}

static void rod_does_not_oval(void **state)
{
    (void)state;
    const struct wp_section s = {
        .outer_radius_m = 0.01, .young_modulus_pa = 70e9, .density_kg_m3 = 2700.0};
    assert_true(isnan(wp_ovalling_onset(&s, 0.3)));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(short_tube_is_heard_at_its_first_partial),
        cmocka_unit_test(long_tube_is_heard_at_half_of_partial_four),
        cmocka_unit_test(crossover_lies_midway_between_100_and_300_hz),
        cmocka_unit_test(pitch_of_a_long_tube_is_an_estimate_of_20_cents),
        cmocka_unit_test(second_candidate_is_the_least_squares_fit),
        cmocka_unit_test(between_100_and_300_hz_both_kinds_are_candidates),
        cmocka_unit_test(ovalling_follows_rayleighs_ring),
        cmocka_unit_test(rod_does_not_oval),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
