/* SPDX-License-Identifier: MIT */
/* Two pitches of a tube with an imperfect section. */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "tube/split.h"

static double split_cents(double outer_m, double wall_m, double ovality_01, double bore_offset_01)
{
    const struct wp_tube_spec spec = {.outer_diameter_m = outer_m,
                                      .wall_m = wall_m,
                                      .ovality_01 = ovality_01,
                                      .bore_offset_01 = bore_offset_01};
    return wp_split_cents(&spec);
}

static void perfect_section_has_one_pitch(void **state)
{
    (void)state;
    assert_true(split_cents(0.0254, 0.00165, 0.0, 0.0) == 0.0);
    assert_true(split_cents(0.0254, 0.0127, 0.0, 0.0) == 0.0);
}

/* Thin ring of constant wall: I along over I across = 1 + 3/2 ov, so df/f = 3/4 ov (second moments
 * of an ellipse by integration). A rod of that outline: df/f = ov. */
static void ovality_splits_by_its_textbook_share(void **state)
{
    (void)state;
    const double cents = 1200.0 / log(2.0);
    assert_true(fabs(split_cents(0.1, 1e-5, 0.003, 0.0) / (cents * 0.75 * 0.003) - 1.0) < 1e-3);
    assert_true(fabs(split_cents(0.1, 0.05, 0.003, 0.0) / (cents * 0.003) - 1.0) < 1e-3);
    /* With the ovality counted on the mean diameter, a common wall stays within 1 % of 3/4. */
    const double common = cents * 0.75 * 0.005 * 25.4 / 23.75;
    assert_true(fabs(split_cents(0.0254, 0.00165, 0.005, 0.0) / common - 1.0) < 0.01);
}

/* Offset e of the bore moves the centroid by e A_i/A; parallel axes give dI = -A_i A_o e^2 / A. */
static void bore_offset_splits_by_its_square(void **state)
{
    (void)state;
    const double ao = M_PI * 0.0127 * 0.0127;
    const double ai = M_PI * 0.01105 * 0.01105;
    const double moment = M_PI / 4.0 * (pow(0.0127, 4) - pow(0.01105, 4));
    const double e = 0.1 * 0.00165;
    const double expected = -600.0 * log2(1.0 - ai * ao * e * e / ((ao - ai) * moment));
    const double got = split_cents(0.0254, 0.00165, 0.0, 0.1);
    assert_true(fabs(got / expected - 1.0) < 1e-9);
    assert_true(fabs(split_cents(0.0254, 0.00165, 0.0, 0.2) / got - 4.0) < 0.05);
}

static void flaws_add(void **state)
{
    (void)state;
    const double both = split_cents(0.0254, 0.00165, 0.005, 0.1);
    const double apart =
        split_cents(0.0254, 0.00165, 0.005, 0.0) + split_cents(0.0254, 0.00165, 0.0, 0.1);
    assert_true(fabs(both - apart) < 1e-9);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(perfect_section_has_one_pitch),
        cmocka_unit_test(ovality_splits_by_its_textbook_share),
        cmocka_unit_test(bore_offset_splits_by_its_square),
        cmocka_unit_test(flaws_add),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
