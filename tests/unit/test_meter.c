/* SPDX-License-Identifier: MIT */
/* The meter and the gains that follow from it. */

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>

#include <cmocka.h>
#include <ebur128.h>

#include "../near.h"
#include "synth/subnormal.h"
#include "synth/weighting.h"
#include "windpeal/level.h"

enum { RATE_HZ = 48000 };

/* Decaying tones at 0.9 s intervals with a little of everything between 200 Hz and 18 kHz. */
static float *chime(size_t n_channels, size_t n_frames, double size)
{
    float *frames = calloc(n_channels * n_frames, sizeof *frames);
    assert_non_null(frames);
    for (size_t i = 0; i < n_frames; i++) {
        const double t_s = fmod((double)i / RATE_HZ, 0.9);
        for (size_t c = 0; c < n_channels; c++) {
            const double f = 211.0 * (1.0 + (double)c);
            const double tones = sin(2.0 * M_PI * f * t_s) + sin(2.0 * M_PI * 9.7 * f * t_s) +
                                 0.8 * sin(2.0 * M_PI * 11990.0 * t_s + 0.8) +
                                 0.3 * sin(2.0 * M_PI * 17890.0 * t_s);
            frames[i * n_channels + c] = (float)(size * exp(-7.0 * t_s) * tones);
        }
    }
    return frames;
}

static void measure_at(int rate_hz, const float *frames, int n_channels, size_t n_frames,
                       size_t piece, struct wp_levels *levels)
{
    struct wp_meter *meter;
    assert_int_equal(wp_meter_create(&meter, n_channels, n_channels > 2 ? 1 : n_channels, rate_hz),
                     WP_OK);
    for (size_t i = 0; i < n_frames; i += piece) {
        const size_t n = n_frames - i < piece ? n_frames - i : piece;
        wp_meter_add(meter, frames + i * (size_t)n_channels, n);
    }
    wp_meter_result(meter, levels);
    wp_meter_destroy(meter);
}

static void measure(const float *frames, int n_channels, size_t n_frames, size_t piece,
                    struct wp_levels *levels)
{
    measure_at(RATE_HZ, frames, n_channels, n_frames, piece, levels);
}

/* The general-purpose library with its costly mode over everything. */
static double library_true_peak_db(int rate_hz, const float *frames, size_t n_channels,
                                   size_t n_frames)
{
    ebur128_state *state =
        ebur128_init((unsigned int)n_channels, (unsigned long)rate_hz, EBUR128_MODE_TRUE_PEAK);
    assert_non_null(state);
    const float silence[2 * 64] = {0.0f};
    ebur128_add_frames_float(state, frames, n_frames);
    ebur128_add_frames_float(state, silence, 64);
    double highest = 0.0;
    for (unsigned int c = 0; c < n_channels; c++) {
        double value = 0.0;
        ebur128_true_peak(state, c, &value);
        highest = fmax(highest, value);
    }
    ebur128_destroy(&state);
    return 20.0 * log10(highest);
}

static double library_lufs(const float *frames, size_t n_channels, size_t n_frames)
{
    ebur128_state *state = ebur128_init((unsigned int)n_channels, RATE_HZ, EBUR128_MODE_I);
    assert_non_null(state);
    double lufs = 0.0;
    ebur128_add_frames_float(state, frames, n_frames);
    ebur128_loudness_global(state, &lufs);
    ebur128_destroy(&state);
    return lufs;
}

/* Four times the rate below 96 kHz, twice from there on. */
static void sparing_true_peak_equals_the_whole(void **state)
{
    (void)state;
    static const int rates_hz[] = {44100, RATE_HZ, 88200, 96000};
    for (size_t n_channels = 1; n_channels <= 2; n_channels++) {
        float *frames = chime(n_channels, 3 * RATE_HZ, 0.2);
        for (size_t i = 0; i < 4 * 40; i += 13) {
            const int rate_hz = rates_hz[i / 40];
            struct wp_levels levels;
            const size_t n_frames = 3 * RATE_HZ - 97 * (i % 40);
            measure_at(rate_hz, frames, (int)n_channels, n_frames, 777, &levels);
            assert_near(levels.true_peak_dbtp,
                        library_true_peak_db(rate_hz, frames, n_channels, n_frames), 1e-4);
        }
        free(frames);
    }
}

