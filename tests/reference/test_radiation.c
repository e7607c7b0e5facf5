/* SPDX-License-Identifier: MIT */
/* Sound of a bending tube against textbook limits and against direct summation. */
#include <complex.h>
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "aluminium.h"
#include "tube/air.h"
#include "tube/cylinder.h"
#include "tube/radiation.h"
#include "tube/section.h"
#include "windpeal/tube.h"

static struct wp_tube solved(double outer_diameter_m, double wall_m, double length_m)
{
    const struct wp_tube_spec spec = aluminium(outer_diameter_m, wall_m, length_m);
    struct wp_tube tube;
    assert_int_equal(wp_tube_solve(&tube, &spec, 16000.0), WP_OK);
    return tube;
}

/* H1'(x) and the added mass -Re(H1/H1')/x, K-form below the speed of sound, with mpmath. */
static void cylinder_functions_match_exact_values(void **state)
{
    (void)state;
    static const double x[4] = {0.1, 0.5, 1.0, 2.0};
    static const double slope2[4] = {3976.21549409, 6.44818780682, 0.861698345092, 0.322130652222};
    static const double fast[4] = {1.02420516552, 1.10616856879, 0.622212837086, 0.151393704159};
    static const double slow[4] = {0.975961406421, 0.781837777555, 0.588413917341, 0.380428401694};
    for (int i = 0; i < 4; i++) {
        const double slope = cabs(wp_hankel_slope(1, x[i]));
        assert_relative(slope * slope, slope2[i], 1e-10);
        assert_relative(wp_added_mass_outside(x[i] * x[i]), fast[i], 1e-10);
        assert_relative(wp_added_mass_outside(-x[i] * x[i]), slow[i], 1e-9);
    }
}

/* Far field of a small cylinder, a line of dipoles: the factor tends to 1 (Morse & Ingard,
 * Theoretical Acoustics, 1968, sect. 7.3); its first correction is of order x^2 ln x. */
static void thin_cylinder_is_a_line_of_dipoles(void **state)
{
    (void)state;
    assert_relative(cabs(wp_cylinder_factor(1, 1e-5)), 1.0, 1e-9);
    assert_relative(cabs(wp_cylinder_factor(1, 1e-3)), 1.0, 1e-5);
    assert_relative(cabs(wp_cylinder_factor(1, 0.1)), 1.0, 0.01);
}

/*
 * Far above coincidence a long thin tube radiates per length like an endless cylinder with that
 * bending wave: r = (pi^2/2) rho c a (ka)(k^2 - kz^2) a^2 (Morse & Ingard, sect. 7.3, with the
 * radial wave number), so P = r L V^2 / 2 with int W^2 = L. Ends leave a few per cent.
 */
static void long_thin_rod_radiates_like_an_endless_one(void **state)
{
    (void)state;
    const struct wp_tube tube = solved(0.003, 0.0015, 1.2);
    struct wp_air air;
    wp_air_init(&air, 20.0);
    const struct wp_partial *last = &tube.partials[tube.n_bending - 1];
    const double a = 0.0015;
    const double k = 2.0 * M_PI * last->freq_hz / air.sound_speed_m_s;
    const double kz = last->shape.root[1] / 1.2;
    assert_true(k > 1.5 * kz); /* the check needs it */
    const double r = 0.5 * M_PI * M_PI * air.density_kg_m3 * air.sound_speed_m_s * a * k * a *
                     (k * k - kz * kz) * a * a;
    assert_relative(wp_tube_power(&tube, last), 0.5 * r * 1.2, 0.05);
}

/*
 * A free beam has int W dx = 0 (momentum), so nothing arrives far away level with its middle, nor
 * on its axis, where every dipole is silent.
 */
static void far_field_is_silent_level_with_the_middle_and_on_the_axis(void **state)
{
    (void)state;
    const struct wp_tube tube = solved(0.010, 0.001, 1.2);
    struct wp_section section;
    struct wp_air air;
    wp_section_init(&section, &tube.spec);
    wp_air_init(&air, 20.0);
    for (int i = 0; i < 4; i++) {
        const struct wp_partial *p = &tube.partials[i];
        const double oblique = wp_far_pressure(&section, &air, p, 0.5);
        assert_true(oblique > 0.0);
        assert_true(wp_far_pressure(&section, &air, p, 0.0) < 2e-3 * oblique);
        assert_true(wp_far_pressure(&section, &air, p, 1.0) < 1e-6 * oblique);
        assert_true(wp_tube_pressure(&tube, p, (struct wp_ear){0.0, 5.0}) < 1e-12);
    }
}

/* Near by, the halves of an even partial still cancel level with the middle; those of an odd one no
 * longer do, which the far field hides. By symmetry. */
static void near_field_keeps_the_even_nulls_only(void **state)
{
    (void)state;
    const struct wp_tube tube = solved(0.0508, 0.00165, 1.75);
    for (int i = 0; i < 6; i++) {
        const struct wp_partial *p = &tube.partials[i];
        const double level = wp_tube_pressure(&tube, p, (struct wp_ear){1.0, 0.0});
        const double above = wp_tube_pressure(&tube, p, (struct wp_ear){1.0, 0.4});
        assert_true(p->n % 2 == 0 ? level < 1e-9 * above : level > 1e-3 * above);
        /* on the axis above the end every dipole is silent at any distance */
        assert_true(wp_tube_pressure(&tube, p, (struct wp_ear){0.0, 1.2}) == 0.0);
    }
}

