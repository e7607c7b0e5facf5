/* SPDX-License-Identifier: MIT */
/* All tubes of a set. */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>

#include "chime_fixture.h"

static const double SIX[6] = {220.0, 261.6256, 293.6648, 329.6276, 391.9954, 440.0};

static void set_of_notes_sounds_those_notes(void **state)
{
    (void)state;
    const struct wp_set set = plain_set(SIX, 6);
    struct wp_diags diags;
    struct wp_chime *chime;
    assert_int_equal(solve_plainly(&chime, &set, &diags), WP_OK);
    double kg = 0.0, metres = 0.0;
    for (size_t i = 0; i < 6; i++) {
        const struct wp_tube *tube = &chime->tubes[i];
        assert_true(fabs(1200.0 * log2(tube->partials[0].freq_hz / SIX[i])) < 1e-3);
        assert_true(tube->spec.length_m == chime->exact_length_m[i]);
        assert_true(chime->rounding_cents[i] == 0.0);
        kg += tube->mass_kg;
        metres += tube->spec.length_m;
    }
    assert_true(fabs(chime->hanging_kg - kg) < 1e-12);
    assert_true(fabs(chime->stock_m - metres) < 1e-12);
    assert_int_equal(diags.n_items, 0);
    wp_chime_destroy(chime);
}

static void rule_rounds_lengths_and_says_what_it_costs(void **state)
{
    (void)state;
    const struct wp_set set = plain_set(SIX, 6);
    struct wp_chime_config config;
    struct wp_chime *chime;
    wp_chime_config_default(&config);
    config.rule_m = 0.001;
    assert_int_equal(wp_chime_create(&chime, &set, &config, NULL), WP_OK);
    for (size_t i = 0; i < 6; i++) {
        const struct wp_tube *tube = &chime->tubes[i];
        const double marks = tube->spec.length_m / 0.001;
        assert_true(fabs(marks - round(marks)) < 1e-9);
        assert_true(fabs(tube->spec.length_m - chime->exact_length_m[i]) <= 0.0005 + 1e-9);
        const double cost = 1200.0 * log2(tube->partials[0].freq_hz / SIX[i]);
        assert_true(fabs(cost - chime->rounding_cents[i]) < 1e-3);
    }
    wp_chime_destroy(chime);
}

/* A rod weighs rho pi D^2 L / 4. */
static void given_length_and_solid_rod_are_kept(void **state)
{
    (void)state;
    struct wp_set set = plain_set(SIX, 1);
    struct wp_chime_config config;
    struct wp_chime *chime;
    wp_chime_config_default(&config);
    set.tubes[0].is_solid = true;
    set.tubes[0].note_hz = NAN;
    set.tubes[0].length_m = 0.5003;
    config.rule_m = 0.001;
    assert_int_equal(wp_chime_create(&chime, &set, &config, NULL), WP_OK);
    assert_true(chime->tubes[0].spec.length_m == 0.5003);
    assert_true(chime->rounding_cents[0] == 0.0);
    assert_true(fabs(chime->hanging_kg / (2700.0 * M_PI * 0.016 * 0.016 * 0.5003) - 1) < 1e-9);
    wp_chime_destroy(chime);
}

static void tubes_of_a_set_are_soft_in_different_directions(void **state)
{
    (void)state;
    const struct wp_set set = plain_set(SIX, 6);
    struct wp_chime *chime, *again;
    assert_int_equal(solve_plainly(&chime, &set, NULL), WP_OK);
    assert_int_equal(solve_plainly(&again, &set, NULL), WP_OK);
    for (size_t i = 0; i < 6; i++) {
        assert_true(chime->tubes[i].axis_deg == again->tubes[i].axis_deg);
        for (size_t j = 0; j < i; j++) {
            const double apart = fabs(chime->tubes[i].axis_deg - chime->tubes[j].axis_deg);
            assert_true(fabs(remainder(apart, 180.0)) > 10.0);
        }
    }
    wp_chime_destroy(chime);
    wp_chime_destroy(again);
}

/* Where a set says how its tubes are held and plugged, each of them is. */
static void tubes_are_held_and_plugged_as_the_set_says(void **state)
{
    (void)state;
    struct wp_set set = plain_set(SIX, 6);
    struct wp_chime *hanging, *held;
    assert_int_equal(solve_plainly(&hanging, &set, NULL), WP_OK);
    set.layout.is_held_rigid = true;
    set.layout.mount_resistance_kg_s = 2.0;
    set.tubes[3].end_mass_kg = 0.004;
    set.tubes[3].plug_length_m = 0.03;
    assert_int_equal(solve_plainly(&held, &set, NULL), WP_OK);
    for (size_t i = 0; i < 6; i++) {
        assert_true(held->tubes[i].spec.is_held_rigid);
        assert_true(held->tubes[i].partials[1].t60_s < 0.5 * hanging->tubes[i].partials[1].t60_s);
    }
    assert_true(held->tubes[3].spec.plug_length_m == 0.03);
    assert_true(held->tubes[3].spec.length_m < hanging->tubes[3].spec.length_m);
    wp_chime_destroy(hanging);
    wp_chime_destroy(held);
}

