/* SPDX-License-Identifier: MIT */
/* Losses in the metal and in the air's skin against exact solutions and published constants. */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "aluminium.h"
#include "tube/air.h"
#include "tube/cylinder.h"
#include "tube/damping.h"
#include "tube/section.h"
#include "windpeal/tube.h"

/* ISO 2533:1975, table for sea level, 15 C: 1.225 kg/m3, 340.294 m/s, 1.7894e-5 Pa s. */
static void air_is_the_standard_atmosphere(void **state)
{
    (void)state;
    struct wp_air air;
    wp_air_init(&air, 15.0);
    assert_relative(air.density_kg_m3, 1.225, 1e-5);
    assert_relative(air.sound_speed_m_s, 340.294, 1e-5);
    assert_relative(air.viscosity_m2_s * air.density_kg_m3, 1.7894e-5, 1e-4);
}

/*
 * Stokes' cylinder, 1 + 4 K1(z)/(z K0(z)), z = sqrt(i Re), evaluated with mpmath. 50 is a 3 mm tube
 * at 30 Hz, below anything that rings. The leading term alone, sqrt(8/Re) (Stokes 1851; Landau &
 * Lifshitz, Fluid Mechanics, sect. 24), must come within 1 % at a common tube's 27826.
 */
static void viscous_drag_is_that_of_stokes(void **state)
{
    (void)state;
    static const double reynolds[4] = {50.0, 100.0, 1000.0, 27826.0};
    static const double mass[4] = {1.400829335, 1.283151593, 1.089453417, 1.016955927};
    static const double resistance[4] = {0.4390212475, 0.3024933357, 0.0914315547, 0.01702765051};
    for (int i = 0; i < 4; i++) {
        const struct wp_drag drag = wp_viscous_drag(reynolds[i]);
        assert_relative(drag.mass, mass[i], 2e-4);
        assert_relative(drag.resistance, resistance[i], 2e-4);
    }
    assert_relative(wp_viscous_drag(27826.0).resistance, sqrt(8.0 / 27826.0), 0.01);
}

/* 2 pi a rho_air delta / m, delta = sqrt(2 nu / omega): the same law as a loss factor. */
static void viscous_loss_follows_the_boundary_layer(void **state)
{
    (void)state;
    const struct wp_tube_spec spec = aluminium(0.0254, 0.00165, 0.6);
    struct wp_section section;
    struct wp_air air;
    wp_section_init(&section, &spec);
    wp_air_init(&air, 20.0);
    const double layer_m = sqrt(2.0 * air.viscosity_m2_s / (2.0 * M_PI * 416.0));
    const double expected = 2.0 * M_PI * 0.0127 * air.density_kg_m3 * layer_m / section.mass_kg_m;
    assert_relative(wp_viscous_loss(&section, &air, 1.0, 416.0), expected, 0.01);
}

/*
 * The heat equation in the section under a bending strain, d(theta)/dr = 0 at both surfaces,
 * solved with modified Bessel functions of complex argument (mpmath): loss = relaxation strength *
 * Im int theta* r / int r^2. The strength, E alpha^2 T / (rho c_p) = 4.551e-3, is Zener's (Phys.
 * Rev. 52 (1937) 230). One relaxation time stands for a series of them: 10 %.
 */
static void thermoelastic_loss_matches_the_heat_equation(void **state)
{
    (void)state;
    static const struct {
        double outer_diameter_m, wall_m, freq_hz, loss;
    } exact[5] = {
        {0.0254, 0.00165, 416.257, 1.8681648e-6}, {0.0254, 0.00165, 1124.58, 7.1366423e-7},
        {0.002, 0.0002, 50.0, 1.3319955e-3},      {0.010, 0.005, 20.0, 4.2193409e-4},
        {0.010, 0.005, 1.5, 2.2203009e-3},
    };
    for (int i = 0; i < 5; i++) {
        const struct wp_tube_spec spec = aluminium(exact[i].outer_diameter_m, exact[i].wall_m, 0.6);
        struct wp_section section;
        wp_section_init(&section, &spec);
        const double loss = wp_thermoelastic_loss(&section, &spec.material, 20.0, exact[i].freq_hz);
        assert_relative(loss, exact[i].loss, 0.10);
    }
}

/* Loss factors add to 1/Q, and T60 = 6 ln 10 Q / (2 pi f) (any text on room or structural
 * acoustics, e.g. Cremer & Heckl, Structure-Borne Sound, 1988). */
static void decay_time_is_the_sum_of_all_losses(void **state)
{
    (void)state;
    const struct wp_tube_spec spec = aluminium(0.0254, 0.00165, 0.6);
    struct wp_tube tube;
    assert_int_equal(wp_tube_solve(&tube, &spec, 16000.0), WP_OK);
    for (size_t i = 0; i < tube.n_partials; i++) {
        const struct wp_partial *p = &tube.partials[i];
        const struct wp_losses *l = &p->losses;
        const double total =
            l->material + l->thermoelastic + l->viscous + l->radiation + l->support;
        assert_true(l->material > 0 && l->thermoelastic > 0 && l->viscous > 0);
        assert_true(l->radiation > 0 && l->support > 0);
        assert_relative(p->t60_s, 6.0 * log(10.0) / (2.0 * M_PI * p->freq_hz * total), 1e-12);
    }
}

/*
 * A cord as a matched string at the support: sigma = sum r phi^2 / (2 M), r = sqrt(T mu)
 * (mechanical impedance of a string: Fletcher & Rossing 1998, ch. 2). Partial 2 of the slender bar
 * has phi(0.2242) = -1.0015 (mpmath), and two legs carry half of the weight each.
 */
static void cord_takes_what_a_matched_string_takes(void **state)
{
    (void)state;
    struct wp_tube_spec spec = aluminium(0.008, 0.001, 0.6);
    spec.length_m = 1.5;
    struct wp_tube tube;
    assert_int_equal(wp_tube_solve(&tube, &spec, 1.0), WP_OK);
    const double leg = sqrt(0.5 * tube.mass_kg * 9.80665 * 1e-3);
    const double sigma = 2.0 * leg * 1.0015 * 1.0015 / (2.0 * tube.mass_kg);
    const double expected = sigma / (M_PI * tube.partials[1].freq_hz);
    const double got = tube.partials[1].losses.support;
    assert_true(got > expected); /* the rotation takes its share on top */
    assert_true(got < 1.15 * expected);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(air_is_the_standard_atmosphere),
        cmocka_unit_test(viscous_drag_is_that_of_stokes),
        cmocka_unit_test(viscous_loss_follows_the_boundary_layer),
        cmocka_unit_test(thermoelastic_loss_matches_the_heat_equation),
        cmocka_unit_test(decay_time_is_the_sum_of_all_losses),
        cmocka_unit_test(cord_takes_what_a_matched_string_takes),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