/* A quarter of the rate, with its peaks a quarter of the way between samples: twice the rate is
 * 0.69 dB short of them, four times is not. */
static void places_between_samples_are_those_of_the_rate(void **state)
{
    (void)state;
    static const int rates_hz[] = {44100, RATE_HZ, 88200, 96000};
    float *frames = calloc(RATE_HZ, sizeof *frames);
    assert_non_null(frames);
    for (size_t i = 0; i < RATE_HZ; i++) {
        const double rise = sin(M_PI * (double)i / RATE_HZ);
        frames[i] = (float)(0.5 * rise * sin(0.5 * M_PI * ((double)i + 0.75)));
    }
    for (size_t i = 0; i < 4; i++) {
        struct wp_levels levels;
        measure_at(rates_hz[i], frames, 1, RATE_HZ, 777, &levels);
        assert_near(levels.true_peak_dbtp, library_true_peak_db(rates_hz[i], frames, 1, RATE_HZ),
                    1e-4);
        assert_near(levels.true_peak_dbtp, rates_hz[i] < 96000 ? -6.02 : -6.71, 0.02);
    }
    free(frames);
}

/* A peak in the last frames, whose interpolation needs what follows the file: silence. */
static void peak_at_the_very_end_counts(void **state)
{
    (void)state;
    for (size_t n_frames = 2000; n_frames < 2700; n_frames += 41) {
        float *frames = calloc(n_frames, sizeof *frames);
        assert_non_null(frames);
        for (size_t i = n_frames - 300; i < n_frames; i++) {
            frames[i] = (float)(0.5 * sin(M_PI * 0.5 * (double)i + M_PI / 4.0) *
                                ((double)(i + 300 - n_frames) / 300.0));
        }
        struct wp_levels levels;
        measure(frames, 1, n_frames, n_frames, &levels);
        assert_near(levels.true_peak_dbtp, library_true_peak_db(RATE_HZ, frames, 1, n_frames),
                    0.01);
        free(frames);
    }
}

static void pieces_do_not_change_the_figures(void **state)
{
    (void)state;
    const size_t n_frames = 2 * RATE_HZ;
    float *frames = chime(2, n_frames, 0.1);
    struct wp_levels whole;
    struct wp_levels split;
    measure(frames, 2, n_frames, n_frames, &whole);
    measure(frames, 2, n_frames, 333, &split);
    assert_near(whole.integrated_lufs, split.integrated_lufs, 1e-9);
    assert_near(whole.true_peak_dbtp, split.true_peak_dbtp, 1e-9);
    assert_near(whole.laeq_db, split.laeq_db, 1e-9);
    assert_near(whole.lafmax_db, split.lafmax_db, 1e-9);
    free(frames);
}

/* Calibrated frames lie far below the standard's absolute gate; the file after the gain does not.
 */
static void loudness_is_that_of_the_file_after_the_gain(void **state)
{
    (void)state;
    const size_t n_frames = 8 * RATE_HZ;
    float *frames = chime(2, n_frames, 2e-4);
    struct wp_levels levels;
    struct wp_meter *meter;
    enum wp_level_bound bound;
    assert_int_equal(wp_meter_create(&meter, 2, 2, RATE_HZ), WP_OK);
    wp_meter_add(meter, frames, n_frames);
    wp_meter_result(meter, &levels);
    assert_true(isnan(wp_meter_loudness(meter, 0.0)));
    levels.true_peak_dbtp = -200.0; /* leaves the loudness to decide */
    const double gain_db = wp_level_gain_db(WP_LEVEL_WEB, &levels, &bound);
    assert_int_equal(bound, WP_BOUND_TARGET);
    for (size_t i = 0; i < 2 * n_frames; i++) {
        frames[i] *= (float)pow(10.0, gain_db / 20.0);
    }
    assert_near(library_lufs(frames, 2, n_frames), -16.0, 0.02);
    assert_near(wp_meter_loudness(meter, gain_db), -16.0, 0.02);
    wp_meter_destroy(meter);
    free(frames);
}

