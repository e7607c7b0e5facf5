/* SPDX-License-Identifier: MIT */
/* Elementary shapes of a bending beam and their integrals. */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "tube/wave.h"

/* Midpoint sums are the outside figure here: integrals of smooth functions over [-1/2, 1/2]. */
enum { N_STEPS = 20000 };

static double middle(int step)
{
    return (step + 0.5) / N_STEPS - 0.5;
}

static void check_products(double alpha2, double beta)
{
    struct wp_wave w;
    struct wp_wave_products p;
    wp_wave_init(&w, alpha2, beta);
    wp_wave_products_init(&p, &w);
    const double alpha = sqrt(fabs(alpha2));
    double sum[6] = {0};
    for (int i = 0; i < N_STEPS; i++) {
        const double eta = middle(i);
        const double ch = w.damp * (alpha2 > 0 ? cosh(alpha * eta) : cos(alpha * eta));
        const double sh =
            w.damp *
            (alpha == 0.0 ? eta : (alpha2 > 0 ? sinh(alpha * eta) : sin(alpha * eta)) / alpha);
        const double c = cos(beta * eta);
        const double s = sin(beta * eta) / beta;
        const double products[6] = {ch * ch, ch * c, c * c, sh * sh, sh * s, s * s};
        for (int j = 0; j < 6; j++) {
            sum[j] += products[j] / N_STEPS;
        }
    }
    const double closed[6] = {p.cosh_cosh,   p.cosh_cos,   p.cos_cos,
                              p.sinhc_sinhc, p.sinhc_sinc, p.sinc_sinc};
    for (int j = 0; j < 6; j++) {
        assert_true(fabs(closed[j] - sum[j]) < 1e-6 * fabs(sum[j]) + 1e-9);
    }
}

static void products_match_summation_on_both_sides_of_the_cut_off(void **state)
{
    (void)state;
    static const double alpha2[9] = {400.0, 22.0, 1.0, 1e-3, 0.0, -1e-4, -1e-2, -22.0, -300.0};
    for (int i = 0; i < 9; i++) {
        check_products(alpha2[i], 25.0);
        check_products(alpha2[i], 60.3);
    }
}

static void huge_wave_numbers_do_not_overflow(void **state)
{
    (void)state;
    struct wp_wave w;
    struct wp_wave_products p;
    wp_wave_init(&w, 4e6, 2000.0);
    wp_wave_products_init(&p, &w);
    assert_true(fabs(w.cosh_e - 0.5) < 1e-12);
    assert_true(isfinite(p.cosh_cosh) && isfinite(p.sinhc_sinhc) && p.cosh_cosh > 0);
    const struct wp_shape shape = {.root = {2000.0, 2000.0}, .factor = {1.0, 0.0, 1.0, 0.0}};
    assert_true(fabs(wp_shape_at(&shape, 1.0) - 1.0) < 1e-12);
    assert_true(fabs(wp_shape_at(&shape, 0.5)) < 1e-12);
}

static void check_spectrum(const struct wp_shape *shape)
{
    struct wp_spectrum spectrum;
    wp_spectrum_init(&spectrum, shape);
    for (double kappa = 0.0; kappa < 60.0; kappa += 3.75) {
        double re = 0.0, im = 0.0;
        for (int i = 0; i < N_STEPS; i++) {
            const double w = wp_shape_at(shape, middle(i) + 0.5);
            re += w * cos(kappa * middle(i)) / N_STEPS;
            im += w * sin(kappa * middle(i)) / N_STEPS;
        }
        assert_true(fabs(wp_spectrum_at(&spectrum, kappa) - (re * re + im * im)) < 1e-6);
    }
}

/* 22.5 is one of the wave numbers asked for: the removable zero of the closed form. */
static void spectrum_matches_summation(void **state)
{
    (void)state;
    const struct wp_shape bending = {.root = {21.0, 22.5}, .factor = {0.9, -1.2, 0.3, 1.1}};
    const struct wp_shape past = {
        .root = {7.5, 22.5}, .factor = {0.9, -1.2, 0.3, 1.1}, .is_past_cutoff = true};
    check_spectrum(&bending);
    check_spectrum(&past);
}

/* Against the functions' definitions in long double. */
static void many_places_of_a_shape_match_the_definition(void **state)
{
    (void)state;
    enum { N = 41 };
    static const struct wp_shape shapes[2] = {
        {.root = {150.0, 151.0}, .factor = {1.0, 0.7, -0.4, 1.1}},
        {.root = {30.0, 90.0}, .factor = {0.3, 0.7, -0.4, 1.1}, .is_past_cutoff = true},
    };
    for (int j = 0; j < 2; j++) {
        const struct wp_shape *shape = &shapes[j];
        double xi[N];
        double value[N];
        for (int i = 0; i < N; i++) {
            xi[i] = (double)i / (N - 1);
        }
        wp_shape_each(shape, xi, value, N);
        for (int i = 0; i < N; i++) {
            const long double a = (long double)shape->root[0] * ((long double)xi[i] - 0.5L);
            const long double b = (long double)shape->root[1] * ((long double)xi[i] - 0.5L);
            const long double damp = expl(-0.5L * (long double)shape->root[0]);
            const long double even = shape->is_past_cutoff ? cosl(a) : damp * coshl(a);
            const long double odd = shape->is_past_cutoff ? sinl(a) : damp * sinhl(a);
            const long double sum =
                (long double)shape->factor[0] * even + (long double)shape->factor[1] * cosl(b) +
                (long double)shape->factor[2] * odd + (long double)shape->factor[3] * sinl(b);
            assert_true(fabsl((long double)value[i] - sum) < 1e-12L);
        }
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(products_match_summation_on_both_sides_of_the_cut_off),
        cmocka_unit_test(huge_wave_numbers_do_not_overflow),
        cmocka_unit_test(spectrum_matches_summation),
        cmocka_unit_test(many_places_of_a_shape_match_the_definition),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
