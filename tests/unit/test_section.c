/* SPDX-License-Identifier: MIT */
/* Cross-section and what cannot be one. */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "tube/section.h"

static struct wp_tube_spec plain(void)
{
    return (struct wp_tube_spec){
        .material = {68.9e9, 2700.0, 0.33, 1e-4, 23.4e-6, -5e-4, 200.0, 900.0, NAN},
        .outer_diameter_m = 0.0254,
        .wall_m = 0.00165,
        .length_m = 0.6,
        .temperature_c = 20.0,
        .is_supported_at_node = true,
    };
}

/* Area and second moment of a pipe, pi/4 (D^2 - d^2) and pi/64 (D^4 - d^4) (any handbook). */
static void pipe_has_the_handbook_values(void **state)
{
    (void)state;
    const struct wp_tube_spec spec = plain();
    struct wp_section s;
    wp_section_init(&s, &spec);
    const double d = 0.0254 - 2 * 0.00165;
    assert_true(fabs(s.area_m2 / (M_PI / 4 * (0.0254 * 0.0254 - d * d)) - 1.0) < 1e-12);
    assert_true(fabs(s.second_moment_m4 / (M_PI / 64 * (pow(0.0254, 4) - pow(d, 4))) - 1.0) <
                1e-12);
    assert_true(fabs(s.bare_mass_kg - 2700.0 * s.area_m2 * 0.6) < 1e-12);
}

static void wall_of_half_the_diameter_is_a_rod(void **state)
{
    (void)state;
    struct wp_tube_spec spec = plain();
    struct wp_section s;
    spec.wall_m = 0.0127;
    wp_section_init(&s, &spec);
    assert_true(s.inner_radius_m == 0.0);
    assert_null(wp_spec_fault(&spec));
}

static void warmth_grows_softens_and_keeps_the_mass(void **state)
{
    (void)state;
    struct wp_tube_spec spec = plain();
    struct wp_section cold, warm;
    wp_section_init(&cold, &spec);
    spec.temperature_c = 60.0;
    wp_section_init(&warm, &spec);
    assert_true(fabs(warm.length_m / cold.length_m - (1.0 + 23.4e-6 * 40.0)) < 1e-12);
    assert_true(fabs(warm.young_modulus_pa / cold.young_modulus_pa - (1.0 - 5e-4 * 40.0)) < 1e-12);
    assert_true(fabs(warm.mass_kg_m * warm.length_m / cold.bare_mass_kg - 1.0) < 1e-12);
}

static void every_impossible_tube_is_named(void **state)
{
    (void)state;
    const struct wp_tube_spec good = plain();
    assert_null(wp_spec_fault(&good));
    assert_null(wp_support_fault(&good));
    struct wp_tube_spec s;
    double *const fields[] = {&s.material.young_modulus_pa,
                              &s.material.density_kg_m3,
                              &s.outer_diameter_m,
                              &s.wall_m,
                              &s.length_m,
                              &s.end_mass_kg,
                              &s.ovality_01,
                              &s.bore_offset_01,
                              &s.temperature_c,
                              &s.material.poisson_ratio};
    for (size_t i = 0; i < sizeof fields / sizeof fields[0]; i++) {
        s = good;
        *fields[i] = -100.0;
        assert_non_null(wp_spec_fault(&s));
        s = good;
        *fields[i] = INFINITY;
        assert_non_null(wp_spec_fault(&s));
        if (fields[i] != &s.material.poisson_ratio) { /* filled in before */
            s = good;
            *fields[i] = NAN;
            assert_non_null(wp_spec_fault(&s));
        }
    }
    s = good;
    s.wall_m = 0.0128;
    assert_non_null(wp_spec_fault(&s));
    s = good;
    s.length_m = 2.9 * s.outer_diameter_m;
    assert_non_null(wp_spec_fault(&s));
}

static void support_past_the_middle_is_a_fault(void **state)
{
    (void)state;
    struct wp_tube_spec s = plain();
    s.is_supported_at_node = false;
    s.support_m = 0.06;
    assert_null(wp_support_fault(&s));
    s.support_m = 0.31;
    assert_non_null(wp_support_fault(&s));
    s.support_m = NAN;
    assert_non_null(wp_support_fault(&s));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(pipe_has_the_handbook_values),
        cmocka_unit_test(wall_of_half_the_diameter_is_a_rod),
        cmocka_unit_test(warmth_grows_softens_and_keeps_the_mass),
        cmocka_unit_test(every_impossible_tube_is_named),
        cmocka_unit_test(support_past_the_middle_is_a_fault),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
