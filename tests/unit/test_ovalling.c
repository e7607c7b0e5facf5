/* SPDX-License-Identifier: MIT */
/* Partials in which the wall goes out of round. */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "tube/ovalling.h"
#include "windpeal/tube.h"

static struct wp_tube_spec plain(void)
{
    return (struct wp_tube_spec){
        .material = {68.9e9, 2700.0, 0.33, 1e-4, 23.4e-6, -5e-4, 200.0, 900.0, NAN},
        .outer_diameter_m = 0.040,
        .wall_m = 0.0015,
        .length_m = 0.5,
        .temperature_c = 20.0,
        .is_supported_at_node = true,
        .cord_kg_m = 1e-3,
        .without_air_mass = true,
    };
}

static struct wp_tube solved(const struct wp_tube_spec *spec, double max_hz)
{
    struct wp_tube tube;
    assert_int_equal(wp_tube_solve(&tube, spec, max_hz), WP_OK);
    assert_true(tube.n_partials > tube.n_bending);
    return tube;
}

static void assert_ratio(const struct wp_tube_spec *a, const struct wp_tube_spec *b, double ratio)
{
    const struct wp_tube one = solved(a, 16000.0);
    const struct wp_tube other = solved(b, 16000.0 * ratio);
    const size_t n = one.n_partials - one.n_bending;
    assert_int_equal(other.n_partials - other.n_bending, n);
    for (size_t i = 0; i < n; i++) {
        const struct wp_partial *p = &one.partials[one.n_bending + i];
        const struct wp_partial *q = &other.partials[other.n_bending + i];
        assert_int_equal(p->order, q->order);
        assert_int_equal(p->n, q->n);
        assert_true(fabs(q->freq_hz / p->freq_hz / ratio - 1.0) < 1e-9);
    }
}

/* Dimensional analysis of a body in a vacuum: f = sqrt(E/rho)/L g(shape, nu). */
static void frequencies_scale_as_dimensions_demand(void **state)
{
    (void)state;
    const struct wp_tube_spec tube = plain();
    for (double s = 0.4; s < 2.5; s += 0.45) {
        struct wp_tube_spec other = tube;
        other.outer_diameter_m *= s;
        other.wall_m *= s;
        other.length_m *= s;
        assert_ratio(&tube, &other, 1.0 / s);
    }
    struct wp_tube_spec other = tube;
    other.material.young_modulus_pa *= 4.0;
    assert_ratio(&tube, &other, 2.0);
    other = tube;
    other.material.density_kg_m3 *= 4.0;
    assert_ratio(&tube, &other, 0.5);
}

/* Axial order n has n circles at rest, as Love's and Rayleigh's modes have 0 and 1 (Leissa,
 * Vibration of Shells, NASA SP-288, 1973, sect. 2.4, from memory). */
static void axial_order_counts_the_circles_at_rest(void **state)
{
    (void)state;
    const struct wp_tube_spec spec = plain();
    const struct wp_tube tube = solved(&spec, 16000.0);
    for (size_t i = tube.n_bending; i < tube.n_partials; i++) {
        const struct wp_partial *p = &tube.partials[i];
        int n_changes = 0;
        double square = 0.0;
        enum { N = 2000 };
        for (int j = 0; j < N; j++) {
            const double here = wp_shape_at(&p->shape, (j + 0.5) / N);
            n_changes += here * wp_shape_at(&p->shape, (j + 1.5) / N) < 0.0 && j + 1 < N;
            square += here * here / N;
        }
        assert_int_equal(n_changes, p->n);
        assert_true(wp_shape_at(&p->shape, 1.0) > 0.0);
        /* Kinetic energy of w cos(m theta) and what it brings along: modal mass of the tube. Long
         * waves bring w/m sin(m theta). */
        assert_true(square < 2.0);
        if (p->n == 0) {
            const double inertia = 1.0 + 1.0 / (p->order * p->order);
            assert_true(fabs(square * inertia / 2.0 - 1.0) < 1e-12);
        }
        assert_true(square > 0.8);
    }
}

static void partials_ascend_and_end_at_the_wanted_frequency(void **state)
{
    (void)state;
    struct wp_tube_spec spec = plain();
    struct wp_tube tube = solved(&spec, 9000.0);
    for (size_t i = tube.n_bending; i < tube.n_partials; i++) {
        const struct wp_partial *p = &tube.partials[i];
        assert_int_equal(p->family, WP_OVALLING);
        assert_true(p->freq_hz <= 9000.0);
        assert_true(i == tube.n_bending || p->freq_hz >= p[-1].freq_hz);
        assert_true(p->polarised_hz[0] == p->polarised_hz[1]);
    }
    /* A wide thin tube has hundreds; only the lowest are kept. */
    spec.outer_diameter_m = 0.1;
    spec.wall_m = 0.001;
    spec.length_m = 3.0;
    tube = solved(&spec, 16000.0);
    assert_int_equal(tube.n_partials - tube.n_bending, WP_OVALLING_MAX);
}

static void rods_have_none_and_gentle_limits_leave_them_out(void **state)
{
    (void)state;
    struct wp_tube_spec spec = plain();
    struct wp_tube tube;
    assert_int_equal(wp_tube_solve(&tube, &spec, 1000.0), WP_OK);
    assert_int_equal(tube.n_partials, tube.n_bending);
    spec.wall_m = spec.outer_diameter_m / 2.0;
    assert_int_equal(wp_tube_solve(&tube, &spec, 20000.0), WP_OK);
    assert_int_equal(tube.n_partials, tube.n_bending);
}

/* Air moves with the wall, so it lowers every partial a little (Rayleigh's principle). */
static void air_lowers_every_partial_a_little(void **state)
{
    (void)state;
    struct wp_tube_spec spec = plain();
    const struct wp_tube vacuum = solved(&spec, 16000.0);
    spec.without_air_mass = false;
    const struct wp_tube air = solved(&spec, 16000.0);
    for (size_t i = vacuum.n_bending; i < vacuum.n_partials; i++) {
        const double ratio = air.partials[i].freq_hz / vacuum.partials[i].freq_hz;
        assert_true(ratio < 1.0 && ratio > 0.995);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(frequencies_scale_as_dimensions_demand),
        cmocka_unit_test(axial_order_counts_the_circles_at_rest),
        cmocka_unit_test(partials_ascend_and_end_at_the_wanted_frequency),
        cmocka_unit_test(rods_have_none_and_gentle_limits_leave_them_out),
        cmocka_unit_test(air_lowers_every_partial_a_little),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
