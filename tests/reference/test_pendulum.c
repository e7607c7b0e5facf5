/* SPDX-License-Identifier: MIT */
/* The pendulum against mechanics texts. */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "../near.h"
#include "striker/air_drag.h"
#include "striker/pendulum.h"

static const double PI = 3.14159265358979323846;
static const double GRAVITY = 9.80665;

/* 60 g at 250 mm and a disc of 80 cm2 and 20 g at 550 mm. */
static struct wp_pendulum example(void)
{
    struct wp_pendulum pendulum = {
        .moment_n_m = GRAVITY * (0.060 * 0.25 + 0.020 * 0.55),
        .inertia_kg_m2 = 0.060 * 0.25 * 0.25 + 0.020 * 0.55 * 0.55,
    };
    wp_pendulum_reset(&pendulum);
    return pendulum;
}

/* Seconds a period: ten periods by the zero crossings of x, straight lines between the steps. */
static double measured_period(struct wp_pendulum *pendulum)
{
    const struct wp_breeze still = {{0.0, 0.0}, {0.0, 0.0}, 0.0};
    const double dt_s = 0.002;
    double first_s = -1.0;
    int n_crossings = 0;
    for (double t_s = 0.0;; t_s += dt_s) {
        const double before = pendulum->n[0];
        wp_pendulum_step(pendulum, &still, dt_s);
        if (before < 0.0 && pendulum->n[0] >= 0.0) {
            const double at_s = t_s + dt_s * before / (before - pendulum->n[0]);
            if (first_s < 0.0) {
                first_s = at_s;
            } else if (++n_crossings == 10) {
                return (at_s - first_s) / 10.0;
            }
        }
    }
}

/* L. D. Landau, E. M. Lifshitz, "Mechanics", section 11, problem 1, for a body instead of a point:
 * T = 2 pi sqrt(I / (g sum m l)) (1 + a^2 / 16) for a small amplitude a. */
static void period_is_the_one_of_the_texts(void **state)
{
    (void)state;
    struct wp_pendulum pendulum = example();
    const double small_s = 2.0 * PI *
                           sqrt((0.060 * 0.25 * 0.25 + 0.020 * 0.55 * 0.55) /
                                (GRAVITY * (0.060 * 0.25 + 0.020 * 0.55)));
    pendulum.n[0] = sin(0.001);
    pendulum.n[2] = cos(0.001);
    assert_true(fabs(measured_period(&pendulum) / small_s - 1.0) < 1e-6);
    wp_pendulum_reset(&pendulum);
    pendulum.n[0] = sin(0.2);
    pendulum.n[2] = cos(0.2);
    /* The next term of the series is 11 a^4 / 3072, 6e-6. */
    assert_true(fabs(measured_period(&pendulum) / (small_s * (1.0 + 0.04 / 16.0)) - 1.0) < 1e-5);
}

/* A conical pendulum goes round at omega^2 = g sum(m l) / (I cos(angle)) for thin bodies (the same
 * texts): its height stays. */
static void a_cone_stays_a_cone(void **state)
{
    (void)state;
    const struct wp_breeze still = {{0.0, 0.0}, {0.0, 0.0}, 0.0};
    struct wp_pendulum pendulum = example();
    const double angle = 0.5;
    const double omega = sqrt(pendulum.moment_n_m / (pendulum.inertia_kg_m2 * cos(angle)));
    pendulum.n[0] = sin(angle);
    pendulum.n[2] = cos(angle);
    pendulum.u_per_s[1] = omega * sin(angle);
    for (int i = 0; i < 2000; i++) {
        wp_pendulum_step(&pendulum, &still, 0.005);
        assert_true(fabs(pendulum.n[2] - cos(angle)) < 1e-6);
    }
    assert_true(fabs(atan2(pendulum.n[1], pendulum.n[0]) - remainder(omega * 10.0, 2.0 * PI)) <
                1e-4);
}

/* In a steady wind the moments balance: tan(angle) = drag * arm / (g sum m l), since the pull of
 * the drag is level at rest. */
static void a_steady_wind_holds_it_where_moments_balance(void **state)
{
    (void)state;
    for (double wind_m_s = 1.0; wind_m_s < 9.0; wind_m_s += 1.0) {
        const double denser = 0.02 * (wind_m_s - 4.0); /* -6 to +8 % */
        const struct wp_breeze breeze = {
            {0.6 * wind_m_s, 0.8 * wind_m_s}, {0.6 * wind_m_s, 0.8 * wind_m_s}, denser};
        struct wp_pendulum pendulum = example();
        const double drag_kg_m = 0.5 * 1.204 * 1.15 * 0.008;
        pendulum.drags[0] = (struct wp_drag){0.55, drag_kg_m};
        pendulum.damping_per_s = 1.0;
        for (int i = 0; i < 10000; i++) {
            wp_pendulum_step(&pendulum, &breeze, 0.01);
        }
        const double force_n = (1.0 + denser) * drag_kg_m * wind_m_s * wind_m_s;
        const double want = force_n * 0.55 / (GRAVITY * (0.060 * 0.25 + 0.020 * 0.55));
        assert_true(fabs(pendulum.n[0] / pendulum.n[2] - 0.6 * want) < 1e-6);
        assert_true(fabs(pendulum.n[1] / pendulum.n[2] - 0.8 * want) < 1e-6);
    }
}

/* ISO 2533:1975, Standard atmosphere: density at sea level and, from memory, at 1000 m (281.651 K,
 * 898.763 hPa). */
static void air_is_as_dense_as_the_standard_atmosphere(void **state)
{
    (void)state;
    assert_near(wp_air_density(15.0, WP_STANDARD_PA), 1.2250, 5e-5);
    assert_near(wp_air_density(281.651 - 273.15, 89876.3), 1.11166, 5e-5);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(period_is_the_one_of_the_texts),
        cmocka_unit_test(a_cone_stays_a_cone),
        cmocka_unit_test(a_steady_wind_holds_it_where_moments_balance),
        cmocka_unit_test(air_is_as_dense_as_the_standard_atmosphere),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