/* Far beyond L^2/lambda the integral at true distances becomes the far field over r. */
static void near_field_becomes_the_far_field(void **state)
{
    (void)state;
    const struct wp_tube tube = solved(0.0254, 0.00165, 0.6);
    struct wp_section section;
    struct wp_air air;
    wp_section_init(&section, &tube.spec);
    wp_air_init(&air, 20.0);
    const double r = 300.0;
    for (size_t i = 0; i < tube.n_partials; i++) {
        const struct wp_partial *p = &tube.partials[i];
        for (double polar = 0.3; polar < 1.4; polar += 0.35) {
            const struct wp_ear ear = {r * sin(polar), r * cos(polar)};
            const double far = wp_far_pressure(&section, &air, p, cos(polar)) / r;
            /* 1e-4 Pa: in a minimum of the pattern the last rest of curvature shows */
            assert_true(fabs(wp_tube_pressure(&tube, p, ear) - far) < 2e-3 * far + 1e-4);
        }
    }
}

/* Conservation: the intensity p^2/(2 rho c) over a far sphere, cos^2 around it, is the power. */
static void power_is_what_passes_a_far_sphere(void **state)
{
    (void)state;
    const struct wp_tube tube = solved(0.032, 0.0016, 0.9);
    struct wp_air air;
    wp_air_init(&air, 20.0);
    const double r = 400.0;
    enum { N = 600 };
    for (size_t i = 0; i < tube.n_partials; i += 3) {
        double sum = 0.0;
        for (int j = 0; j < N; j++) {
            const double polar = (j + 0.5) * M_PI / N;
            const struct wp_ear ear = {r * sin(polar), r * cos(polar)};
            const double p = wp_tube_pressure(&tube, &tube.partials[i], ear);
            sum += p * p * sin(polar) * M_PI / N;
        }
        const double passing = M_PI * r * r * sum / (2.0 * air.density_kg_m3 * air.sound_speed_m_s);
        assert_relative(wp_tube_power(&tube, &tube.partials[i]), passing, 0.005);
    }
}

/* Equal small steps along the tube: the definition, with nothing clever. A dipole of strength
 * 2 rho pi a^2 dv/dt per length (fluid displaced and as much added mass; Morse & Ingard). */
static double summed_pressure(const struct wp_tube *tube, const struct wp_partial *p,
                              struct wp_ear ear)
{
    enum { N = 40000 };
    struct wp_air air;
    wp_air_init(&air, 20.0);
    const double omega = 2.0 * M_PI * p->freq_hz;
    const double k = omega / air.sound_speed_m_s;
    const double a = tube->spec.outer_diameter_m / 2.0;
    const double dx = tube->spec.length_m / N;
    double complex sum = 0.0;
    for (int j = 0; j < N; j++) {
        const double x = (j + 0.5) * dx;
        const double r = hypot(ear.distance_m, tube->spec.length_m / 2.0 - x - ear.height_m);
        const double sine = ear.distance_m / r;
        const double strength = 2.0 * air.density_kg_m3 * M_PI * a * a * omega * dx *
                                wp_shape_at(&p->shape, x / tube->spec.length_m) * sine /
                                (4.0 * M_PI * r);
        sum += strength * wp_cylinder_factor(1, k * a * sine) * (1.0 / r + k * (double complex)I) *
               cexp(-k * r * (double complex)I);
    }
    return cabs(sum);
}

/* 0.05 dB is 0.6 %. Also at a hand's breadth and at 16 kHz on a tall tube. */
static void pressure_matches_direct_summation(void **state)
{
    (void)state;
    static const struct wp_ear ears[5] = {
        {0.05, 0.1}, {0.1, -0.87}, {0.5, 0.3}, {3.0, 0.4}, {3.0, 0.02}};
    const struct wp_tube tube = solved(0.0508, 0.002, 1.75);
    for (size_t i = 0; i < tube.n_bending; i += 5) {
        for (int j = 0; j < 5; j++) {
            const struct wp_partial *p = &tube.partials[i];
            const double expected = summed_pressure(&tube, p, ears[j]);
            assert_relative(wp_tube_pressure(&tube, p, ears[j]), expected, 0.0058);
        }
    }
}

/* Upper partials of a light tube are damped by their own sound; the first is not (Junger & Feit,
 * ch. 6: below coincidence a beam hardly radiates). */
static void sound_damps_upper_partials_but_not_the_first(void **state)
{
    (void)state;
    const struct wp_tube tube = solved(0.0254, 0.00165, 0.6);
    const struct wp_losses *first = &tube.partials[0].losses;
    const struct wp_losses *fifth = &tube.partials[4].losses;
    assert_true(first->radiation < 0.05 * first->viscous);
    assert_true(fifth->radiation > 5.0 * (fifth->viscous + fifth->material));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(cylinder_functions_match_exact_values),
        cmocka_unit_test(thin_cylinder_is_a_line_of_dipoles),
        cmocka_unit_test(long_thin_rod_radiates_like_an_endless_one),
        cmocka_unit_test(far_field_is_silent_level_with_the_middle_and_on_the_axis),
        cmocka_unit_test(near_field_keeps_the_even_nulls_only),
        cmocka_unit_test(near_field_becomes_the_far_field),
        cmocka_unit_test(power_is_what_passes_a_far_sphere),
        cmocka_unit_test(pressure_matches_direct_summation),
        cmocka_unit_test(sound_damps_upper_partials_but_not_the_first),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
