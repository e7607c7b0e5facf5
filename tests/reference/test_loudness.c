/* SPDX-License-Identifier: MIT */
/*
 * Loudness and true peak against EBU Tech 3341, "Loudness Metering: EBU Mode", table 1 of minimum
 * requirement test signals (from memory): stereo sines of 1000 Hz, levels as peaks in dBFS, both
 * channels alike, integrated loudness -23.0 +-0.1 LUFS; true peak +0.2 / -0.4 dB.
 */

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>
#include <ebur128.h>

#include "../near.h"
#include "base/random.h"
#include "synth/k_weighting.h"
#include "windpeal/level.h"

enum { RATE_HZ = 48000, STEP = RATE_HZ / 10 };

struct stretch {
    double level_dbfs;
    double duration_s;
};

static void add_tone(struct wp_meter *meter, const struct stretch *stretch)
{
    static float frames[2 * STEP];
    const double size = pow(10.0, stretch->level_dbfs / 20.0);
    const int n_steps = (int)lround(stretch->duration_s * 10.0);
    for (int step = 0; step < n_steps; step++) {
        for (int i = 0; i < STEP; i++) {
            const double phase = 2.0 * M_PI * 1000.0 * (step * STEP + i) / RATE_HZ;
            frames[2 * i] = (float)(size * sin(phase));
            frames[2 * i + 1] = frames[2 * i];
        }
        wp_meter_add(meter, frames, STEP);
    }
}

/* Loudness of a signal as it is, and as wp_levels gives it. */
static void integrate(const struct stretch *stretches, size_t n, double lufs[2])
{
    struct wp_meter *meter;
    struct wp_levels levels;
    assert_int_equal(wp_meter_create(&meter, 2, 2, RATE_HZ), WP_OK);
    for (size_t i = 0; i < n; i++) {
        add_tone(meter, &stretches[i]);
    }
    wp_meter_result(meter, &levels);
    lufs[0] = wp_meter_loudness(meter, 0.0);
    lufs[1] = levels.integrated_lufs;
    wp_meter_destroy(meter);
}

static void ebu_case_1_and_2_steady_tones(void **state)
{
    (void)state;
    double lufs[2];
    integrate((const struct stretch[]){{-23.0, 20.0}}, 1, lufs);
    assert_near(lufs[0], -23.0, 0.1);
    assert_near(lufs[1], -23.0, 0.1);
    integrate((const struct stretch[]){{-33.0, 20.0}}, 1, lufs);
    assert_near(lufs[0], -33.0, 0.1);
    assert_near(lufs[1], -33.0, 0.1);
}

static void ebu_case_3_relative_gate(void **state)
{
    (void)state;
    double lufs[2];
    integrate((const struct stretch[]){{-36.0, 10.0}, {-23.0, 60.0}, {-36.0, 10.0}}, 3, lufs);
    assert_near(lufs[0], -23.0, 0.1);
    assert_near(lufs[1], -23.0, 0.1);
}

static void ebu_case_4_absolute_gate(void **state)
{
    (void)state;
    double lufs[2];
    integrate(
        (const struct stretch[]){
            {-72.0, 10.0}, {-36.0, 10.0}, {-23.0, 60.0}, {-36.0, 10.0}, {-72.0, 10.0}},
        5, lufs);
    assert_near(lufs[0], -23.0, 0.1);
}

static void ebu_case_5_mean_of_powers(void **state)
{
    (void)state;
    double lufs[2];
    integrate((const struct stretch[]){{-26.0, 20.0}, {-20.0, 20.1}, {-26.0, 20.0}}, 3, lufs);
    assert_near(lufs[0], -23.0, 0.1);
    assert_near(lufs[1], -23.0, 0.1);
}

/* The standard's own figures: its coefficients at 48 kHz, tables 1 and 2, and the +0.691 dB at 997
 * Hz that its offset of -0.691 takes off (annex 1). */
static void k_weighting_is_the_standard_s(void **state)
{
    (void)state;
    static const struct wp_biquad TABLES[WP_K_SECTIONS] = {
        {.b = {1.53512485958697, -2.69169618940638, 1.19839281085285},
         .a = {-1.69065929318241, 0.73248077421585}},
        {.b = {1.0, -2.0, 1.0}, .a = {-1.99004745483398, 0.99007225036621}},
    };
    struct wp_biquad sections[WP_K_SECTIONS];
    wp_k_weighting_design(sections, 48000);
    for (int s = 0; s < WP_K_SECTIONS; s++) {
        for (int i = 0; i < 3; i++) {
            assert_near(sections[s].b[i], TABLES[s].b[i], 1e-12);
        }
        assert_near(sections[s].a[0], TABLES[s].a[0], 1e-12);
        assert_near(sections[s].a[1], TABLES[s].a[1], 1e-12);
    }
    assert_near(wp_biquads_gain_db(sections, WP_K_SECTIONS, 48000, 997.0), 0.691, 0.001);
}