static void silence_has_no_levels(void **state)
{
    (void)state;
    float *frames = calloc(2 * RATE_HZ, sizeof *frames);
    assert_non_null(frames);
    for (size_t n_frames = 0; n_frames <= RATE_HZ; n_frames += RATE_HZ) {
        struct wp_levels levels;
        enum wp_level_bound bound;
        measure(frames, 2, n_frames, 4096, &levels);
        assert_true(isnan(levels.integrated_lufs));
        assert_true(isnan(levels.true_peak_dbtp));
        assert_true(isnan(levels.laeq_db));
        assert_true(isnan(levels.lafmax_db));
        assert_true(wp_level_gain_db(WP_LEVEL_WEB, &levels, &bound) == 0.0);
        assert_int_equal(bound, WP_BOUND_NONE);
    }
    free(frames);
}

static void short_sound_is_bound_by_its_peak(void **state)
{
    (void)state;
    float *frames = chime(2, RATE_HZ / 3, 0.01);
    struct wp_levels levels;
    enum wp_level_bound bound;
    measure(frames, 2, RATE_HZ / 3, 4096, &levels);
    assert_true(isnan(levels.integrated_lufs));
    const double gain_db = wp_level_gain_db(WP_LEVEL_BROADCAST, &levels, &bound);
    assert_int_equal(bound, WP_BOUND_PEAK);
    assert_near(levels.true_peak_dbtp + gain_db, -1.0, 1e-9);
    free(frames);
}

static void gain_reaches_the_target_or_the_ceiling(void **state)
{
    (void)state;
    struct wp_levels levels = {.integrated_lufs = -40.0, .true_peak_dbtp = -20.0};
    enum wp_level_bound bound;
    assert_near(wp_level_gain_db(WP_LEVEL_BROADCAST, &levels, &bound), 17.0, 1e-12);
    assert_int_equal(bound, WP_BOUND_TARGET);
    assert_near(wp_level_gain_db(WP_LEVEL_WEB, &levels, &bound), 19.0, 1e-12);
    assert_int_equal(bound, WP_BOUND_PEAK);
    assert_true(wp_level_gain_db(WP_LEVEL_CALIBRATED, &levels, &bound) == 0.0);
    assert_int_equal(bound, WP_BOUND_NONE);
}

/* A set of two tubes has no ears. */
static void two_channels_of_one_ear_are_judged_as_the_sum(void **state)
{
    (void)state;
    const size_t n_frames = RATE_HZ;
    float *tubes = chime(2, n_frames, 0.05);
    float *sum = calloc(n_frames, sizeof *sum);
    struct wp_meter *meter;
    struct wp_levels apart;
    struct wp_levels together;
    assert_non_null(sum);
    for (size_t i = 0; i < 2 * n_frames; i++) {
        sum[i / 2] += tubes[i];
    }
    assert_int_equal(wp_meter_create(&meter, 2, 1, RATE_HZ), WP_OK);
    wp_meter_add(meter, tubes, n_frames);
    wp_meter_result(meter, &apart);
    measure(sum, 1, n_frames, 4096, &together);
    assert_near(apart.integrated_lufs, together.integrated_lufs, 1e-4);
    assert_near(apart.laeq_db, together.laeq_db, 1e-4);
    wp_meter_destroy(meter);
    free(tubes);
    free(sum);
}

