/* SPDX-License-Identifier: MIT */
/* Partitioned convolution against the sum that defines it. */

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#include "base/random.h"
#include "synth/convolver.h"

enum { N_FRAMES = 8192, N_RESPONSE_MAX = 3000 };

static float feed[N_FRAMES];
static float response[2][N_RESPONSE_MAX];
static float heard[2][N_FRAMES];

static void fill(float *frames, size_t n_frames, uint64_t event)
{
    struct wp_random random;
    wp_random_init(&random, 7, WP_STREAM_DITHER, event);
    for (size_t i = 0; i < n_frames; i++) {
        frames[i] = (float)(2.0 * wp_random_uniform(&random) - 1.0);
    }
}

static void prepare(void)
{
    fill(feed, N_FRAMES, 0);
    fill(response[0], N_RESPONSE_MAX, 1);
    fill(response[1], N_RESPONSE_MAX, 2);
    memset(heard, 0, sizeof heard);
}

/* Renders the feed block by block. */
static void convolve(size_t n_ears, size_t n_response, size_t block)
{
    const float *const responses[2] = {response[0], response[1]};
    struct wp_convolver *convolver;
    assert_int_equal(wp_convolver_create(&convolver, responses, n_ears, n_response, block), WP_OK);
    for (size_t i = 0; i < N_FRAMES; i += block) {
        float *const ears[2] = {heard[0] + i, heard[1] + i};
        wp_convolver_render(convolver, feed + i, ears);
    }
    wp_convolver_destroy(convolver);
}

/* y[i] = sum h[k] x[i - k] in double; the largest error in dB re the largest sample. */
static double worst_db(size_t ear, size_t n_response)
{
    double peak = 0.0;
    double worst = 0.0;
    for (size_t i = 0; i < N_FRAMES; i++) {
        double sum = 0.0;
        for (size_t k = 0; k < n_response && k <= i; k++) {
            sum += (double)response[ear][k] * (double)feed[i - k];
        }
        peak = fmax(peak, fabs(sum));
        worst = fmax(worst, fabs(sum - (double)heard[ear][i]));
    }
    return 20.0 * log10(worst / peak);
}

/* -115 dB of the peak is what this program promises; floats allow some -130. */
static void convolution_equals_the_direct_sum(void **state)
{
    (void)state;
    const size_t n_responses[] = {1, 63, 64, 65, 1000, 2048, N_RESPONSE_MAX};
    const size_t blocks[] = {64, 256, 1024, 4096};
    for (size_t r = 0; r < sizeof n_responses / sizeof n_responses[0]; r++) {
        for (size_t b = 0; b < sizeof blocks / sizeof blocks[0]; b++) {
            const size_t n_ears = 1 + r % 2;
            prepare();
            convolve(n_ears, n_responses[r], blocks[b]);
            for (size_t ear = 0; ear < n_ears; ear++) {
                const double db = worst_db(ear, n_responses[r]);
                if (!(db < -115.0)) {
                    fail_msg("%zu frames in blocks of %zu: %.1f dB", n_responses[r], blocks[b], db);
                }
            }
        }
    }
}

static void answer_is_added_to_what_is_there(void **state)
{
    (void)state;
    prepare();
    convolve(1, 100, 256);
    const float once = heard[0][500];
    convolve(1, 100, 256);
    assert_true(fabs((double)(heard[0][500] - 2.0f * once)) < 1e-5);
}

static void sound_after_silence_is_not_changed_by_what_was_skipped(void **state)
{
    (void)state;
    prepare();
    memset(feed, 0, 4096 * sizeof *feed);
    feed[0] = 1.0f;
    memset(feed + 4500, 0, 3000 * sizeof *feed);
    convolve(2, 700, 64);
    assert_true(worst_db(0, 700) < -115.0);
    assert_true(worst_db(1, 700) < -115.0);
    for (size_t i = 1024; i < 4096; i++) {
        assert_true(heard[0][i] == 0.0f);
    }
}

static void longer_responses_take_longer_blocks(void **state)
{
    (void)state;
    size_t last = 0;
    for (size_t n_response = 100; n_response < 1000000; n_response *= 10) {
        const size_t block = wp_convolver_best_block(n_response, 256);
        assert_true(block >= 256 && block >= last);
        assert_true((block & (block - 1)) == 0);
        last = block;
    }
    assert_true(last > 256);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(convolution_equals_the_direct_sum),
        cmocka_unit_test(answer_is_added_to_what_is_there),
        cmocka_unit_test(sound_after_silence_is_not_changed_by_what_was_skipped),
        cmocka_unit_test(longer_responses_take_longer_blocks),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
