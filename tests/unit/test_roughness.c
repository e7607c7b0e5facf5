/* SPDX-License-Identifier: MIT */
/* Roughness of tones. */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "../near.h"
#include "tube/roughness.h"

static double two(double one_hz, double other_hz)
{
    const struct wp_tone tones[] = {{one_hz, 1.0, INFINITY}, {other_hz, 1.0, INFINITY}};
    return wp_roughness(tones, 2);
}

static void silence_and_one_tone_are_smooth(void **state)
{
    (void)state;
    const struct wp_tone tones[] = {{440.0, 0.0, 1.0}, {466.0, 0.0, 1.0}};
    assert_true(wp_roughness(tones, 2) == 0.0);
    assert_true(wp_dissonance(tones, 2) == 0.0);
    assert_true(wp_roughness(tones, 0) == 0.0);
    assert_true(two(440.0, 440.0) == 0.0);
}

/* Plomp & Levelt 1965: roughest about a quarter of a critical band apart; here 1.72 f^0.65. */
static void a_quarter_of_a_critical_band_is_roughest(void **state)
{
    (void)state;
    for (double mean_hz = 100.0; mean_hz < 10000.0; mean_hz *= 1.7) {
        const double band_hz = 1.72 * pow(mean_hz, 0.65);
        const double apart_hz = 0.25 * band_hz;
        assert_near(two(mean_hz - 0.5 * apart_hz, mean_hz + 0.5 * apart_hz), 0.5, 1e-12);
        assert_true(two(mean_hz - 0.45 * apart_hz, mean_hz + 0.45 * apart_hz) < 0.5);
        assert_true(two(mean_hz - 0.55 * apart_hz, mean_hz + 0.55 * apart_hz) < 0.5);
    }
}

/* Hutchinson & Knopoff end the curve at 1.2 bands: just inside counts, just outside does not. */
static void tones_far_apart_are_smooth(void **state)
{
    (void)state;
    for (double mean_hz = 30.0; mean_hz < 16000.0; mean_hz *= 1.3) {
        const double half_hz = 0.6 * 1.72 * pow(mean_hz, 0.65);
        assert_true(two(mean_hz - 0.999 * half_hz, mean_hz + 0.999 * half_hz) > 0.0);
        assert_true(two(mean_hz - 1.001 * half_hz, mean_hz + 1.001 * half_hz) == 0.0);
    }
}

static void loudness_changes_nothing(void **state)
{
    (void)state;
    struct wp_tone tones[] = {{440.0, 1.0, 1.0}, {466.0, 0.5, 1.0}, {1000.0, 0.3, 1.0}};
    const double roughness = wp_roughness(tones, 3);
    const double dissonance = wp_dissonance(tones, 3);
    for (size_t i = 0; i < 3; i++) {
        tones[i].amplitude *= 1000.0;
    }
    assert_near(wp_roughness(tones, 3), roughness, 1e-12);
    assert_near(wp_dissonance(tones, 3), dissonance, 1e-12);
}

/* T60 is the time to fall by 60 dB, a thousandth in amplitude. */
static void tones_fall_by_sixty_decibels_in_their_t60(void **state)
{
    (void)state;
    struct wp_tone tones[] = {{440.0, 2.0, 0.5}, {466.0, 2.0, 1.0}, {500.0, 2.0, INFINITY}};
    wp_tones_decay(tones, 3, 0.5);
    assert_near(tones[0].amplitude, 0.002, 1e-12);
    assert_near(tones[1].amplitude, 2.0 / sqrt(1000.0), 1e-12);
    assert_true(tones[2].amplitude == 2.0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(silence_and_one_tone_are_smooth),
        cmocka_unit_test(a_quarter_of_a_critical_band_is_roughest),
        cmocka_unit_test(tones_far_apart_are_smooth),
        cmocka_unit_test(loudness_changes_nothing),
        cmocka_unit_test(tones_fall_by_sixty_decibels_in_their_t60),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
