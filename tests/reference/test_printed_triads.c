/* SPDX-License-Identifier: MIT */
/* Roughness against figures that others printed. */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "../near.h"
#include "windpeal/hearing.h"

enum { HARMONICS = 11 };

/* A chord of equal-tempered notes, eleven harmonics each of amplitude 1/k; coincident ones added.
 */
static size_t build_chord(const int midi[3], struct wp_tone *tones)
{
    size_t n_tones = 0;
    for (int note = 0; note < 3; note++) {
        for (int k = 1; k <= HARMONICS; k++) {
            const double hz = 440.0 * exp2((midi[note] - 69) / 12.0) * k;
            size_t i = 0;
            while (i < n_tones && fabs(tones[i].freq_hz - hz) > 1e-6) {
                i++;
            }
            if (i == n_tones) {
                tones[n_tones++] = (struct wp_tone){hz, 0.0, INFINITY};
            }
            tones[i].amplitude += 1.0 / k;
        }
    }
    return n_tones;
}

static void check_triad(int low, int middle, int high, double want)
{
    struct wp_tone tones[3 * HARMONICS];
    const size_t n_tones = build_chord((const int[]){low, middle, high}, tones);
    assert_near(wp_roughness(tones, n_tones), want, 1e-6);
}

/*
 * Printed in the README of the R package dycon (P. M. C. Harrison), an implementation of
 * Hutchinson & Knopoff (Interface 7 (1978) 1) with Mashinter's curve; quoted from there, the
 * paper's own table is by graph.
 */
static void triads_of_harmonic_tones_have_their_printed_roughness(void **state)
{
    (void)state;
    check_triad(60, 64, 67, 0.1202426);
    check_triad(60, 63, 67, 0.130083);
    check_triad(60, 63, 66, 0.2005575);
}

/* Same source: 440, 480 and 520 Hz of amplitudes 1, 1, 2. */
static void three_sines_have_their_printed_roughness(void **state)
{
    (void)state;
    const struct wp_tone tones[] = {
        {440.0, 1.0, INFINITY}, {480.0, 1.0, INFINITY}, {520.0, 2.0, INFINITY}};
    assert_near(wp_roughness(tones, 3), 0.3990136, 1e-6);
}

/*
 * Sethares 1993: exp(-3.5 x) - exp(-5.75 x) is largest at x = ln(5.75 / 3.5) / 2.25 = 0.2206 with
 * 0.1808, which is 25.8 Hz from 440 Hz up. Here half of it, by the sum of squares of two tones.
 */
static void two_sines_are_most_dissonant_where_sethares_has_it(void **state)
{
    (void)state;
    const double scale = 0.24 / (0.0207 * 440.0 + 18.96);
    const double apart_hz = log(5.75 / 3.5) / (5.75 - 3.5) / scale;
    struct wp_tone tones[] = {{440.0, 1.0, INFINITY}, {440.0, 1.0, INFINITY}};
    assert_near(apart_hz, 25.80, 0.005);
    tones[1].freq_hz = 440.0 + apart_hz;
    const double largest = wp_dissonance(tones, 2);
    assert_near(2.0 * largest, 0.180775, 1e-6);
    tones[1].freq_hz = 440.0 + 0.97 * apart_hz;
    assert_true(wp_dissonance(tones, 2) < largest);
    tones[1].freq_hz = 440.0 + 1.03 * apart_hz;
    assert_true(wp_dissonance(tones, 2) < largest);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(triads_of_harmonic_tones_have_their_printed_roughness),
        cmocka_unit_test(three_sines_have_their_printed_roughness),
        cmocka_unit_test(two_sines_are_most_dissonant_where_sethares_has_it),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
