/* SPDX-License-Identifier: MIT */
/* Where the cord holds and what it takes. */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "tube/beam.h"
#include "tube/section.h"
#include "tube/support.h"

static struct wp_tube solved(double support_m, double cord_kg_m)
{
    const struct wp_tube_spec spec = {
        .material = {68.9e9, 2700.0, 0.33, 1e-4, 23.4e-6, -5e-4, 200.0, 900.0, NAN},
        .outer_diameter_m = 0.0254,
        .wall_m = 0.00165,
        .length_m = 0.6,
        .temperature_c = 20.0,
        .is_supported_at_node = isnan(support_m),
        .support_m = support_m,
        .cord_kg_m = cord_kg_m,
    };
    struct wp_tube tube;
    assert_int_equal(wp_tube_solve(&tube, &spec, 1.0), WP_OK);
    return tube;
}

/* 0.2242 of the length for the slender bar (Rayleigh 1877); shear moves it outwards a little. */
static void node_lies_near_rayleighs(void **state)
{
    (void)state;
    const struct wp_tube tube = solved(NAN, 1e-3);
    assert_true(fabs(tube.support_m[0] / 0.6 - 0.2243) < 0.0003);
    assert_true(fabs(tube.support_m[0] + tube.support_m[1] - 0.6) < 1e-9);
    assert_true(fabs(wp_shape_at(&tube.partials[0].shape, tube.support_m[0] / 0.6)) < 1e-9);
}

static void given_distance_is_kept_from_both_ends(void **state)
{
    (void)state;
    const struct wp_tube tube = solved(0.06, 1e-3);
    assert_true(fabs(tube.support_m[0] - 0.06) < 1e-12);
    assert_true(fabs(tube.support_m[1] - 0.54) < 1e-12);
}

static void first_partial_rings_longest_from_its_node(void **state)
{
    (void)state;
    const double at_node = solved(NAN, 1e-3).partials[0].t60_s;
    assert_true(at_node > solved(0.06, 1e-3).partials[0].t60_s);
    assert_true(at_node > solved(0.11, 1e-3).partials[0].t60_s);
}

/* Even at its node the cord takes something: the section turns there. */
static void first_partial_does_not_ring_for_ever(void **state)
{
    (void)state;
    const struct wp_losses held = solved(NAN, 1e-3).partials[0].losses;
    assert_true(held.support > 1e-6);
    assert_true(solved(NAN, 2e-3).partials[0].losses.support > 1.9 * held.support);
    assert_true(solved(NAN, 0.0).partials[0].losses.support == 0.0);
}

static void upper_node_moves_towards_an_end_mass(void **state)
{
    (void)state;
    struct wp_tube_spec spec = solved(NAN, 1e-3).spec;
    struct wp_tube loaded;
    spec.end_mass_kg = 0.02;
    assert_int_equal(wp_tube_solve(&loaded, &spec, 1.0), WP_OK);
    assert_true(loaded.support_m[0] < 0.22 * 0.6);
    assert_true(fabs(wp_shape_at(&loaded.partials[0].shape, loaded.support_m[1] / 0.6)) < 1e-9);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(node_lies_near_rayleighs),
        cmocka_unit_test(given_distance_is_kept_from_both_ends),
        cmocka_unit_test(first_partial_rings_longest_from_its_node),
        cmocka_unit_test(first_partial_does_not_ring_for_ever),
        cmocka_unit_test(upper_node_moves_towards_an_end_mass),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
