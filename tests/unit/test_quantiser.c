/* SPDX-License-Identifier: MIT */
/* Rounding to whole numbers: statistics of the dither, full scale, independence of blocks. */
#include "output/quantiser.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

enum { N = 1000000, N_SMALL = 5000 };

/* N samples of one value, given in steps of a 16-bit file, rounded. Heap; the caller frees. */
static int32_t *round_constant(double steps, uint64_t seed)
{
    float *samples = malloc(N * sizeof *samples);
    int32_t *numbers = malloc(N * sizeof *numbers);
    assert_non_null(samples);
    assert_non_null(numbers);
    for (size_t i = 0; i < N; i++) {
        samples[i] = (float)(steps / 32768.0);
    }
    struct wp_quantiser quantiser;
    wp_quantiser_init(&quantiser, 16, 1.0, seed);
    wp_quantiser_apply(&quantiser, samples, numbers, N);
    assert_int_equal(quantiser.n_clipped, 0);
    free(samples);
    return numbers;
}

/* Lipshitz, Wannamaker and Vanderkooy (J. Audio Eng. Soc. 40, 1992): with triangular dither of two
 * steps width the total error has the mean 0 and the variance 1/4 step^2 for every input. Limits:
 * five standard deviations of N independent errors. */
static void error_has_mean_0_and_variance_a_quarter_whatever_the_signal(void **state)
{
    (void)state;
    const double inputs[] = {0.0, 0.25, 0.5, -0.3125, 1000.125, -32000.75};
    for (size_t k = 0; k < sizeof inputs / sizeof *inputs; k++) {
        int32_t *numbers = round_constant(inputs[k], 7 + k);
        double sum = 0.0;
        double sum_of_squares = 0.0;
        for (size_t i = 0; i < N; i++) {
            const double error = (double)numbers[i] - inputs[k];
            sum += error;
            sum_of_squares += error * error;
        }
        free(numbers);
        assert_true(fabs(sum / N) < 5.0 * 0.5 / sqrt(N));
        assert_true(fabs(sum_of_squares / N - 0.25) < 5.0 * 0.5 / sqrt(N));
    }
}

/* From the triangle's area: beyond half a step lie 1/8 on either side. */
static void silence_becomes_minus_1_0_and_1_as_the_triangle_says(void **state)
{
    (void)state;
    int32_t *numbers = round_constant(0.0, 1);
    size_t n_of[3] = {0};
    for (size_t i = 0; i < N; i++) {
        assert_in_range(numbers[i] + 1, 0, 2);
        n_of[numbers[i] + 1]++;
    }
    free(numbers);
    assert_true(fabs((double)n_of[0] / N - 0.125) < 0.002);
    assert_true(fabs((double)n_of[1] / N - 0.75) < 0.002);
    assert_true(fabs((double)n_of[2] / N - 0.125) < 0.002);
}

/* White: neighbours are uncorrelated, so no hiss of a colour and no pattern is heard. */
static void neighbouring_errors_are_uncorrelated(void **state)
{
    (void)state;
    int32_t *numbers = round_constant(0.0, 3);
    for (size_t lag = 1; lag <= 8; lag++) {
        double sum = 0.0;
        for (size_t i = lag; i < N; i++) {
            sum += (double)numbers[i] * (double)numbers[i - lag];
        }
        assert_true(fabs(sum / N) < 5.0 * 0.25 / sqrt(N));
    }
    free(numbers);
}

/* What dither is for: rounding alone would leave silence. */
static void a_tone_below_half_a_step_survives(void **state)
{
    (void)state;
    float *samples = malloc(N * sizeof *samples);
    int32_t *numbers = malloc(N * sizeof *numbers);
    assert_non_null(samples);
    assert_non_null(numbers);
    const double turn = 2.0 * acos(-1.0) * 997.0 / 48000.0;
    for (size_t i = 0; i < N; i++) {
        samples[i] = (float)(0.3 / 32768.0 * sin(turn * (double)i));
    }
    struct wp_quantiser quantiser;
    wp_quantiser_init(&quantiser, 16, 1.0, 5);
    wp_quantiser_apply(&quantiser, samples, numbers, N);
    double amplitude = 0.0;
    for (size_t i = 0; i < N; i++) {
        amplitude += 2.0 / N * sin(turn * (double)i) * (double)numbers[i];
    }
    free(samples);
    free(numbers);
    assert_true(fabs(amplitude - 0.3) < 5.0 * 0.5 * sqrt(2.0 / N));
}

