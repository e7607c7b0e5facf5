/* SPDX-License-Identifier: MIT */
/* Turns of phasors against the exponential function of long double. */

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "synth/phasors.h"

enum { N = 81 };

static void describe(double log_re[N], double log_im[N])
{
    for (int m = 0; m < N; m++) {
        log_re[m] = m % 9 == 0 ? 0.0 : -3e-4 * m;
        log_im[m] = M_PI * (m + 0.5) / N;
    }
}

static void assert_exponential(const double *log_re, const double log_im[N], double n_frames)
{
    struct wp_phasors turn;
    const long double n = n_frames;
    wp_phasors_turn(&turn, log_re, log_im, n_frames, N);
    for (int m = 0; m < N; m++) {
        const long double size = log_re ? expl((long double)log_re[m] * n) : 1.0L;
        const long double angle = (long double)log_im[m] * n;
        const double off_re = (double)(((long double)turn.re[m] / size) - cosl(angle));
        const double off_im = (double)(((long double)turn.im[m] / size) - sinl(angle));
        assert_true(hypot(off_re, off_im) < 1e-11);
    }
}

static void turn_is_the_exponential(void **state)
{
    (void)state;
    const double n_frames[] = {0.0, 0.37, 0.999, 1.0, 5.5, 63.0, 447.3, 895.99, 896.0, 1000.25};
    double log_re[N];
    double log_im[N];
    describe(log_re, log_im);
    for (size_t i = 0; i < sizeof n_frames / sizeof n_frames[0]; i++) {
        assert_exponential(log_re, log_im, n_frames[i]);
    }
}

static void turn_goes_back_in_time(void **state)
{
    (void)state;
    double unused[N];
    double log_im[N];
    describe(unused, log_im);
    assert_exponential(NULL, log_im, -1.0);
    assert_exponential(NULL, log_im, -0.63);
    assert_exponential(NULL, log_im, -300.4);
}

static void what_falls_below_all_numbers_vanishes(void **state)
{
    (void)state;
    const double log_re[] = {-0.6, -2.0, -1e4};
    const double log_im[] = {0.1, 1.0, 3.0};
    struct wp_phasors turn;
    wp_phasors_turn(&turn, log_re, log_im, 1000.0, 3);
    const long double size = expl(-600.0L);
    assert_true(fabsl(hypotl(turn.re[0], turn.im[0]) / size - 1.0L) < 1e-11L);
    assert_true(hypot(turn.re[1], turn.im[1]) < 1e-300);
    assert_true(hypot(turn.re[2], turn.im[2]) < 1e-300);
}

static void product_turns_and_shrinks(void **state)
{
    (void)state;
    struct wp_phasors z = {.re = {2.0, 0.0}, .im = {0.0, 3.0}};
    struct wp_phasors sum = {.re = {1.0, 1.0}, .im = {1.0, 1.0}};
    const struct wp_phasors turn = {.re = {0.0, 0.5}, .im = {1.0, 0.0}};
    wp_phasors_add_turned(&sum, &z, &turn, 2);
    wp_phasors_multiply(&z, &turn, 2);
    /* A quarter turn of 2, and a half of 3 i. */
    assert_true(z.re[0] == 0.0 && z.im[0] == 2.0 && z.re[1] == 0.0 && z.im[1] == 1.5);
    assert_true(sum.re[0] == 1.0 && sum.im[0] == 3.0 && sum.re[1] == 1.0 && sum.im[1] == 2.5);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(turn_is_the_exponential),
        cmocka_unit_test(turn_goes_back_in_time),
        cmocka_unit_test(what_falls_below_all_numbers_vanishes),
        cmocka_unit_test(product_turns_and_shrinks),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
