/* SPDX-License-Identifier: MIT */
/* Slopes of the pitch against closed forms and a second solution; tolerances against printed
 * tables. */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "../near.h"
#include "tube/stock.h"
#include "windpeal/chime.h"
#include "windpeal/tolerance.h"

/* Cents of a natural logarithm of frequencies. */
static const double CENTS = 1731.2340490667562;

static const double INCH_M = 0.0254;

/* The tolerances of one tube of constant E and alpha in a vacuum. */
static struct wp_tolerance solve(double outer_diameter_m, double wall_m, double length_m)
{
    struct wp_set set;
    struct wp_chime_config config;
    struct wp_chime *chime;
    struct wp_tolerance tolerance;
    wp_set_default(&set);
    set.n_tubes = 1;
    struct wp_set_tube *tube = &set.tubes[0];
    tube->outer_diameter_m = outer_diameter_m;
    tube->wall_m = wall_m;
    tube->is_solid = wall_m >= 0.5 * outer_diameter_m;
    tube->length_m = length_m;
    tube->material.is_custom = true;
    tube->material.values = (struct wp_material){
        68.9e9, 2700.0, 0.33, 1e-4, 23.4e-6, -5e-4, NAN, NAN, NAN,
    };
    wp_chime_config_default(&config);
    config.without_air_mass = true;
    assert_int_equal(wp_chime_create(&chime, &set, &config, NULL), WP_OK);
    wp_tolerance_solve(&tolerance, &set, chime, 0);
    wp_chime_destroy(chime);
    return tolerance;
}

/*
 * Euler and Bernoulli's beam: f = x^2/(2 pi L^2) sqrt(E I/(rho A)) with I/A = (ro^2 + ri^2)/4, so
 * that ln f moves by -2 dL/L, dE/(2 E), -ri dh/(ro^2 + ri^2) for the wall h and
 * (ro + ri) dD/(2 (ro^2 + ri^2)) for the outer diameter D at a given wall. A tube of 400 diameters
 * is so slender that shear and rotary inertia move these by less than 1e-4 of themselves.
 */
static void slender_tube_has_the_slopes_of_euler_and_bernoulli(void **state)
{
    (void)state;
    const double ro = 0.005, ri = 0.0042, length_m = 4.0;
    const struct wp_tolerance t = solve(2.0 * ro, ro - ri, length_m);
    const double squares = ro * ro + ri * ri;
    assert_int_equal(t.partial, 1);
    assert_near(t.sensitivity.length_cents, -2.0 * CENTS * 1e-3 / length_m, 1e-4);
    assert_near(t.sensitivity.stiffness_cents, 0.5 * CENTS * 0.01, 1e-5);
    assert_near(t.sensitivity.wall_cents, -CENTS * ri * 1e-4 / squares, 2e-3);
    assert_near(t.sensitivity.diameter_cents, 0.5 * CENTS * (ro + ri) * 1e-4 / squares, 2e-3);
}

/* A rod: I/A = D^2/16, so ln f moves by dD/D; it has no wall to vary. */
static void slender_rod_goes_with_its_diameter(void **state)
{
    (void)state;
    const struct wp_tolerance t = solve(0.010, 0.005, 4.0);
    assert_near(t.sensitivity.diameter_cents, CENTS * 1e-4 / 0.010, 2e-3);
    assert_true(isnan(t.sensitivity.wall_cents));
}

/* ln f moves by ((dE/dT)/E + alpha)/2 a kelvin when every size expands (dimensional analysis). */
static void pitch_falls_with_temperature_as_stiffness_and_expansion_say(void **state)
{
    (void)state;
    const struct wp_tolerance t = solve(0.0254, 0.00165, 0.6);
    assert_near(t.sensitivity.kelvin_cents, 0.5 * CENTS * (-5e-4 + 23.4e-6), 1e-3);
}

/*
 * Timoshenko's beam with Hutchinson's coefficient, by numerical integration of the first-order
 * system (scipy's matrix exponential, Brent's root) and central differences: aluminium tube of 25.4
 * mm x 1.65 mm x 600 mm in a vacuum. No code is shared.
 */
