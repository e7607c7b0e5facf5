/* SPDX-License-Identifier: MIT */
/* The sound while striker and tube touch. */

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

#include "../near.h"
#include "synth/onset.h"

enum { RATE_HZ = 48000, N_FORCES = 127 };

static struct wp_onset onset;

/* A half-sine pulse, sampled as a contact is. */
static struct wp_contact half_sine(double duration_s)
{
    struct wp_contact contact = {
        .duration_s = duration_s, .step_s = duration_s / (N_FORCES + 1), .n_forces = N_FORCES};
    for (int i = 0; i < N_FORCES; i++) {
        contact.force_n[i] = sin(M_PI * (i + 1) / (N_FORCES + 1));
    }
    return contact;
}

/* One partial without loss at two ears: a gain of 1, which a sine has, and of i, a cosine. */
struct one {
    double log_re;
    double log_im;
    double gains[2];
    struct wp_onset_tube tube;
};

static void one_init(struct one *one, double freq_hz, double start, double lag)
{
    *one = (struct one){.log_im = 2.0 * M_PI * freq_hz / RATE_HZ, .gains = {0.0, 1.0}};
    one->tube = (struct wp_onset_tube){.n_partials = 1,
                                       .log_re = &one->log_re,
                                       .log_im = &one->log_im,
                                       .n_ways = 2,
                                       .start = {start, start + lag},
                                       .gain_re = {&one->gains[1], &one->gains[0]},
                                       .gain_im = {&one->gains[0], &one->gains[1]}};
}

/*
 * An oscillator w after a half-sine pulse of area 1 and length T (C. M. Harris, "Shock and
 * Vibration Handbook", ch. 8, from memory; easily derived): a sine about the pulse's middle times
 * cos(wT/2) / (1 - (w/w0)^2), w0 = pi/T. Its derivative over w is the cosine.
 */
static double spectrum_of(double omega, double duration_s)
{
    const double w0 = M_PI / duration_s;
    return cos(0.5 * omega * duration_s) / (1.0 - omega * omega / (w0 * w0));
}

/* What an ear with a gain of 1 (ear 0) or i (ear 1) hears of it, as if it had always rung. */
static double ringing(size_t ear, double omega, double duration_s, double t_s)
{
    const double angle = omega * (t_s - 0.5 * duration_s);
    return spectrum_of(omega, duration_s) * (ear == 0 ? sin(angle) : cos(angle));
}

/* The same during the pulse, from rest. */
static double rising(double omega, double duration_s, double t_s)
{
    const double w0 = M_PI / duration_s;
    return 0.5 * w0 * (w0 * sin(omega * t_s) - omega * sin(w0 * t_s)) / (w0 * w0 - omega * omega);
}

static void assert_answers(const struct one *one, size_t ear, double duration_s)
{
    const double omega = one->log_im * RATE_HZ;
    const double start = one->tube.start[ear];
    for (size_t i = 0; i < onset.n_heard[ear]; i++) {
        const double t_s = (ceil(start) + (double)i - start) / RATE_HZ;
        const double past = 0.5 - 0.5 * cos(M_PI * t_s / duration_s);
        assert_near((double)onset.heard[ear][i], past * ringing(ear, omega, duration_s, t_s), 1e-3);
    }
    /* Im(z exp(i w t)) rings on from the contact's end. */
    for (double after_s = 0.0; after_s < 3e-3; after_s += 1e-4) {
        const double got =
            onset.re[ear][0] * sin(omega * after_s) + onset.im[ear][0] * cos(omega * after_s);
        assert_near(got, ringing(ear, omega, duration_s, duration_s + after_s), 1e-3);
    }
}