static void soft_direction_is_what_the_set_says(void **state)
{
    (void)state;
    struct wp_set set = plain_set(SIX, 6);
    struct wp_chime *chime;
    set.tubes[1].soft_direction_deg = 30.0;
    set.tubes[2].soft_direction_deg = -30.0;
    assert_int_equal(solve_plainly(&chime, &set, NULL), WP_OK);
    assert_true(fabs(chime->tubes[1].axis_deg - 30.0) < 1e-9);
    assert_true(fabs(chime->tubes[2].axis_deg - 330.0) < 1e-9);
    assert_true(fabs(chime->tubes[0].axis_deg - 137.50776405) < 1e-6); /* the golden angle */
    wp_chime_destroy(chime);
}

static void misspelt_material_is_reported_once_with_the_nearest(void **state)
{
    (void)state;
    struct wp_set set = plain_set(SIX, 6);
    struct wp_diags diags;
    for (size_t i = 0; i < 6; i++) {
        (void)snprintf(set.tubes[i].material.name, sizeof set.tubes[i].material.name,
                       "alluminium 6063-T6");
    }
    wp_diags_init(&diags);
    assert_int_equal(wp_chime_check(&set, &diags), WP_E_UNKNOWN_NAME);
    assert_int_equal(diags.n_items, 1);
    assert_int_equal(diags.items[0].mark.line, 3);
    assert_string_equal(diags.items[0].file, "garden.yaml");
    assert_non_null(strstr(diags.items[0].message, "alluminium 6063-T6"));
    assert_non_null(strstr(diags.items[0].hint, "did you mean 'aluminium 6063-T6'"));
    assert_non_null(strstr(diags.items[0].hint, "titanium"));
    assert_non_null(strstr(diags.items[0].hint, "borosilicate glass")); /* whole list fits */

    struct wp_chime *chime;
    assert_int_equal(solve_plainly(&chime, &set, &diags), WP_E_UNKNOWN_NAME);
    assert_null(chime);
}

static void material_of_one_tube_is_reported_at_its_own_place(void **state)
{
    (void)state;
    struct wp_set set = plain_set(SIX, 6);
    struct wp_diags diags;
    (void)snprintf(set.tubes[2].material.name, sizeof set.tubes[2].material.name, "unobtainium");
    set.tubes[2].material.mark = (struct wp_mark){20, 7};
    wp_diags_init(&diags);
    assert_int_equal(wp_chime_check(&set, &diags), WP_E_UNKNOWN_NAME);
    assert_int_equal(diags.n_items, 1);
    assert_int_equal(diags.items[0].mark.line, 20);
    assert_null(strstr(diags.items[0].hint, "did you mean"));
    assert_non_null(strstr(diags.items[0].hint, "known: aluminium"));
}

/* All notes out of reach in one run, each at its own mark, with what can be had. */
static void note_out_of_reach_is_reported_with_the_reach(void **state)
{
    (void)state;
    static const double notes[3] = {440.0, 60e3, 0.5};
    const struct wp_set set = plain_set(notes, 3);
    struct wp_diags diags;
    struct wp_chime *chime;
    assert_int_equal(solve_plainly(&chime, &set, &diags), WP_E_RANGE);
    assert_null(chime);
    assert_int_equal(diags.n_errors, 2);
    assert_int_equal(diags.items[0].mark.column, 15);
    assert_non_null(strstr(diags.items[0].message, "note N2 is out of reach of tube 2"));
    assert_non_null(strstr(diags.items[0].message, "expected"));
    assert_non_null(strstr(diags.items[0].hint, "narrower"));
    assert_non_null(strstr(diags.items[1].hint, "higher octave"));
}

