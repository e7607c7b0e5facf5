/* SPDX-License-Identifier: MIT */
/*
 * Weighting A against table 2 of IEC 61672-1:2002 (read in GOST 17187-2010, which adopts it; the
 * 2013 edition keeps the weightings): nominal frequency, weighting, limits of class 1. The table's
 * exact frequencies are 1000 * 10^(n / 10), its values are rounded to 0.1 dB.
 */

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "../near.h"
#include "synth/a_weighting.h"
#include "windpeal/level.h"

struct row {
    int n; /* frequency 1000 * 10^(n / 10) Hz */
    double weighting_db;
    double above_db; /* class 1 */
    double below_db;
};

static const struct row TABLE[] = {
    {-16, -44.7, 2.5, 2.0}, {-15, -39.4, 2.0, 2.0}, {-14, -34.6, 1.5, 1.5}, {-13, -30.2, 1.5, 1.5},
    {-12, -26.2, 1.5, 1.5}, {-11, -22.5, 1.5, 1.5}, {-10, -19.1, 1.5, 1.5}, {-9, -16.1, 1.5, 1.5},
    {-8, -13.4, 1.5, 1.5},  {-7, -10.9, 1.5, 1.5},  {-6, -8.6, 1.4, 1.4},   {-5, -6.6, 1.4, 1.4},
    {-4, -4.8, 1.4, 1.4},   {-3, -3.2, 1.4, 1.4},   {-2, -1.9, 1.4, 1.4},   {-1, -0.8, 1.4, 1.4},
    {0, 0.0, 1.1, 1.1},     {1, 0.6, 1.4, 1.4},     {2, 1.0, 1.6, 1.6},     {3, 1.2, 1.6, 1.6},
    {4, 1.3, 1.6, 1.6},     {5, 1.2, 1.6, 1.6},     {6, 1.0, 1.6, 1.6},     {7, 0.5, 2.1, 2.1},
    {8, -0.1, 2.1, 2.6},    {9, -1.1, 2.1, 3.1},    {10, -2.5, 2.6, 3.6},   {11, -4.3, 3.0, 6.0},
    {12, -6.6, 3.5, 17.0},
};

static const int RATES_HZ[] = {44100, 48000, 88200, 96000};

enum { N_ROWS = sizeof TABLE / sizeof TABLE[0], N_RATES = sizeof RATES_HZ / sizeof RATES_HZ[0] };

static double deviation_db(int rate_hz, const struct row *row)
{
    struct wp_biquad sections[WP_A_SECTIONS];
    wp_a_weighting_design(sections, rate_hz);
    const double freq_hz = 1000.0 * pow(10.0, row->n / 10.0);
    return wp_biquads_gain_db(sections, WP_A_SECTIONS, rate_hz, freq_hz) - row->weighting_db;
}

static void weighting_is_within_class_1_at_every_rate(void **state)
{
    (void)state;
    for (size_t r = 0; r < N_RATES; r++) {
        for (size_t i = 0; i < N_ROWS; i++) {
            const double deviation = deviation_db(RATES_HZ[r], &TABLE[i]);
            assert_true(deviation <= TABLE[i].above_db && deviation >= -TABLE[i].below_db);
        }
    }
}

/* Beyond the standard's demand: rounding of the table (0.05 dB) and 0.15 dB to 12.5 kHz. */
static void weighting_is_accurate_to_a_fifth_of_a_decibel(void **state)
{
    (void)state;
    for (size_t i = 0; TABLE[i].n <= 11; i++) {
        assert_near(deviation_db(48000, &TABLE[i]), 0.0, 0.2);
    }
}

/* Sound levels of a tone, through the meter: 1 Pa is 94 dB (93.98, IEC 60942's calibrator). */
static void meter_weighs_tones_as_the_table(void **state)
{
    (void)state;
    enum { RATE_HZ = 48000, N_FRAMES = RATE_HZ };
    static float frames[2 * N_FRAMES];
    /* From 125 Hz on: further down the sudden start of the tone outweighs the tone itself. */
    for (size_t i = 7; i <= 26; i += 4) {
        const double freq_hz = 1000.0 * pow(10.0, TABLE[i].n / 10.0);
        for (int frame = 0; frame < N_FRAMES; frame++) {
            const double pa = sqrt(2.0) * sin(2.0 * M_PI * freq_hz * frame / RATE_HZ);
            frames[2 * frame] = (float)(pa / WP_FULL_SCALE_PA);
            frames[2 * frame + 1] = frames[2 * frame];
        }
        struct wp_meter *meter;
        struct wp_levels levels;
        assert_int_equal(wp_meter_create(&meter, 2, 2, RATE_HZ), WP_OK);
        wp_meter_add(meter, frames, N_FRAMES);
        wp_meter_result(meter, &levels);
        wp_meter_destroy(meter);
        /* 0.05 dB of rounding, 0.15 dB of the filter, and the ripple of time weighting F. */
        assert_near(levels.laeq_db, 93.98 + TABLE[i].weighting_db, 0.3);
        assert_near(levels.lafmax_db, 93.98 + TABLE[i].weighting_db, 0.3);
    }
}

/* Toneburst of 4 kHz against the steady tone, time weighting F: IEC 61672-1:2013, table 4 (from
 * memory): 1 s 0.0, 200 ms -1.0, 50 ms -4.8, 10 ms -11.1 dB; class 1 allows 0.5 to 1 dB. */
static void fast_weighting_follows_tonebursts(void **state)
{
    (void)state;
    enum { RATE_HZ = 48000, N_FRAMES = 2 * RATE_HZ };
    static const double BURSTS[][2] = {{1.0, 0.0}, {0.2, -1.0}, {0.05, -4.8}, {0.01, -11.1}};
    static float frames[N_FRAMES];
    for (size_t i = 0; i < sizeof BURSTS / sizeof BURSTS[0]; i++) {
        for (int frame = 0; frame < N_FRAMES; frame++) {
            const double t_s = (double)frame / RATE_HZ - 0.5;
            const double pa = t_s >= 0.0 && t_s < BURSTS[i][0] ? sin(8000.0 * M_PI * t_s) : 0.0;
            frames[frame] = (float)(sqrt(2.0) * pa / WP_FULL_SCALE_PA);
        }
        struct wp_meter *meter;
        struct wp_levels levels;
        assert_int_equal(wp_meter_create(&meter, 1, 1, RATE_HZ), WP_OK);
        wp_meter_add(meter, frames, N_FRAMES);
        wp_meter_result(meter, &levels);
        wp_meter_destroy(meter);
        assert_near(levels.lafmax_db, 93.98 + 0.97 + BURSTS[i][1], 0.3);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(weighting_is_within_class_1_at_every_rate),
        cmocka_unit_test(weighting_is_accurate_to_a_fifth_of_a_decibel),
        cmocka_unit_test(meter_weighs_tones_as_the_table),
        cmocka_unit_test(fast_weighting_follows_tonebursts),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
