/* SPDX-License-Identifier: MIT */
/* The bank of filters: variance, independence, and what a change of speed does. */
#include <complex.h>
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "../near.h"
#include "wind/eddies.h"

static void variance_is_one_from_the_first_step(void **state)
{
    (void)state;
    /* Ensemble over seeds at one moment: sd of a variance estimate is sqrt(2 / n). */
    enum { SEEDS = 4000 };
    double sums[3] = {0.0};
    double product = 0.0;
    for (uint64_t seed = 0; seed < SEEDS; seed++) {
        struct wp_eddies eddies;
        struct wp_eddy eddy;
        wp_eddies_init(&eddies, seed, 0.1, 10.0, 0);
        wp_eddies_set_speed(&eddies, 5.0);
        wp_eddies_run(&eddies, 0, &eddy, 1);
        sums[0] += eddy.part[WP_ALONG] * eddy.part[WP_ALONG];
        sums[1] += eddy.part[WP_ACROSS] * eddy.part[WP_ACROSS];
        sums[2] += eddy.wander * eddy.wander;
        product += eddy.part[WP_ALONG] * eddy.part[WP_ACROSS];
    }
    const double tolerance = 4.0 * sqrt(2.0 / SEEDS);
    for (size_t i = 0; i < 3; i++) {
        assert_near(sums[i] / SEEDS, 1.0, tolerance);
    }
    assert_near(product / SEEDS, 0.0, tolerance);
}

static void bank_follows_the_density_over_six_decades(void **state)
{
    (void)state;
    struct wp_eddies eddies;
    wp_eddies_init(&eddies, 1, 1e-5, 10.0, 0);
    wp_eddies_set_speed(&eddies, 5.0);
    for (size_t c = 0; c < WP_COMPONENTS; c++) {
        const double time_s = eddies.length_m[c] / 5.0;
        for (double n = 3e-4; n <= 300.0; n *= 1.2) {
            const double turn = 2.0 * acos(-1.0) * n / time_s;
            double complex sum = 0.0;
            for (size_t i = 0; i < WP_EDDY_SIZES; i++) {
                /* A filter of time constant s and unit variance: density 4 s / (1 + (w s)^2). */
                const double constant_s = -eddies.step_s / log(eddies.bank.keep[i][c]);
                const double complex lag = 1.0 + (double complex)I * turn * constant_s;
                sum += WP_EDDY_WEIGHTS[i] * 2.0 * sqrt(constant_s) / lag;
            }
            const double want = wp_kaimal_density(time_s, n / time_s);
            assert_near(20.0 * log10(cabs(sum)) - 10.0 * log10(want), 0.0, 0.05);
        }
    }
}

static void change_of_speed_makes_no_step(void **state)
{
    (void)state;
    struct wp_eddies eddies;
    struct wp_eddies changed;
    wp_eddies_init(&eddies, 7, 0.01, 10.0, 0);
    wp_eddies_set_speed(&eddies, 2.0);
    struct wp_eddy before;
    struct wp_eddy after;
    wp_eddies_run(&eddies, 0, &before, 1);
    changed = eddies;
    wp_eddies_set_speed(&changed, 4.0);
    wp_eddies_run(&changed, 1, &after, 1);
    /* Mean square of a step of 10 ms at 4 m/s: the structure function of the spectrum, below
     * 2 * 0.018 for L / U = 14 s; five of its standard deviations. */
    assert_true(fabs(after.part[WP_ALONG] - before.part[WP_ALONG]) < 5.0 * sqrt(2.0 * 0.018));
}

static void faster_wind_carries_eddies_past_faster(void **state)
{
    (void)state;
    double squares[2] = {0.0};
    const double speeds[2] = {2.0, 8.0};
    for (size_t k = 0; k < 2; k++) {
        struct wp_eddies eddies;
        struct wp_eddy eddy;
        wp_eddies_init(&eddies, 7, 0.1, 10.0, 0);
        wp_eddies_set_speed(&eddies, speeds[k]);
        double last = 0.0;
        for (int64_t n = 0; n < 5000; n++) {
            wp_eddies_run(&eddies, n, &eddy, 1);
            squares[k] += n > 0 ? (eddy.part[0] - last) * (eddy.part[0] - last) : 0.0;
            last = eddy.part[0];
        }
    }
    assert_true(squares[1] > 1.5 * squares[0]);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(variance_is_one_from_the_first_step),
        cmocka_unit_test(bank_follows_the_density_over_six_decades),
        cmocka_unit_test(change_of_speed_makes_no_step),
        cmocka_unit_test(faster_wind_carries_eddies_past_faster),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