static void partial_fades_in_with_its_impulse_and_rings_on(void **state)
{
    (void)state;
    static const double durations_s[] = {0.1e-3, 0.5e-3, 1.7e-3, 6e-3};
    for (int i = 0; i < 4; i++) {
        const struct wp_contact contact = half_sine(durations_s[i]);
        for (double periods = 0.11; periods < 4.0; periods *= 1.7) {
            struct one one;
            one_init(&one, periods / durations_s[i], 17.3, -4.21);
            assert_true(wp_onset_sound(&onset, &one.tube, &contact, 1.0, RATE_HZ));
            assert_answers(&one, 0, durations_s[i]);
            assert_answers(&one, 1, durations_s[i]);
        }
    }
}

/* A fade is what slow partials do: it differs by less than the pulse's spread times w. */
static void slow_partial_rises_as_an_oscillator_does(void **state)
{
    (void)state;
    const double duration_s = 2e-3;
    const struct wp_contact contact = half_sine(duration_s);
    for (double omega = 50.0; omega < 1000.0; omega *= 2.0) {
        struct one one;
        one_init(&one, omega / (2.0 * M_PI), 3.4, 0.0);
        assert_true(wp_onset_sound(&onset, &one.tube, &contact, 1.0, RATE_HZ));
        for (size_t i = 0; i < onset.n_heard[0]; i++) {
            const double t_s = (4.0 + (double)i - 3.4) / RATE_HZ;
            const double off = (double)onset.heard[0][i] - rising(omega, duration_s, t_s);
            assert_true(fabs(off) < 0.22 * omega * duration_s);
        }
    }
}

/* Backwards in time a partial that has died would be endless. */
static void nothing_grows_towards_the_start(void **state)
{
    (void)state;
    struct one one;
    const struct wp_contact contact = half_sine(20e-3);
    one_init(&one, 40.0, 0.5, 0.0);
    one.log_re = -0.05; /* 60 dB in 3 ms */
    assert_true(wp_onset_sound(&onset, &one.tube, &contact, 1.0, RATE_HZ));
    for (size_t i = 0; i < onset.n_heard[0]; i++) {
        assert_true(fabsf(onset.heard[0][i]) < 0.1f);
    }
}

/* Frames of the contact, then free ringing: no frame is left out or told twice. */
static void frames_reach_from_the_start_to_the_end(void **state)
{
    (void)state;
    for (double start = 2.0; start < 3.0; start += 0.093) {
        struct one one;
        const struct wp_contact contact = half_sine(1.1e-3);
        one_init(&one, 300.0, start, 0.5);
        assert_true(wp_onset_sound(&onset, &one.tube, &contact, 1.0, RATE_HZ));
        for (size_t ear = 0; ear < 2; ear++) {
            const double from = one.tube.start[ear];
            const double next = ceil(from) + (double)onset.n_heard[ear];
            assert_true(next == ceil(from + onset.n_frames));
            assert_near(onset.n_frames, 1.1e-3 * RATE_HZ, 1e-9);
        }
    }
}

static void impulse_scales_everything(void **state)
{
    (void)state;
    struct one one;
    const struct wp_contact contact = half_sine(1e-3);
    one_init(&one, 500.0, 0.0, 0.0);
    assert_true(wp_onset_sound(&onset, &one.tube, &contact, 1.0, RATE_HZ));
    const double re = onset.re[0][0];
    const float heard = onset.heard[0][20];
    assert_true(wp_onset_sound(&onset, &one.tube, &contact, 4.0, RATE_HZ));
    assert_near(onset.re[0][0], 4.0 * re, 1e-12);
    assert_true(onset.heard[0][20] == 4.0f * heard);
}

/* Partials of all speeds and decays, one behind the other. */
struct many {
    double log_re[WP_BANK_PARTIALS_MAX];
    double log_im[WP_BANK_PARTIALS_MAX];
    double gain_re[WP_BANK_PARTIALS_MAX];
    double gain_im[WP_BANK_PARTIALS_MAX];
};

static void many_init(struct many *many)
{
    for (int m = 0; m < WP_BANK_PARTIALS_MAX; m++) {
        many->log_re[m] = -1e-5 * (1.0 + m * m);
        many->log_im[m] = 2.0 * M_PI * (30.0 + 100.0 * m) / RATE_HZ;
        many->gain_re[m] = m % 3 - 1.0;
        many->gain_im[m] = 0.5 - m % 2;
    }
}

