/* SPDX-License-Identifier: MIT */
/* Slopes are what small changes do, and stay defined at the edges. */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>

#include <cmocka.h>

#include "../near.h"
#include "chime_fixture.h"
#include "windpeal/tolerance.h"

/* Solves a set and tolerances of one of its tubes. */
static struct wp_tolerance solve(const struct wp_set *set, size_t tube, double *pitch_hz)
{
    struct wp_chime_config config;
    struct wp_chime *chime;
    struct wp_tolerance tolerance;
    wp_chime_config_default(&config);
    assert_int_equal(wp_chime_create(&chime, set, &config, NULL), WP_OK);
    wp_tolerance_solve(&tolerance, set, chime, tube);
    if (pitch_hz) {
        *pitch_hz = chime->tubes[tube].partials[tolerance.partial - 1].freq_hz;
    }
    wp_chime_destroy(chime);
    return tolerance;
}

static struct wp_set set_of_length(double length_m)
{
    static const double notes[1] = {440.0};
    struct wp_set set = plain_set(notes, 1);
    set.tubes[0].note_hz = NAN;
    set.tubes[0].length_m = length_m;
    return set;
}

/* Cents between a set's only tube and the same one changed. */
static double change(const struct wp_set *set, const struct wp_set *changed)
{
    double before_hz, after_hz;
    solve(set, 0, &before_hz);
    solve(changed, 0, &after_hz);
    return 1200.0 * log2(after_hz / before_hz);
}

static void slopes_tell_what_a_small_change_does(void **state)
{
    (void)state;
    const struct wp_set set = set_of_length(0.6);
    const struct wp_sensitivity slope = solve(&set, 0, NULL).sensitivity;
    struct wp_set changed = set;
    changed.tubes[0].wall_m += 1e-6;
    assert_near(change(&set, &changed), 0.01 * slope.wall_cents, 1e-4);
    changed = set;
    changed.tubes[0].outer_diameter_m += 1e-6;
    assert_near(change(&set, &changed), 0.01 * slope.diameter_cents, 1e-4);
    changed = set;
    changed.tubes[0].length_m += 1e-5;
    assert_near(change(&set, &changed), 0.01 * slope.length_cents, 1e-4);
    changed = set;
    changed.tubes[0].stiffness_ratio = 1.0001;
    assert_near(change(&set, &changed), 0.01 * slope.stiffness_cents, 1e-4);
    changed = set;
    changed.temperature_c += 0.1;
    assert_near(change(&set, &changed), 0.1 * slope.kelvin_cents, 1e-4);
}

/* A tube of 3 diameters, the shortest there is, and the coldest: one side of each difference is out
 * of reach. */
static void slopes_exist_at_the_edge_of_what_a_tube_can_be(void **state)
{
    (void)state;
    struct wp_set set = set_of_length(3.0 * 0.032);
    set.temperature_c = -60.0;
    const struct wp_sensitivity slope = solve(&set, 0, NULL).sensitivity;
    assert_true(slope.length_cents < 0.0 && slope.diameter_cents > 0.0);
    assert_true(isfinite(slope.wall_cents) && slope.kelvin_cents < 0.0);
    struct wp_set inside = set_of_length(3.001 * 0.032);
    inside.temperature_c = -59.0;
    const struct wp_sensitivity near = solve(&inside, 0, NULL).sensitivity;
    assert_near(slope.length_cents, near.length_cents, 0.01 * fabs(near.length_cents));
    assert_near(slope.diameter_cents, near.diameter_cents, 0.01 * fabs(near.diameter_cents));
    assert_near(slope.kelvin_cents, near.kelvin_cents, 0.02 * fabs(near.kelvin_cents));
}

/* A wall that all but fills the tube. */
static void slopes_exist_for_a_nearly_solid_tube(void **state)
{
    (void)state;
    struct wp_set set = set_of_length(0.6);
    set.tubes[0].wall_m = 0.015999999;
    const struct wp_sensitivity slope = solve(&set, 0, NULL).sensitivity;
    assert_true(isfinite(slope.wall_cents) && isfinite(slope.diameter_cents));
}

static void heard_pitch_of_a_long_tube_moves_with_its_fourth_partial(void **state)
{
    (void)state;
    struct wp_set set = set_of_length(1.8);
    assert_int_equal(solve(&set, 0, NULL).partial, 1);
    set.tuned_to = WP_TUNED_HEARD_PITCH;
    assert_int_equal(solve(&set, 0, NULL).partial, 4);
    set = set_of_length(0.6);
    set.tuned_to = WP_TUNED_HEARD_PITCH;
    assert_int_equal(solve(&set, 0, NULL).partial, 1);
}

/* 5 % of stiffness are 43 cents: 600 log2(1.05) and 600 log2(0.95) average to 43.3. */
static void stiffness_of_drawn_brass_decides(void **state)
{
    (void)state;
    struct wp_set set = set_of_length(0.6);
    (void)snprintf(set.tubes[0].material.name, sizeof set.tubes[0].material.name, "brass");
    const struct wp_tolerance t = solve(&set, 0, NULL);
    assert_near(t.stiffness_01, 0.05, 1e-12);
    assert_near(t.stocks[0].stiffness_cents, 43.3, 0.1);
    assert_true(t.stocks[0].stiffness_cents >
                hypot(t.stocks[0].diameter_cents, t.stocks[0].wall_cents));
}

static void given_constants_are_taken_as_measured(void **state)
{
    (void)state;
    struct wp_set set = set_of_length(0.6);
    set.tubes[0].material.is_custom = true;
    set.tubes[0].material.values =
        (struct wp_material){70e9, 2500.0, NAN, NAN, NAN, NAN, NAN, NAN, NAN};
    const struct wp_tolerance t = solve(&set, 0, NULL);
    assert_true(t.stiffness_01 == 0.0 && t.stocks[0].stiffness_cents == 0.0);
    assert_true(t.stocks[0].together_cents > 0.0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(slopes_tell_what_a_small_change_does),
        cmocka_unit_test(slopes_exist_at_the_edge_of_what_a_tube_can_be),
        cmocka_unit_test(slopes_exist_for_a_nearly_solid_tube),
        cmocka_unit_test(heard_pitch_of_a_long_tube_moves_with_its_fourth_partial),
        cmocka_unit_test(stiffness_of_drawn_brass_decides),
        cmocka_unit_test(given_constants_are_taken_as_measured),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
