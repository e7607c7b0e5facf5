/* SPDX-License-Identifier: MIT */
/* Claims about striker materials and their look-up. */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "../near.h"
#include "striker_fixture.h"

static void every_material_is_complete_and_found_by_its_name(void **state)
{
    (void)state;
    size_t n = 0;
    for (const char *name; (name = wp_striker_material_name(n)) != NULL; n++) {
        const struct wp_material *m = wp_striker_material_find(name);
        assert_non_null(m);
        assert_true(m->young_modulus_pa >= 1e6 && m->young_modulus_pa <= 250e9);
        assert_true(m->density_kg_m3 > 100.0 && m->density_kg_m3 < 9000.0);
        assert_true(m->poisson_ratio >= 0.0 && m->poisson_ratio < 0.5);
        assert_true(m->restitution > 0.2 && m->restitution < 0.95);
    }
    assert_true(n >= 12);
}

static void names_ignore_case_and_blanks(void **state)
{
    (void)state;
    const struct wp_material *m = wp_striker_material_find("polyurethane 85A");
    assert_non_null(m);
    assert_ptr_equal(wp_striker_material_find(" Polyurethane   85a "), m);
    assert_ptr_equal(wp_striker_material_find("HARDWOOD"), wp_striker_material_find("hardwood"));
    assert_null(wp_striker_material_find("polyurethane85A"));
    assert_null(wp_striker_material_find("polyurethane 85"));
    assert_null(wp_striker_material_find("hardwoods"));
    assert_null(wp_striker_material_find(""));
}

/* A. N. Gent, IRI Trans. 34 (1958) 46: static modulus of rubber by Shore A hardness, in MPa. */
static double gent_pa(double shore)
{
    return 1e6 * 0.0981 * (56.0 + 7.62336 * shore) / (0.137505 * (254.0 - 2.54 * shore));
}

/* A blow meets rubber stiffer than its static modulus, by less than a factor of three. */
static void rubbers_lie_above_their_static_modulus(void **state)
{
    (void)state;
    static const char *const names[] = {"soft rubber", "hard rubber", "polyurethane 85A",
                                        "polyurethane 95A"};
    static const double shore[] = {50.0, 80.0, 85.0, 95.0};
    for (size_t i = 0; i < 4; i++) {
        const double ratio =
            wp_striker_material_find(names[i])->young_modulus_pa / gent_pa(shore[i]);
        assert_true(ratio > 1.0 && ratio < 3.0);
    }
}

/* CRC Handbook of Chemistry and Physics, from memory: steel 200 GPa, brass 100 to 110, aluminium
 * alloy 69; within 3 %, 5 % and 2 %. */
static void metals_have_handbook_stiffness(void **state)
{
    (void)state;
    assert_near(wp_striker_material_find("steel")->young_modulus_pa, 200e9, 6e9);
    assert_near(wp_striker_material_find("brass")->young_modulus_pa, 105e9, 5e9);
    assert_near(wp_striker_material_find("aluminium")->young_modulus_pa, 69e9, 1.4e9);
}

static void named_striker_takes_the_tables_values(void **state)
{
    (void)state;
    struct fixture f;
    fixture_set(&f);
    f.set.striker.is_ideal_contact = true;
    assert_int_equal(wp_striker_init(&f.striker, &f.set, &f.diags), WP_OK);
    assert_memory_equal(&f.striker.material, wp_striker_material_find("hardwood"),
                        sizeof f.striker.material);
    assert_near(f.striker.diameter_m, 0.07, 0.0);
    assert_near(f.striker.mass_kg, 0.06, 0.0);
    assert_true(f.striker.is_ideal);
    assert_int_equal(f.diags.n_items, 0);
}