/* Noise, which holds all frequencies, swelling so that the gates have something to do. */
static void noise_is_as_loud_as_libebur128_finds(void **state)
{
    (void)state;
    static const int RATES_HZ[] = {44100, 48000, 88200, 96000};
    static float frames[2 * 9600];
    for (size_t r = 0; r < sizeof RATES_HZ / sizeof RATES_HZ[0]; r++) {
        const size_t n = (size_t)RATES_HZ[r] / 10;
        struct wp_random random;
        struct wp_meter *meter;
        double wanted_lufs;
        ebur128_state *reference = ebur128_init(2, (unsigned long)RATES_HZ[r], EBUR128_MODE_I);
        assert_non_null(reference);
        assert_int_equal(wp_meter_create(&meter, 2, 2, RATES_HZ[r]), WP_OK);
        wp_random_init(&random, 7, 0, r);
        for (int step = 0; step < 50; step++) {
            for (size_t i = 0; i < 2 * n; i++) {
                const double size = pow(10.0, -3.0 + step / 20.0);
                frames[i] = (float)(size * wp_random_normal(&random) * (i % 2 ? 0.5 : 1.0));
            }
            ebur128_add_frames_float(reference, frames, n);
            wp_meter_add(meter, frames, n);
        }
        ebur128_loudness_global(reference, &wanted_lufs);
        /* The table's high pass is 0.043 dB above one at high frequencies. We keep that at every
         * rate, as the standard wants the same response; the library keeps the numerator, and so
         * falls by 0.022 dB at the double rate. */
        const double off_db = wp_meter_loudness(meter, 0.0) - wanted_lufs;
        assert_near(off_db, 0.0, RATES_HZ[r] == 48000 ? 0.001 : 0.025);
        ebur128_destroy(&reference);
        wp_meter_destroy(meter);
    }
}

static double true_peak_of(double freq_hz, double size, double phase_deg)
{
    static float frames[2 * RATE_HZ];
    for (int i = 0; i < RATE_HZ; i++) {
        const double phase = 2.0 * M_PI * freq_hz * i / RATE_HZ + phase_deg * M_PI / 180.0;
        /* A quarter of a second of fade at both ends: no overshoot of a sudden start. */
        const double edge = fmin(1.0, 4.0 * fmin(i, RATE_HZ - i) / RATE_HZ);
        frames[2 * i] = (float)(edge * size * sin(phase));
        frames[2 * i + 1] = frames[2 * i];
    }
    struct wp_meter *meter;
    struct wp_levels levels;
    assert_int_equal(wp_meter_create(&meter, 2, 2, RATE_HZ), WP_OK);
    wp_meter_add(meter, frames, RATE_HZ);
    wp_meter_result(meter, &levels);
    wp_meter_destroy(meter);
    return levels.true_peak_dbtp;
}

static void assert_peak(double dbtp, double wanted)
{
    assert_true(dbtp <= wanted + 0.2 && dbtp >= wanted - 0.4);
}

static void ebu_cases_15_to_19_true_peak(void **state)
{
    (void)state;
    assert_peak(true_peak_of(RATE_HZ / 4.0, 0.50, 0.0), -6.0);
    assert_peak(true_peak_of(RATE_HZ / 4.0, 0.50, 45.0), -6.0);
    assert_peak(true_peak_of(RATE_HZ / 6.0, 0.50, 60.0), -6.0);
    assert_peak(true_peak_of(RATE_HZ / 8.0, 0.50, 67.5), -6.0);
    assert_peak(true_peak_of(RATE_HZ / 4.0, 1.41, 45.0), 3.0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(ebu_case_1_and_2_steady_tones),
        cmocka_unit_test(ebu_case_3_relative_gate),
        cmocka_unit_test(ebu_case_4_absolute_gate),
        cmocka_unit_test(ebu_case_5_mean_of_powers),
        cmocka_unit_test(k_weighting_is_the_standard_s),
        cmocka_unit_test(noise_is_as_loud_as_libebur128_finds),
        cmocka_unit_test(ebu_cases_15_to_19_true_peak),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
