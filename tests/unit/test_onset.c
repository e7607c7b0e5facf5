/* SPDX-License-Identifier: MIT */
/* The start of a sound during the contact. */

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "../near.h"
#include "synth/onset.h"

/* Of the pulse of a power-law contact, whose spread in time falls from 0.2176 durations (a half
 * sine) at exponent 1 to 0.1941 at 1.5. */
static struct wp_onset onset_of(double duration_s, double exponent)
{
    const double spread_s = duration_s * (0.2176 - 0.047 * (exponent - 1.0));
    const struct wp_contact contact = {.duration_s = duration_s, .spread_s = spread_s};
    struct wp_onset onset;
    wp_onset_init(&onset, &contact);
    return onset;
}

static void ideal_contact_leaves_the_sine_alone(void **state)
{
    (void)state;
    float frames[16] = {0.0f};
    const struct wp_onset onset = onset_of(0.0, 1.0);
    assert_true(onset.middle_s == 0.0);
    wp_onset_add(&onset, 3.5, 1e6, 48000, frames, 16);
    for (int i = 0; i < 16; i++) {
        assert_true(frames[i] == 0.0f);
    }
}

/* Half the kink's slope on either side of the middle, so that sine and onset together have none. */
static void kink_is_made_up_for(void **state)
{
    (void)state;
    for (double exponent = 1.0; exponent <= 1.5; exponent += 0.125) {
        const struct wp_onset onset = onset_of(2e-3, exponent);
        const double h = 1e-8;
        const double before = (wp_onset_at(&onset, 1e-3) - wp_onset_at(&onset, 1e-3 - h)) / h;
        const double behind = (wp_onset_at(&onset, 1e-3 + h) - wp_onset_at(&onset, 1e-3)) / h;
        assert_near(before, 0.5, 1e-4);
        assert_near(behind, -0.5, 1e-4);
        assert_near(wp_onset_at(&onset, h) / h, 0.0, 1e-4);
        assert_true(wp_onset_at(&onset, 0.0) == 0.0 && wp_onset_at(&onset, 2e-3) == 0.0);
    }
}

/*
 * Undamped oscillator under a half-sine pulse of area 1 (C. M. Harris and A. G. Piersol, "Harris'
 * Shock and Vibration Handbook", ch. 8, from memory; easily derived): during the pulse
 * y = pi/(2T) (w0 sin wt - w sin w0 t) / (w0^2 - w^2) with w0 = pi/T; afterwards a sine about the
 * pulse's middle times G = cos(wT/2) / (1 - (w/w0)^2).
 */
static double half_sine_response(double omega, double duration_s, double t_s)
{
    const double w0 = M_PI / duration_s;
    if (t_s < duration_s) {
        return 0.5 * w0 * (w0 * sin(omega * t_s) - omega * sin(w0 * t_s)) /
               (w0 * w0 - omega * omega);
    }
    const double spectrum = cos(0.5 * omega * duration_s) / (1.0 - omega * omega / (w0 * w0));
    return spectrum * sin(omega * (t_s - 0.5 * duration_s));
}

static double largest_deviation(double omega, double duration_s)
{
    const struct wp_onset onset = onset_of(duration_s, 1.0);
    const double w0 = M_PI / duration_s;
    const double spectrum = cos(0.5 * omega * duration_s) / (1.0 - omega * omega / (w0 * w0));
    double largest = 0.0;
    for (int i = 0; i <= 400; i++) {
        const double t_s = duration_s * i / 200.0;
        const double sine =
            t_s > onset.middle_s ? spectrum * sin(omega * (t_s - onset.middle_s)) : 0.0;
        const double got = sine + spectrum * omega * wp_onset_at(&onset, t_s);
        largest = fmax(largest, fabs(got - half_sine_response(omega, duration_s, t_s)));
    }
    return largest;
}

/* The sine's own cubic term is what the curve does not smooth: of order (wT)^3, in contact only. */
static void slow_partials_rise_as_the_oscillator_does(void **state)
{
    (void)state;
    for (double omega = 0.1; omega < 2.0; omega *= 1.5) {
        assert_true(largest_deviation(omega, 1.0) < omega * omega * omega / 384.0);
    }
    /* The bare sine misses the true response by far more: the test can tell them apart. */
    assert_true(half_sine_response(0.5, 1.0, 0.5) > 10.0 * largest_deviation(0.5, 1.0));
}

static void onset_may_span_blocks(void **state)
{
    (void)state;
    const struct wp_onset onset = onset_of(1e-3, 1.4);
    float whole[64] = {0.0f};
    float halves[64] = {0.0f};
    wp_onset_add(&onset, 5.3, 100.0, 48000, whole, 64);
    wp_onset_add(&onset, 5.3, 100.0, 48000, halves, 24);
    wp_onset_add(&onset, 5.3 - 24.0, 100.0, 48000, halves + 24, 40);
    for (int i = 0; i < 64; i++) {
        assert_near(whole[i], halves[i], 1e-9);
    }
    assert_true(whole[5] == 0.0f && whole[6] > 0.0f && whole[53] > 0.0f && whole[54] == 0.0f);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(ideal_contact_leaves_the_sine_alone),
        cmocka_unit_test(kink_is_made_up_for),
        cmocka_unit_test(slow_partials_rise_as_the_oscillator_does),
        cmocka_unit_test(onset_may_span_blocks),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
