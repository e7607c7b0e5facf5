/* SPDX-License-Identifier: MIT */
/* Claims about force, current and heat of a coil. */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "../near.h"
#include "striker/coil.h"

static const struct wp_coil opposed = {
    .force_n = 6.0,
    .current_a = 0.6,
    .reach_m = 0.015,
    .gap_m = 0.008,
    .supply_v = 24.0,
    .ohm_20c = 40.0,
    .inductance_h = 0.1,
};

static void force_on_the_axis_falls_with_the_fourth_power(void **state)
{
    (void)state;
    struct wp_coil coil = opposed;
    for (int i = 0; i < 20; i++) {
        coil.gap_m = 0.002 * i;
        const double fall = 1.0 + coil.gap_m / 0.015;
        const struct wp_coil_force force = wp_coil_force_at(&coil, 0.0, 0.6);
        assert_near(force.axial_n, 6.0 / (fall * fall * fall * fall), 1e-12);
        assert_near(force.lateral_n, 0.0, 0.0);
    }
}

static void force_grows_with_the_square_of_the_current(void **state)
{
    (void)state;
    const double once = wp_coil_force_at(&opposed, 0.002, 0.3).lateral_n;
    assert_near(wp_coil_force_at(&opposed, 0.002, 0.9).lateral_n, 9.0 * once, 1e-12);
}

/* The energy k (2 z^2 - x^2) / r^5 of two parallel dipoles (Jackson, "Classical Electrodynamics",
 * section 5.7), differentiated numerically; 0.2025 at x / d = 0.1. */
static double dipole_energy(double x, double z)
{
    return (2.0 * z * z - x * x) / pow(x * x + z * z, 2.5);
}

static void sideways_share_is_that_of_two_dipoles(void **state)
{
    (void)state;
    const double d = opposed.gap_m + opposed.reach_m;
    const double h = 1e-5;
    for (int i = 1; i < 15; i++) {
        const double x = 0.05 * i;
        const struct wp_coil_force force = wp_coil_force_at(&opposed, x * d, 0.6);
        const double lateral = dipole_energy(x + h, 1.0) - dipole_energy(x - h, 1.0);
        const double axial = dipole_energy(x, 1.0 + h) - dipole_energy(x, 1.0 - h);
        assert_near(force.lateral_n / force.axial_n, lateral / axial, 1e-6 * lateral / axial);
    }
    const struct wp_coil_force tenth = wp_coil_force_at(&opposed, 0.1 * d, 0.6);
    assert_near(tenth.lateral_n / tenth.axial_n, 0.2025, 0.0001);
    const struct wp_coil_force first = wp_coil_force_at(&opposed, 1e-4 * d, 0.6);
    assert_near(first.lateral_n / first.axial_n, 2e-4, 1e-11);
}

static void opposed_coils_push_outwards_and_steel_is_drawn_in(void **state)
{
    (void)state;
    struct wp_coil steel = opposed;
    steel.is_on_steel = true;
    assert_true(wp_coil_force_at(&opposed, 0.003, 0.6).lateral_n > 0.0);
    assert_true(wp_coil_force_at(&steel, 0.003, 0.6).lateral_n < 0.0);
    assert_true(wp_coil_force_at(&steel, 0.003, 0.6).axial_n < 0.0);
}

static void current_rises_and_falls_with_its_time_constant(void **state)
{
    (void)state;
    const struct wp_pulse pulse = {1.0, 0.0025, 20.0}; /* as long as L / R */
    assert_near(wp_coil_current(&opposed, &pulse, 0.0), 0.0, 0.0);
    assert_near(wp_coil_current(&opposed, &pulse, 0.0025), 0.6 * (1.0 - exp(-1.0)), 1e-12);
    assert_near(wp_coil_current(&opposed, &pulse, 0.005), 0.6 * (1.0 - exp(-1.0)) * exp(-1.0),
                1e-12);
    const struct wp_pulse half = {0.5, 1.0, 20.0};
    assert_near(wp_coil_current(&opposed, &half, 0.5), 0.3, 1e-12);
}

/* Copper: 0.393 % a kelvin at 20 C (IEC 60028:1925, from memory). */
static void warm_copper_takes_less_current(void **state)
{
    (void)state;
    assert_near(wp_coil_ohm(&opposed, 120.0), 40.0 * 1.393, 1e-12);
    const struct wp_pulse pulse = {1.0, 1.0, 120.0};
    assert_near(wp_coil_current(&opposed, &pulse, 1.0), 0.6 / 1.393, 1e-12);
}

static void heat_is_the_sum_of_the_current_squared(void **state)
{
    (void)state;
    const double lengths_s[] = {0.0005, 0.004, 0.06};
    for (size_t k = 0; k < 3; k++) {
        const struct wp_pulse pulse = {0.7, lengths_s[k], 60.0};
        const double dt_s = 1e-6;
        double heat_j = 0.0;
        for (int i = 0; i < 110000; i++) {
            const double i_a = wp_coil_current(&opposed, &pulse, dt_s * (i + 0.5));
            heat_j += dt_s * i_a * i_a * wp_coil_ohm(&opposed, 60.0);
        }
        assert_near(wp_coil_heat_j(&opposed, &pulse), heat_j, 1e-6 * heat_j);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(force_on_the_axis_falls_with_the_fourth_power),
        cmocka_unit_test(force_grows_with_the_square_of_the_current),
        cmocka_unit_test(sideways_share_is_that_of_two_dipoles),
        cmocka_unit_test(opposed_coils_push_outwards_and_steel_is_drawn_in),
        cmocka_unit_test(current_rises_and_falls_with_its_time_constant),
        cmocka_unit_test(warm_copper_takes_less_current),
        cmocka_unit_test(heat_is_the_sum_of_the_current_squared),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