static void misspelt_material_is_refused_with_the_nearest(void **state)
{
    (void)state;
    struct fixture f;
    fixture_set(&f);
    snprintf(f.set.striker.material.name, sizeof f.set.striker.material.name, "hardwod");
    assert_int_equal(wp_striker_init(&f.striker, &f.set, &f.diags), WP_E_UNKNOWN_NAME);
    assert_int_equal(f.diags.n_errors, 1);
    assert_int_equal(f.diags.items[0].mark.line, 15);
    assert_int_equal(f.diags.items[0].mark.column, 13);
    assert_non_null(strstr(f.diags.items[0].message, "'hardwod'"));
    assert_non_null(strstr(f.diags.items[0].hint, "'hardwood'"));
}

static void strange_material_is_refused_with_the_whole_list(void **state)
{
    (void)state;
    struct fixture f;
    fixture_set(&f);
    snprintf(f.set.striker.material.name, sizeof f.set.striker.material.name, "moonlight");
    assert_int_equal(wp_striker_init(&f.striker, &f.set, &f.diags), WP_E_UNKNOWN_NAME);
    for (size_t i = 0; wp_striker_material_name(i); i++) {
        assert_non_null(strstr(f.diags.items[0].hint, wp_striker_material_name(i)));
    }
}

static void custom(struct fixture *f, double young_pa, double poisson, double restitution)
{
    fixture_set(f);
    f->set.striker.material.is_custom = true;
    f->set.striker.material.values = (struct wp_material){
        .young_modulus_pa = young_pa, .poisson_ratio = poisson, .restitution = restitution};
}

static void values_stand_in_for_a_name(void **state)
{
    (void)state;
    struct fixture f;
    custom(&f, 1e9, 0.42, NAN);
    assert_int_equal(wp_striker_init(&f.striker, &f.set, &f.diags), WP_OK);
    assert_near(f.striker.material.young_modulus_pa, 1e9, 0.0);
    assert_near(f.striker.material.poisson_ratio, 0.42, 0.0);
    assert_true(f.striker.material.restitution > 0.4 && f.striker.material.restitution < 0.7);
    custom(&f, 1e9, 0.42, 0.9);
    assert_int_equal(wp_striker_init(&f.striker, &f.set, &f.diags), WP_OK);
    assert_near(f.striker.material.restitution, 0.9, 0.0);
}

static void missing_or_impossible_values_are_refused(void **state)
{
    (void)state;
    static const struct {
        double young_pa, poisson, restitution;
        enum wp_status status;
        const char *word;
    } cases[] = {
        {NAN, 0.3, 0.5, WP_E_MISSING, "young_modulus"},
        {1e9, NAN, 0.5, WP_E_MISSING, "poisson_ratio"},
        {1e9, 0.6, 0.5, WP_E_RANGE, "poisson_ratio"},
        {1e9, -0.1, 0.5, WP_E_RANGE, "poisson_ratio"},
        {1e9, 0.3, 1.1, WP_E_RANGE, "restitution"},
        {0.0, 0.3, 0.5, WP_E_RANGE, "young_modulus"},
        {1e13, 0.3, 0.5, WP_E_RANGE, "young_modulus"},
    };
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        struct fixture f;
        custom(&f, cases[i].young_pa, cases[i].poisson, cases[i].restitution);
        assert_int_equal(wp_striker_init(&f.striker, &f.set, &f.diags), cases[i].status);
        assert_non_null(strstr(f.diags.items[0].message, cases[i].word));
        assert_int_equal(f.diags.items[0].mark.line, 15);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_material_is_complete_and_found_by_its_name),
        cmocka_unit_test(names_ignore_case_and_blanks),
        cmocka_unit_test(rubbers_lie_above_their_static_modulus),
        cmocka_unit_test(metals_have_handbook_stiffness),
        cmocka_unit_test(named_striker_takes_the_tables_values),
        cmocka_unit_test(misspelt_material_is_refused_with_the_nearest),
        cmocka_unit_test(strange_material_is_refused_with_the_whole_list),
        cmocka_unit_test(values_stand_in_for_a_name),
        cmocka_unit_test(missing_or_impossible_values_are_refused),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
