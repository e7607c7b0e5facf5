/* SPDX-License-Identifier: MIT */
/* Claims about the temperature of a coil. */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "../near.h"
#include "striker/heat.h"

static const struct wp_heat cold = {
    .air_c = 20.0,
    .limit_c = 80.0,
    .capacity_j_k = 25.0,
    .resistance_k_w = 20.0,
    .coil_c = 20.0,
};

/* Newton's law of cooling: to 1 / e of the excess in one time constant, 500 s here. */
static void coil_cools_to_the_air(void **state)
{
    (void)state;
    struct wp_heat heat = cold;
    heat.coil_c = 70.0;
    wp_heat_cool(&heat, 500.0);
    assert_near(heat.coil_c, 20.0 + 50.0 * exp(-1.0), 1e-11);
    wp_heat_cool(&heat, 1e5);
    assert_near(heat.coil_c, 20.0, 1e-9);
}

/* In the steady state the excess is mean power times resistance: 2 W * 20 K/W. */
static void steady_power_settles_at_power_times_resistance(void **state)
{
    (void)state;
    struct wp_heat heat = cold;
    for (int i = 0; i < 100000; i++) {
        wp_heat_add(&heat, 0.5 * 0.1);
        wp_heat_cool(&heat, 0.05);
        wp_heat_add(&heat, 0.5 * 0.1);
    }
    assert_near(heat.coil_c, 60.0, 0.02);
}

static void waiting_is_just_long_enough(void **state)
{
    (void)state;
    struct wp_heat heat = cold;
    heat.coil_c = 79.9;
    const double wait_s = wp_heat_wait_s(&heat, 10.0);
    assert_true(wait_s > 0.0);
    struct wp_heat early = heat;
    wp_heat_cool(&early, 0.999 * wait_s);
    wp_heat_add(&early, 10.0);
    assert_true(early.coil_c > 80.0);
    wp_heat_cool(&heat, wait_s);
    wp_heat_add(&heat, 10.0);
    assert_true(heat.coil_c <= 80.0);
}

static void too_much_heat_is_never_allowed(void **state)
{
    (void)state;
    assert_true(isinf(wp_heat_wait_s(&cold, 60.0 * 25.0)));
    assert_near(wp_heat_wait_s(&cold, 59.0 * 25.0), 0.0, 0.0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(coil_cools_to_the_air),
        cmocka_unit_test(steady_power_settles_at_power_times_resistance),
        cmocka_unit_test(waiting_is_just_long_enough),
        cmocka_unit_test(too_much_heat_is_never_allowed),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