static void ordinary_tube_has_the_slopes_of_a_second_solution(void **state)
{
    (void)state;
    const struct wp_tolerance t = solve(0.0254, 0.00165, 0.6);
    assert_near(t.sensitivity.wall_cents, -6.60429, 1e-4);
    assert_near(t.sensitivity.diameter_cents, 7.10647, 1e-4);
    assert_near(t.sensitivity.length_cents, -5.71218, 1e-4);
    assert_near(t.sensitivity.stiffness_cents, 8.65617, 1e-4);
}

static struct wp_stock stock(enum wp_stock_kind kind, size_t index, double diameter_m,
                             double wall_m)
{
    struct wp_stock stocks[WP_STOCKS_MAX];
    const size_t n_stocks = wp_stock_list(kind, false, diameter_m, wall_m, stocks);
    assert_true(index < n_stocks);
    return stocks[index];
}

/*
 * ANSI H35.2, standard tolerances of extruded round tube, alloys other than 5083, 5086 and 5454, as
 * two merchants print them: mean diameter, mean wall, both in inches. One row for each corner of
 * the tables.
 */
static void extruded_tube_keeps_the_printed_table(void **state)
{
    (void)state;
    static const double rows[][4] = {
        {0.5, 0.049, 0.010, 0.007}, {0.999, 0.035, 0.010, 0.006}, {1.0, 0.065, 0.012, 0.008},
        {1.0, 0.083, 0.012, 0.009}, {1.25, 0.058, 0.012, 0.008},  {1.5, 0.125, 0.012, 0.009},
        {2.0, 0.250, 0.015, 0.011}, {2.5, 0.375, 0.015, 0.015},   {3.5, 0.065, 0.015, 0.009},
        {4.0, 0.125, 0.025, 0.013}, {4.5, 0.400, 0.025, 0.021},   {6.0, 0.100, 0.035, 0.015},
        {8.0, 0.250, 0.045, 0.025}, {11.0, 0.060, 0.055, 0.010},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        const struct wp_stock got =
            stock(WP_STOCK_ALUMINIUM, 0, rows[i][0] * INCH_M, rows[i][1] * INCH_M);
        assert_near(got.diameter_m, rows[i][2] * INCH_M, 1e-9);
        assert_near(got.wall_m, rows[i][3] * INCH_M, 1e-9);
        assert_near(got.bore_offset_01, 0.10,
                    1e-12); /* "plus and minus 10 % of mean" at any point */
        assert_false(got.is_from_memory);
    }
}

/* EN 10305-1: the wall to 10 %, at least 0.1 mm (as a mill's handbook of 2018 gives it). */
static void precision_steel_tube_keeps_a_tenth_of_its_wall(void **state)
{
    (void)state;
    assert_near(stock(WP_STOCK_STEEL, 0, 0.025, 0.0005).wall_m, 0.0001, 1e-12);
    assert_near(stock(WP_STOCK_STEEL, 0, 0.025, 0.002).wall_m, 0.0002, 1e-12);
}

/* Independent errors add as their squares (common practice of error propagation, no source). */
static void effects_add_as_squares(void **state)
{
    (void)state;
    const struct wp_tolerance t = solve(0.0254, 0.00165, 0.6);
    const struct wp_stock_effect *effect = &t.stocks[0];
    assert_near(effect->diameter_cents,
                fabs(t.sensitivity.diameter_cents) * effect->stock.diameter_m / 1e-4, 1e-9);
    assert_near(effect->together_cents * effect->together_cents,
                effect->diameter_cents * effect->diameter_cents +
                    effect->wall_cents * effect->wall_cents,
                1e-9); /* the E of a mapping is given: nothing of stiffness */
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(slender_tube_has_the_slopes_of_euler_and_bernoulli),
        cmocka_unit_test(slender_rod_goes_with_its_diameter),
        cmocka_unit_test(pitch_falls_with_temperature_as_stiffness_and_expansion_say),
        cmocka_unit_test(ordinary_tube_has_the_slopes_of_a_second_solution),
        cmocka_unit_test(extruded_tube_keeps_the_printed_table),
        cmocka_unit_test(precision_steel_tube_keeps_a_tenth_of_its_wall),
        cmocka_unit_test(effects_add_as_squares),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