static void one_channel_a_tube_is_judged_as_the_sum(void **state)
{
    (void)state;
    const size_t n_frames = RATE_HZ;
    float *tubes = chime(5, n_frames, 0.05);
    float *sum = calloc(n_frames, sizeof *sum);
    assert_non_null(sum);
    for (size_t i = 0; i < 5 * n_frames; i++) {
        sum[i / 5] += tubes[i];
    }
    struct wp_levels apart;
    struct wp_levels together;
    measure(tubes, 5, n_frames, 4096, &apart);
    measure(sum, 1, n_frames, 4096, &together);
    assert_near(apart.integrated_lufs, together.integrated_lufs, 1e-4);
    assert_near(apart.laeq_db, together.laeq_db, 1e-4);
    assert_near(apart.lafmax_db, together.lafmax_db, 1e-4);
    assert_near(apart.true_peak_dbtp, together.true_peak_dbtp, 1e-4);
    free(tubes);
    free(sum);
}

/* Two ears, one of them deaf: half the energy, 3.01 dB less. */
static void ears_are_averaged_as_energy(void **state)
{
    (void)state;
    const size_t n_frames = RATE_HZ;
    float *both = chime(2, n_frames, 0.05);
    float *left = calloc(2 * n_frames, sizeof *left);
    assert_non_null(left);
    for (size_t i = 0; i < n_frames; i++) {
        both[2 * i + 1] = both[2 * i];
        left[2 * i] = both[2 * i];
    }
    struct wp_levels two;
    struct wp_levels one;
    measure(both, 2, n_frames, 4096, &two);
    measure(left, 2, n_frames, 4096, &one);
    assert_near(two.laeq_db - one.laeq_db, 10.0 * log10(2.0), 1e-6);
    assert_near(two.lafmax_db - one.lafmax_db, 10.0 * log10(2.0), 1e-6);
    free(both);
    free(left);
}

/* In a long silence the slow poles would get stuck among subnormal numbers, which are slow. */
static void weighting_leaves_no_subnormal_state(void **state)
{
    (void)state;
    struct wp_weighting weighting;
    float frames[4800] = {1.0f};
    struct wp_weighted steps[4800 / WP_WEIGHTING_STEP + 1];
    size_t n_subnormal = 0;
    wp_weighting_init(&weighting, RATE_HZ);
    const uint64_t setting = wp_subnormal_flush();
    for (int i = 0; i < 200; i++) {
        wp_weighting_add(&weighting, frames, 1, 4800, steps);
        frames[0] = 0.0f;
    }
    wp_subnormal_restore(setting);
    for (int row = 0; row < WP_WEIGHTING_ROWS; row++) {
        for (int lane = 0; lane < WP_WEIGHTING_LANES; lane++) {
            n_subnormal += fpclassify(weighting.memory[row][0][lane]) == FP_SUBNORMAL;
            n_subnormal += fpclassify(weighting.memory[row][1][lane]) == FP_SUBNORMAL;
        }
    }
    assert_int_equal(n_subnormal, 0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(sparing_true_peak_equals_the_whole),
        cmocka_unit_test(places_between_samples_are_those_of_the_rate),
        cmocka_unit_test(peak_at_the_very_end_counts),
        cmocka_unit_test(pieces_do_not_change_the_figures),
        cmocka_unit_test(loudness_is_that_of_the_file_after_the_gain),
        cmocka_unit_test(weighting_leaves_no_subnormal_state),
        cmocka_unit_test(silence_has_no_levels),
        cmocka_unit_test(short_sound_is_bound_by_its_peak),
        cmocka_unit_test(gain_reaches_the_target_or_the_ceiling),
        cmocka_unit_test(two_channels_of_one_ear_are_judged_as_the_sum),
        cmocka_unit_test(one_channel_a_tube_is_judged_as_the_sum),
        cmocka_unit_test(ears_are_averaged_as_energy),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
