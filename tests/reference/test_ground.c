/* SPDX-License-Identifier: MIT */
/* The reflection at the ground against printed constants and the exact integral. */

#include <complex.h>
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "../near.h"
#include "synth/ground.h"

static const double SOUND_SPEED_M_S = 343.2;

static const double complex J = (double complex)I;

static double complex reflection(enum wp_ground ground, double freq_hz, double level_m,
                                 double upright_m)
{
    const double length_m = hypot(level_m, upright_m);
    const struct wp_bounce bounce = {freq_hz, SOUND_SPEED_M_S, length_m, upright_m / length_m};
    const struct wp_transfer q = wp_ground_reflection(ground, &bounce);
    return q.re + J * q.im;
}

/*
 * Miki's constants as he prints them, for f over flow resistivity in kPa s/m2 of 1 and 0.01: Z =
 * 1 + 5.50 (1000 f/s)^-0.632 - i 8.43 (1000 f/s)^-0.632.
 */
static void impedance_is_mikis(void **state)
{
    (void)state;
    const double sigma = 200e3; /* grass */
    for (double ratio = 1e-5; ratio < 1.0; ratio *= 10.0) {
        const struct wp_transfer z = wp_ground_impedance(WP_GROUND_GRASS, ratio * sigma);
        const double power = pow(1000.0 * ratio, -0.632);
        assert_near(z.re, 1.0 + 5.50 * power, 0.002 * z.re);
        assert_near(z.im, -8.43 * power, -0.002 * z.im);
    }
}

/*
 * X. Di & K. E. Gilbert, J. Acoust. Soc. Am. 93 (1993) 714: the image of a point source at an
 * impedance plane is a point source and a line of sources at complex places behind it, exactly:
 * exp(ikr)/r - 2 k beta int_0^inf exp(-k beta q) exp(ik s)/s dq, s = sqrt(level^2 + (upright +
 * iq)^2), of waves exp(-i omega t). Simpson's rule.
 */
static double complex exact_reflection(enum wp_ground ground, double freq_hz, double level_m,
                                       double upright_m)
{
    const struct wp_transfer z = wp_ground_impedance(ground, freq_hz);
    const double k = 2.0 * M_PI * freq_hz / SOUND_SPEED_M_S;
    const double complex beta = 1.0 / (z.re - J * z.im);
    const double r = hypot(level_m, upright_m);
    const int n_steps = 400000;
    const double end = 40.0 / (k * creal(beta) + k * 1e-3);
    double complex sum = 0.0;
    for (int i = 0; i <= n_steps; i++) {
        const double q = end * i / n_steps;
        double complex s = csqrt(level_m * level_m + (upright_m + J * q) * (upright_m + J * q));
        const double weight = i == 0 || i == n_steps ? 1.0 : i % 2 == 1 ? 4.0 : 2.0;
        sum += weight * cexp(-k * beta * q + J * k * s) / s;
    }
    sum *= end / n_steps / 3.0;
    const double complex mirror = cexp(J * k * r) / r;
    return conj((mirror - 2.0 * k * beta * sum) / mirror);
}

static void reflection_is_that_of_the_exact_integral(void **state)
{
    (void)state;
    static const enum wp_ground grounds[] = {WP_GROUND_SNOW, WP_GROUND_GRASS, WP_GROUND_PAVING};
    static const double ways_m[][2] = {{3.0, 3.6}, {30.0, 3.6}, {0.5, 3.0}, {100.0, 3.0}};
    for (size_t g = 0; g < sizeof grounds / sizeof grounds[0]; g++) {
        for (size_t w = 0; w < sizeof ways_m / sizeof ways_m[0]; w++) {
            for (double freq_hz = 200.0; freq_hz < 5000.0; freq_hz *= 4.0) {
                const double complex got =
                    reflection(grounds[g], freq_hz, ways_m[w][0], ways_m[w][1]);
                const double complex want =
                    exact_reflection(grounds[g], freq_hz, ways_m[w][0], ways_m[w][1]);
                if (!(cabs(got - want) < 0.02)) {
                    fail_msg("ground %d, %.0f Hz, way %zu: %.4f %+.4fi, exact %.4f %+.4fi",
                             (int)grounds[g], freq_hz, w, creal(got), cimag(got), creal(want),
                             cimag(want));
                }
            }
        }
    }
}

/* What any text says: a hard ground mirrors, a soft one takes more, and along a soft ground the
 * direct sound is all but cancelled. */
static void hard_ground_mirrors_and_soft_ground_swallows(void **state)
{
    (void)state;
    assert_near(cabs(reflection(WP_GROUND_WATER, 1000.0, 3.0, 3.0) - 1.0), 0.0, 0.02);
    double last = 1.1;
    for (int ground = WP_GROUNDS - 1; ground >= 0; ground--) {
        const double size = cabs(reflection((enum wp_ground)ground, 1000.0, 3.0, 3.0));
        assert_true(size < last);
        last = size;
    }
    assert_near(cabs(reflection(WP_GROUND_SNOW, 2000.0, 500.0, 2.0) + 1.0), 0.0, 0.05);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(impedance_is_mikis),
        cmocka_unit_test(reflection_is_that_of_the_exact_integral),
        cmocka_unit_test(hard_ground_mirrors_and_soft_ground_swallows),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