static void fill_with_a_ramp(float *samples, size_t n)
{
    for (size_t i = 0; i < n; i++) {
        samples[i] = (float)((double)i / (double)n * 1.8 - 0.9);
    }
}

static void the_seed_decides_on_the_dither(void **state)
{
    (void)state;
    float samples[N_SMALL];
    int32_t numbers[3][N_SMALL];
    const uint64_t seeds[3] = {1, 1, UINT64_C(1) << 32};
    fill_with_a_ramp(samples, N_SMALL);
    for (size_t k = 0; k < 3; k++) {
        struct wp_quantiser quantiser;
        wp_quantiser_init(&quantiser, 24, 1.0, seeds[k]);
        wp_quantiser_apply(&quantiser, samples, numbers[k], N_SMALL);
    }
    assert_memory_equal(numbers[0], numbers[1], sizeof numbers[0]);
    assert_memory_not_equal(numbers[0], numbers[2], sizeof numbers[0]);
}

static void the_split_into_blocks_changes_nothing(void **state)
{
    (void)state;
    float samples[N_SMALL];
    int32_t whole[N_SMALL];
    int32_t split[N_SMALL];
    struct wp_quantiser quantiser;
    fill_with_a_ramp(samples, N_SMALL);
    wp_quantiser_init(&quantiser, 24, 0.7, 11);
    wp_quantiser_apply(&quantiser, samples, whole, N_SMALL);
    wp_quantiser_init(&quantiser, 24, 0.7, 11);
    for (size_t i = 0, n_now = 1; i < N_SMALL; i += n_now, n_now = n_now % 700 + 3) {
        n_now = n_now < N_SMALL - i ? n_now : N_SMALL - i;
        wp_quantiser_apply(&quantiser, samples + i, split + i, n_now);
    }
    assert_memory_equal(whole, split, sizeof whole);
}

static void what_does_not_fit_is_set_to_the_limit_and_counted(void **state)
{
    (void)state;
    const float samples[] = {2.0f, -2.0f, INFINITY, -INFINITY, 0.999f, -0.999f, 0.0f};
    const int32_t limits[] = {32767, -32768, 32767, -32768};
    int32_t numbers[7];
    struct wp_quantiser quantiser;
    wp_quantiser_init(&quantiser, 16, 1.0, 2);
    wp_quantiser_apply(&quantiser, samples, numbers, 7);
    assert_int_equal(quantiser.n_clipped, 4);
    assert_memory_equal(numbers, limits, sizeof limits);
    assert_in_range(numbers[4], 32734, 32737);
    assert_in_range(-numbers[5], 32734, 32737);
}

static void what_is_not_a_number_becomes_silence_and_counts(void **state)
{
    (void)state;
    const float sample = NAN;
    int32_t number = 99;
    struct wp_quantiser quantiser;
    wp_quantiser_init(&quantiser, 24, 1.0, 2);
    wp_quantiser_apply(&quantiser, &sample, &number, 1);
    assert_int_equal(number, 0);
    assert_int_equal(quantiser.n_clipped, 1);
}

static void gain_comes_before_rounding(void **state)
{
    (void)state;
    const float samples[] = {0.75f, -0.75f};
    int32_t numbers[2];
    struct wp_quantiser quantiser;
    wp_quantiser_init(&quantiser, 24, 0.5, 4);
    wp_quantiser_apply(&quantiser, samples, numbers, 2);
    assert_in_range(numbers[0], 3145728 - 1, 3145728 + 1);
    assert_in_range(-numbers[1], 3145728 - 1, 3145728 + 1);
    wp_quantiser_init(&quantiser, 24, 2.0, 4);
    wp_quantiser_apply(&quantiser, samples, numbers, 2);
    assert_int_equal(quantiser.n_clipped, 2);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(error_has_mean_0_and_variance_a_quarter_whatever_the_signal),
        cmocka_unit_test(silence_becomes_minus_1_0_and_1_as_the_triangle_says),
        cmocka_unit_test(neighbouring_errors_are_uncorrelated),
        cmocka_unit_test(a_tone_below_half_a_step_survives),
        cmocka_unit_test(the_seed_decides_on_the_dither),
        cmocka_unit_test(the_split_into_blocks_changes_nothing),
        cmocka_unit_test(what_does_not_fit_is_set_to_the_limit_and_counted),
        cmocka_unit_test(what_is_not_a_number_becomes_silence_and_counts),
        cmocka_unit_test(gain_comes_before_rounding),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