static void impossible_geometry_is_reported_at_its_place(void **state)
{
    (void)state;
    struct wp_diags diags;
    struct wp_chime *chime;
    struct wp_set set = plain_set(SIX, 2);
    set.tubes[1].wall_m = 0.017;
    assert_int_equal(solve_plainly(&chime, &set, &diags), WP_E_RANGE);
    assert_int_equal(diags.n_items, 1);
    assert_int_equal(diags.items[0].mark.line, 5);
    assert_non_null(strstr(diags.items[0].message, "tube 2 cannot be: the wall"));

    set = plain_set(SIX, 2);
    set.tubes[1].plug_length_m = 0.02;
    set.tubes[1].mark_plug = (struct wp_mark){8, 16};
    assert_int_equal(solve_plainly(&chime, &set, &diags), WP_E_RANGE);
    assert_int_equal(diags.n_items, 1);
    assert_int_equal(diags.items[0].mark.line, 8);
    assert_non_null(strstr(diags.items[0].message, "tube 2 cannot be: a plug without an end mass"));

    set = plain_set(SIX, 2);
    set.tubes[0].note_hz = NAN;
    set.tubes[0].length_m = 0.6;
    set.tubes[0].end_mass_kg = 0.5; /* twice what 0.6 m of such tube weigh */
    set.tubes[0].mark_end_mass = (struct wp_mark){7, 14};
    assert_int_equal(solve_plainly(&chime, &set, &diags), WP_E_RANGE);
    assert_int_equal(diags.n_items, 1);
    assert_int_equal(diags.items[0].mark.line, 7);

    set = plain_set(SIX, 2);
    set.is_supported_at_node = false;
    set.support_m = 5.0;
    assert_int_equal(solve_plainly(&chime, &set, &diags), WP_E_RANGE);
    assert_int_equal(diags.items[0].mark.line, 9);
    assert_int_equal(diags.n_items, 1); /* both tubes share the mistake */
}

static void impossible_material_is_reported_at_its_place_once(void **state)
{
    (void)state;
    struct wp_diags diags;
    struct wp_chime *chime;
    struct wp_set set = plain_set(SIX, 2);
    for (size_t i = 0; i < 2; i++) {
        set.tubes[i].material.is_custom = true;
        set.tubes[i].material.mark = (struct wp_mark){3, 13};
        set.tubes[i].material.values =
            (struct wp_material){70e9, 2500.0, NAN, 2.0, NAN, NAN, NAN, NAN, NAN};
    }
    assert_int_equal(solve_plainly(&chime, &set, &diags), WP_E_RANGE);
    assert_int_equal(diags.n_items, 1);
    assert_int_equal(diags.items[0].mark.line, 3);
    assert_non_null(strstr(diags.items[0].message, "the loss factor"));
}

static void end_mass_that_hinders_a_note_is_named(void **state)
{
    (void)state;
    struct wp_diags diags;
    struct wp_chime *chime;
    struct wp_set set = plain_set(SIX, 1);
    set.tubes[0].end_mass_kg = 2.0;
    assert_int_equal(solve_plainly(&chime, &set, &diags), WP_E_RANGE);
    assert_non_null(strstr(diags.items[0].message, "with an end mass of 2000.0 g"));
}

static void custom_material_needs_only_stiffness_and_density(void **state)
{
    (void)state;
    struct wp_set set = plain_set(SIX, 1);
    struct wp_chime *chime;
    set.tubes[0].material.is_custom = true;
    set.tubes[0].material.values =
        (struct wp_material){70e9, 2500.0, NAN, NAN, NAN, NAN, NAN, NAN, NAN};
    assert_int_equal(solve_plainly(&chime, &set, NULL), WP_OK);
    assert_true(chime->tubes[0].spec.material.poisson_ratio == 0.33);
    assert_true(chime->tubes[0].partials[0].losses.thermoelastic == 0.0);
    assert_true(isfinite(chime->tubes[0].partials[0].t60_s));
    wp_chime_destroy(chime);
    set.tubes[0].material.values.young_modulus_pa = NAN;
    assert_int_equal(solve_plainly(&chime, &set, NULL), WP_E_RANGE);
}

static void destroying_nothing_is_allowed(void **state)
{
    (void)state;
    wp_chime_destroy(NULL);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(set_of_notes_sounds_those_notes),
        cmocka_unit_test(rule_rounds_lengths_and_says_what_it_costs),
        cmocka_unit_test(given_length_and_solid_rod_are_kept),
        cmocka_unit_test(tubes_are_held_and_plugged_as_the_set_says),
        cmocka_unit_test(soft_direction_is_what_the_set_says),
        cmocka_unit_test(tubes_of_a_set_are_soft_in_different_directions),
        cmocka_unit_test(misspelt_material_is_reported_once_with_the_nearest),
        cmocka_unit_test(material_of_one_tube_is_reported_at_its_own_place),
        cmocka_unit_test(note_out_of_reach_is_reported_with_the_reach),
        cmocka_unit_test(impossible_geometry_is_reported_at_its_place),
        cmocka_unit_test(impossible_material_is_reported_at_its_place_once),
        cmocka_unit_test(end_mass_that_hinders_a_note_is_named),
        cmocka_unit_test(custom_material_needs_only_stiffness_and_density),
        cmocka_unit_test(destroying_nothing_is_allowed),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
