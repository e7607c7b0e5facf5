/* SPDX-License-Identifier: MIT */
/* The own inverse transform against KissFFT, and against the definition for single points. */

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>
#include <kiss_fft.h>

#include "base/random.h"
#include "synth/transform.h"

enum { N = WP_TRANSFORM, HALF = N / 4 };

struct middle {
    float re[2 * HALF];
    float im[2 * HALF];
};

/* The two middle quarters of the inverse transform. */
static void invert(const struct wp_points *given, struct middle *middle)
{
    static struct wp_transform transform;
    static struct wp_points points;
    static struct wp_points spare;
    static float window[2 * HALF];
    for (int i = 0; i < 2 * HALF; i++) {
        window[i] = 1.0f;
    }
    points = *given;
    memset(middle, 0, sizeof *middle);
    wp_transform_init(&transform);
    wp_transform_run(&transform, &points, &spare);
    wp_transform_middle(&spare, window, HALF, middle->re, middle->im);
}

static void noise_comes_out_as_from_kiss_fft(void **state)
{
    (void)state;
    static struct wp_points points;
    static struct middle middle;
    static kiss_fft_cpx in[N];
    static kiss_fft_cpx out[N];
    struct wp_random random;
    wp_random_init(&random, 5, 0, 0);
    for (int k = 0; k < N; k++) {
        in[k].r = points.re[k] = (float)wp_random_normal(&random);
        in[k].i = points.im[k] = (float)wp_random_normal(&random);
    }
    kiss_fft_cfg config = kiss_fft_alloc(N, 1, NULL, NULL);
    assert_non_null(config);
    kiss_fft(config, in, out);
    kiss_fft_free(config);
    invert(&points, &middle);
    /* The sum of N complex numbers of mean square 2 has the root mean square sqrt(2 N) = 64; floats
     * of 24 bits leave some 1e-7 of it after eleven levels of additions in either transform. */
    for (int i = 0; i < 2 * HALF; i++) {
        const kiss_fft_cpx wanted = out[N / 2 - HALF + i];
        assert_true(fabsf(middle.re[i] - wanted.r) < 64.0f * 1e-6f);
        assert_true(fabsf(middle.im[i] - wanted.i) < 64.0f * 1e-6f);
    }
}

/* The definition: point k alone becomes exp(2 pi i k n / N). */
static void single_point_becomes_its_exponential(void **state)
{
    (void)state;
    const int places[] = {0, 1, 2, 7, 8, 63, 64, 255, 256, 511, 1024, 1025, 1777, 2047};
    for (size_t i = 0; i < sizeof places / sizeof places[0]; i++) {
        static struct wp_points points;
        static struct middle middle;
        memset(&points, 0, sizeof points);
        points.re[places[i]] = 1.0f;
        invert(&points, &middle);
        for (int n = 0; n < 2 * HALF; n++) {
            const int turns = places[i] * (N / 2 - HALF + n) % N;
            const double angle = 2.0 * M_PI * turns / N;
            assert_true(fabs((double)middle.re[n] - cos(angle)) < 4e-7);
            assert_true(fabs((double)middle.im[n] - sin(angle)) < 4e-7);
        }
    }
}

static void window_weighs_what_is_added(void **state)
{
    (void)state;
    static struct wp_transform transform;
    static struct wp_points points;
    static struct wp_points spare;
    const float window[] = {1.0f, 2.0f, 3.0f, 4.0f};
    float re[] = {10.0f, 10.0f, 10.0f, 10.0f};
    float im[] = {0.0f, 0.0f, 0.0f, 0.0f};
    points.re[0] = 0.5f;
    points.im[0] = 0.25f;
    wp_transform_init(&transform);
    wp_transform_run(&transform, &points, &spare);
    wp_transform_middle(&spare, window, 2, re, im);
    for (int i = 0; i < 4; i++) {
        assert_true(re[i] == 10.0f + 0.5f * window[i]);
        assert_true(im[i] == 0.25f * window[i]);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(noise_comes_out_as_from_kiss_fft),
        cmocka_unit_test(single_point_becomes_its_exponential),
        cmocka_unit_test(window_weighs_what_is_added),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
