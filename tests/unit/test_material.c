/* SPDX-License-Identifier: MIT */
/* Table of materials. */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "tube/material.h"
#include "windpeal/status.h"
#include "windpeal/tube.h"

static void names_do_not_mind_case_and_blanks(void **state)
{
    (void)state;
    const struct wp_material *alloy = wp_material_find("aluminium 6063-T6");
    assert_non_null(alloy);
    assert_ptr_equal(wp_material_find("  Aluminium   6063-t6 "), alloy);
    assert_ptr_equal(wp_material_find("aluminum 6063-T6"), alloy);
    assert_ptr_equal(wp_material_find("ALUMINIUM"), alloy);
}

static void part_of_a_name_is_no_name(void **state)
{
    (void)state;
    assert_null(wp_material_find("alu"));
    assert_null(wp_material_find(""));
    assert_null(wp_material_find("copper tubes"));
    assert_null(wp_material_find("stainlesssteel"));
    assert_null(wp_material_find("bra ss"));
}

static void every_name_finds_its_own_entry(void **state)
{
    (void)state;
    const struct wp_material *last = NULL;
    size_t n = 0;
    for (; wp_material_name(n); n++) {
        const struct wp_material *found = wp_material_find(wp_material_name(n));
        assert_non_null(found);
        assert_ptr_not_equal(found, last);
        last = found;
    }
    assert_true(n >= 9);
}

/* No spelling may mean two materials, and each is found. */
static void every_spelling_is_found(void **state)
{
    (void)state;
    const char *words[WP_MATERIAL_WORDS_MAX];
    const size_t n = wp_material_words(words);
    for (size_t i = 0; i < n; i++) {
        assert_non_null(wp_material_find(words[i]));
        for (size_t j = 0; j < i; j++) {
            assert_string_not_equal(words[i], words[j]);
        }
    }
}

/*
 * Handbook values at room temperature, E within 5 %, density 2 %: EN 1999-1-1 (aluminium 70 GPa,
 * 2700 kg/m3), EN 1993-1-1 (steel 210 GPa, 7850), EN 10088-1 (stainless 1.4301, 200 GPa, 7900),
 * EN 572-1 (soda-lime glass 70 GPa, 2500); Copper Development Association, alloy sheets of C12200
 * (117 GPa, 8940), C26000 (110 GPa, 8530), C52100 (110 GPa, 8800), from memory.
 */
static void stiffness_and_density_are_those_of_handbooks(void **state)
{
    (void)state;
    static const struct {
        const char *name;
        double young_pa, density;
    } handbook[] = {
        {"aluminium 6061-T6", 70e9, 2700.0},
        {"aluminium 6063-T6", 70e9, 2700.0},
        {"steel", 210e9, 7850.0},
        {"stainless steel", 200e9, 7900.0},
        {"glass", 70e9, 2500.0},
        {"copper", 117e9, 8940.0},
        {"brass", 110e9, 8530.0},
        {"bronze", 110e9, 8800.0},
        {"titanium", 105e9, 4510.0},
    };
    for (size_t i = 0; i < sizeof handbook / sizeof handbook[0]; i++) {
        const struct wp_material *m = wp_material_find(handbook[i].name);
        assert_non_null(m);
        assert_true(fabs(m->young_modulus_pa / handbook[i].young_pa - 1.0) < 0.05);
        assert_true(fabs(m->density_kg_m3 / handbook[i].density - 1.0) < 0.02);
    }
}

/* ASME B31.3, table C-6, carbon steel: 203.4 GPa at 21 C, 198.6 GPa at 93 C and 208.2 GPa at
 * -73 C; between the two slopes. */
static void steel_softens_as_in_the_piping_code(void **state)
{
    (void)state;
    const double per_k = wp_material_find("steel")->stiffness_per_k;
    assert_true(per_k < -(208.2 / 203.4 - 1.0) / 94.0);
    assert_true(per_k > -(1.0 - 198.6 / 203.4) / 72.0);
}

static void what_is_left_out_is_filled_in(void **state)
{
    (void)state;
    struct wp_material m = {NAN, NAN, NAN, NAN, NAN, NAN, NAN, NAN, NAN};
    wp_material_complete(&m);
    assert_true(isnan(m.young_modulus_pa) && isnan(m.density_kg_m3)); /* no guess */
    assert_true(m.poisson_ratio == 0.33 && m.loss_factor == 2e-4);
    assert_true(m.thermal_expansion_per_k == 0.0 && m.stiffness_per_k == 0.0);
    struct wp_material steel = *wp_material_find("steel");
    wp_material_complete(&steel);
    assert_memory_equal(&steel, wp_material_find("steel"), sizeof steel);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(names_do_not_mind_case_and_blanks),
        cmocka_unit_test(part_of_a_name_is_no_name),
        cmocka_unit_test(every_name_finds_its_own_entry),
        cmocka_unit_test(every_spelling_is_found),
        cmocka_unit_test(stiffness_and_density_are_those_of_handbooks),
        cmocka_unit_test(steel_softens_as_in_the_piping_code),
        cmocka_unit_test(what_is_left_out_is_filled_in),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
