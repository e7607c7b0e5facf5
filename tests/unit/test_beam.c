/* SPDX-License-Identifier: MIT */
/* Modes of the free beam: scale, order, orthogonality. */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "tube/beam.h"
#include "tube/section.h"

enum { N_MODES = 40 };

static struct wp_tube_spec tube(double outer_diameter_m, double wall_m, double length_m)
{
    return (struct wp_tube_spec){
        .material = {68.9e9, 2700.0, 0.33, 1e-4, 23.4e-6, -5e-4, 200.0, 900.0, NAN},
        .outer_diameter_m = outer_diameter_m,
        .wall_m = wall_m,
        .length_m = length_m,
        .temperature_c = 20.0,
        .is_supported_at_node = true,
        .without_air_mass = true,
    };
}

static void beam_of(struct wp_beam *beam, const struct wp_tube_spec *spec)
{
    struct wp_section section;
    wp_section_init(&section, spec);
    wp_beam_init(beam, &section, spec->end_mass_kg);
    if (spec->plug_length_m > 0.0) {
        wp_beam_set_plug(beam, &section, spec->plug_length_m);
    }
}

/* int(W_i W_j + r^2 Psi_i Psi_j) + mu (u_i u_j + k^2 Psi_i Psi_j) with u = W(0) + c Psi(0), by
 * Simpson's rule. */
static double modal_mass(const struct wp_beam *beam, const struct wp_beam_mode *a,
                         const struct wp_beam_mode *b)
{
    enum { N = 4000 };
    double sum = 0.0;
    for (int i = 0; i <= N; i++) {
        const double xi = (double)i / N;
        const double weight = (i == 0 || i == N ? 1.0 : i % 2 ? 4.0 : 2.0) / (3.0 * N);
        sum += weight * (wp_shape_at(&a->shape, xi) * wp_shape_at(&b->shape, xi) +
                         beam->rotary * wp_beam_turn_at(a, xi) * wp_beam_turn_at(b, xi));
    }
    const double turn_a = wp_beam_turn_at(a, 0.0);
    const double turn_b = wp_beam_turn_at(b, 0.0);
    const double moved_a = wp_shape_at(&a->shape, 0.0) + beam->end_depth * turn_a;
    const double moved_b = wp_shape_at(&b->shape, 0.0) + beam->end_depth * turn_b;
    return sum + beam->end_mass * (moved_a * moved_b + beam->end_rotary * turn_a * turn_b);
}

/* Modes of a self-adjoint problem are orthogonal in its mass (any text): an error in shape,
 * rotation or root shows here. */
static void check_modes(const struct wp_tube_spec *spec)
{
    struct wp_beam beam;
    struct wp_beam_root roots[N_MODES];
    struct wp_beam_mode modes[N_MODES];
    beam_of(&beam, spec);
    wp_beam_roots(&beam, roots, N_MODES);
    for (int i = 0; i < N_MODES; i++) {
        wp_beam_mode_init(&modes[i], &beam, roots[i]);
        assert_true(i == 0 || roots[i].b > roots[i - 1].b);
        assert_true(wp_shape_at(&modes[i].shape, 1.0) > 0.0);
        assert_true(fabs(modal_mass(&beam, &modes[i], &modes[i]) / (1.0 + beam.end_mass) - 1.0) <
                    1e-6);
        for (int j = i > 3 ? i - 3 : 0; j < i; j++) {
            assert_true(fabs(modal_mass(&beam, &modes[i], &modes[j])) < 1e-6);
        }
    }
}

static void modes_are_orthogonal_and_weigh_what_the_tube_weighs(void **state)
{
    (void)state;
    const struct wp_tube_spec slender = tube(0.0254, 0.00165, 0.6);
    const struct wp_tube_spec stubby = tube(0.1, 0.05, 0.3); /* mostly past the cut-off */
    check_modes(&slender);
    check_modes(&stubby);
}

static void modes_stay_orthogonal_with_an_end_mass(void **state)
{
    (void)state;
    static const double end_mass_kg[3] = {1e-5, 0.005, 0.19};
    for (int i = 0; i < 3; i++) {
        struct wp_tube_spec spec = tube(0.0254, 0.00165, 0.6);
        spec.end_mass_kg = end_mass_kg[i];
        check_modes(&spec);
        spec.plug_length_m = 0.02 + 0.05 * i;
        check_modes(&spec);
    }
}

/* First order in the mass: df/f = -W(0)^2 m / (2 M) (Rayleigh 1877, sect. 90). */
static void small_end_mass_does_what_perturbation_says(void **state)
{
    (void)state;
    const struct wp_tube_spec bare = tube(0.0254, 0.00165, 0.6);
    struct wp_tube_spec loaded = bare;
    loaded.end_mass_kg = 1e-6;
    struct wp_beam beam;
    struct wp_beam_root before[8], after[8];
    beam_of(&beam, &bare);
    wp_beam_roots(&beam, before, 8);
    struct wp_beam heavier;
    beam_of(&heavier, &loaded);
    wp_beam_roots(&heavier, after, 8);
    for (int i = 0; i < 8; i++) {
        struct wp_beam_mode mode;
        wp_beam_mode_init(&mode, &beam, before[i]);
        const double w = wp_shape_at(&mode.shape, 0.0);
        const double expected = -0.5 * w * w * heavier.end_mass;
        assert_true(fabs((after[i].b / before[i].b - 1.0) / expected - 1.0) < 1e-3);
    }
}

static void even_and_odd_modes_alternate_in_a_slender_tube(void **state)
{
    (void)state;
    const struct wp_tube_spec spec = tube(0.012, 0.001, 1.0);
    struct wp_beam beam;
    struct wp_beam_root roots[N_MODES];
    beam_of(&beam, &spec);
    wp_beam_roots(&beam, roots, N_MODES);
    for (int i = 0; i < N_MODES; i++) {
        assert_int_equal(roots[i].is_even, i % 2 == 0);
    }
}

/* The spectrum changes smoothly with the length, also where roots pass the cut-off: a missed or
 * doubled root would show as a jump. */
static void spectrum_is_continuous_in_length(void **state)
{
    (void)state;
    double last[N_MODES] = {0};
    for (int step = 0; step <= 400; step++) {
        const struct wp_tube_spec spec = tube(0.1, 0.01, 0.3 + 0.00025 * step);
        double freqs_hz[N_MODES];
        assert_int_equal(wp_tube_frequencies(&spec, freqs_hz, N_MODES), WP_OK);
        for (int i = 0; i < N_MODES; i++) {
            assert_true(step == 0 || fabs(freqs_hz[i] / last[i] - 1.0) < 0.004);
            last[i] = freqs_hz[i];
        }
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(modes_are_orthogonal_and_weigh_what_the_tube_weighs),
        cmocka_unit_test(modes_stay_orthogonal_with_an_end_mass),
        cmocka_unit_test(small_end_mass_does_what_perturbation_says),
        cmocka_unit_test(even_and_odd_modes_alternate_in_a_slender_tube),
        cmocka_unit_test(spectrum_is_continuous_in_length),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