/* Sounds n of them from the first on, whatever an onset before has left. */
static void sound_many(const struct many *many, size_t first, size_t n,
                       const struct wp_contact *contact)
{
    const struct wp_onset_tube tube = {.n_partials = n,
                                       .log_re = &many->log_re[first],
                                       .log_im = &many->log_im[first],
                                       .n_ways = 1,
                                       .start = {5.4},
                                       .gain_re = {&many->gain_re[first]},
                                       .gain_im = {&many->gain_im[first]}};
    memset(&onset, 0xff, sizeof onset); /* no numbers */
    assert_true(wp_onset_sound(&onset, &tube, contact, 1.0, RATE_HZ));
}

/* gain z by its definition, the force taken as impulses at its samples. */
static void assert_integral(const struct many *many, size_t m, const struct wp_contact *contact)
{
    long double re = 0.0L;
    long double im = 0.0L;
    long double sum = 0.0L;
    for (size_t i = 0; i < contact->n_forces; i++) {
        const double at_s = (double)(i + 1) * contact->step_s;
        const long double left = (long double)(contact->duration_s - at_s) * RATE_HZ;
        const long double force = (long double)contact->force_n[i];
        const long double size = force * expl((long double)many->log_re[m] * left);
        re += size * cosl((long double)many->log_im[m] * left);
        im += size * sinl((long double)many->log_im[m] * left);
        sum += force;
    }
    const long double gain_re = (long double)many->gain_re[m];
    const long double gain_im = (long double)many->gain_im[m];
    assert_near(onset.re[0][m], (double)((gain_re * re - gain_im * im) / sum), 1e-9);
    assert_near(onset.im[0][m], (double)((gain_re * im + gain_im * re) / sum), 1e-9);
}

static void any_number_of_partials_sounds_like_each_by_itself(void **state)
{
    (void)state;
    static const size_t numbers[] = {1, 15, 16, 17, 40, WP_BANK_PARTIALS_MAX};
    static struct many many;
    const struct wp_contact contact = half_sine(0.7e-3);
    many_init(&many);
    for (size_t k = 0; k < sizeof numbers / sizeof *numbers; k++) {
        double heard[WP_ONSET_FRAMES_MAX] = {0.0};
        for (size_t m = 0; m < numbers[k]; m++) {
            sound_many(&many, m, 1, &contact);
            for (size_t i = 0; i < onset.n_heard[0]; i++) {
                heard[i] += (double)onset.heard[0][i];
            }
        }
        sound_many(&many, 0, numbers[k], &contact);
        assert_true(onset.n_heard[0] > 30);
        for (size_t i = 0; i < onset.n_heard[0]; i++) {
            assert_near((double)onset.heard[0][i], heard[i], 1e-4); /* floats are summed */
        }
        for (size_t m = 0; m < numbers[k]; m++) {
            assert_integral(&many, m, &contact);
        }
    }
}

static void ideal_or_endless_contact_has_no_onset(void **state)
{
    (void)state;
    struct one one;
    const struct wp_contact ideal = {.n_forces = 0};
    const struct wp_contact endless = half_sine(0.05);
    one_init(&one, 500.0, 0.0, 0.0);
    assert_false(wp_onset_sound(&onset, &one.tube, &ideal, 1.0, RATE_HZ));
    assert_false(wp_onset_sound(&onset, &one.tube, &endless, 1.0, RATE_HZ));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(partial_fades_in_with_its_impulse_and_rings_on),
        cmocka_unit_test(slow_partial_rises_as_an_oscillator_does),
        cmocka_unit_test(nothing_grows_towards_the_start),
        cmocka_unit_test(frames_reach_from_the_start_to_the_end),
        cmocka_unit_test(impulse_scales_everything),
        cmocka_unit_test(any_number_of_partials_sounds_like_each_by_itself),
        cmocka_unit_test(ideal_or_endless_contact_has_no_onset),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
