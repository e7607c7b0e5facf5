/* SPDX-License-Identifier: MIT */
/* Bending frequencies, nodes and shapes against textbooks, an exact solution and a standard. */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "aluminium.h"
#include "tube/beam.h"
#include "tube/section.h"
#include "tube/support.h"
#include "windpeal/tube.h"

/* 25.4 mm x 1.65 mm x 600 mm, in a vacuum. */
static struct wp_tube_spec reference_tube(void)
{
    struct wp_tube_spec spec = aluminium(0.0254, 0.00165, 0.6);
    spec.without_air_mass = true;
    return spec;
}

/*
 * Timoshenko's equation with Hutchinson's coefficient (k = 0.5750722), solved with 40 digits from
 * the matrix exponential of the first-order system (mpmath): the zeros of the 2 x 2 determinant of
 * end moment and end shear. Neither determinant nor root search is shared with the code.
 */
static void twelve_partials_of_a_tube_match_an_exact_solution(void **state)
{
    (void)state;
    static const double exact_hz[12] = {416.2570976625,   1124.5825259174,  2143.2290053433,
                                        3420.5614425276,  4908.2784073771,  6561.6897462452,
                                        8342.5881985055,  10219.7235756100, 12168.2637393050,
                                        14168.8245594530, 16206.4315700680, 18269.5752770270};
    const struct wp_tube_spec spec = reference_tube();
    double freqs_hz[12];
    assert_int_equal(wp_tube_frequencies(&spec, freqs_hz, 12), WP_OK);
    for (int i = 0; i < 12; i++) {
        assert_relative(freqs_hz[i], exact_hz[i], 1e-11);
    }
}

/* The same solution with Q(0) = -omega^2 m W(0) at the top end, m = 10 g. */
static void an_end_mass_matches_an_exact_solution(void **state)
{
    (void)state;
    static const double exact_hz[4] = {384.84095608257, 1051.3881068366, 2022.0786386781,
                                       3251.7887123535};
    struct wp_tube_spec spec = reference_tube();
    double freqs_hz[4];
    spec.end_mass_kg = 0.010;
    assert_int_equal(wp_tube_frequencies(&spec, freqs_hz, 4), WP_OK);
    for (int i = 0; i < 4; i++) {
        assert_relative(freqs_hz[i], exact_hz[i], 1e-11);
    }
}

/* Tube and plug of the test below, in SI units. */
struct plugged {
    double bending;  /* E I */
    double shearing; /* k G A */
    double mass_kg_m;
    double rotary; /* rho I */
    double length_m;
    double plug_kg;
    double depth_m; /* of the plug's centre below the top end */
    double turning; /* its moment of inertia about that centre */
};

/* Slopes of deflection, rotation, moment and shear force along the tube. */
static void slopes(const struct plugged *p, double omega2, const double y[4], double out[4])
{
    out[0] = y[1] + y[3] / p->shearing;
    out[1] = y[2] / p->bending;
    out[2] = -y[3] - omega2 * p->rotary * y[1];
    out[3] = -omega2 * p->mass_kg_m * y[0];
}

/* From the bottom end up to the top by fourth-order Runge-Kutta. */
static void march(const struct plugged *p, double omega2, double y[4])
{
    enum { N = 800 };
    const double h = -p->length_m / N;
    for (int i = 0; i < N; i++) {
        double k[4][4];
        double z[4];
        for (int stage = 0; stage < 4; stage++) {
            const double part = stage == 0 ? 0.0 : stage == 3 ? h : 0.5 * h;
            for (int j = 0; j < 4; j++) {
                z[j] = y[j] + (stage ? part * k[stage - 1][j] : 0.0);
            }
            slopes(p, omega2, z, k[stage]);
        }
        for (int j = 0; j < 4; j++) {
            y[j] += h / 6.0 * (k[0][j] + 2.0 * k[1][j] + 2.0 * k[2][j] + k[3][j]);
        }
    }
}

/*
 * Zero at a natural frequency: moment and shear force that a plug leaves over at the top end, for
 * the two motions that are free at the bottom end. d'Alembert: Q = -omega^2 m (W + c psi), M =
 * -omega^2 (m c (W + c psi) + J psi).
 */
static double plugged_determinant(const struct plugged *p, double freq_hz)
{
    const double omega2 = 4.0 * M_PI * M_PI * freq_hz * freq_hz;
    double left[2][2];
    for (int i = 0; i < 2; i++) {
        double y[4] = {i == 0 ? 1.0 : 0.0, i == 0 ? 0.0 : 1.0 / p->length_m, 0.0, 0.0};
        march(p, omega2, y);
        const double centre = y[0] + p->depth_m * y[1];
        left[0][i] = y[3] + omega2 * p->plug_kg * centre;
        left[1][i] = y[2] + omega2 * (p->plug_kg * p->depth_m * centre + p->turning * y[1]);
    }
    return left[0][0] * left[1][1] - left[0][1] * left[1][0];
}

/*
 * A plug of 60 mm and 40 g in the top end of the reference tube: Timoshenko's equations integrated
 * here (S. P. Timoshenko, Phil. Mag. 41 (1921) 744), with Hutchinson's coefficient k = 0.5750722,
 * and the inertia of a solid cylinder m (3 r^2 + l^2)/12 about its centre (any text).
 */
static void plug_matches_the_integrated_equations(void **state)
{
    (void)state;
    const double ro = 0.0127;
    const double ri = 0.01105;
    const double area = M_PI * (ro * ro - ri * ri);
    const double moment = M_PI / 4.0 * (pow(ro, 4.0) - pow(ri, 4.0));
    const struct plugged plugged = {
        .bending = 68.9e9 * moment,
        .shearing = 0.5750722 * 68.9e9 / 2.66 * area,
        .mass_kg_m = 2700.0 * area,
        .rotary = 2700.0 * moment,
        .length_m = 0.6,
        .plug_kg = 0.04,
        .depth_m = 0.03,
        .turning = 0.04 * (3.0 * ri * ri + 0.06 * 0.06) / 12.0,
    };
    struct wp_tube_spec spec = reference_tube();
    double freqs_hz[8];
    spec.end_mass_kg = 0.04;
    spec.plug_length_m = 0.06;
    assert_int_equal(wp_tube_frequencies(&spec, freqs_hz, 8), WP_OK);
    for (int i = 0; i < 8; i++) {
        assert_true(plugged_determinant(&plugged, freqs_hz[i] * (1.0 - 1e-7)) *
                        plugged_determinant(&plugged, freqs_hz[i] * (1.0 + 1e-7)) <
                    0.0);
    }
    int n_roots = 0;
    for (double hz = 50.0; hz < freqs_hz[7]; hz += 50.0) {
        const double here = plugged_determinant(&plugged, hz);
        n_roots += here * plugged_determinant(&plugged, fmin(hz + 50.0, freqs_hz[7] + 1.0)) < 0.0;
    }
    assert_int_equal(n_roots, 8);
    /* A plug hangs below the end, where less moves: it lowers partial 1 less than a point does. */
    double point_hz;
    spec.plug_length_m = 0.0;
    assert_int_equal(wp_tube_frequencies(&spec, &point_hz, 1), WP_OK);
    assert_true(freqs_hz[0] > point_hz);
}

/*
 * Steel rod, 100 mm x 300 mm, past the cut-off frequency (19.2 kHz), where bending and shear waves
 * alternate and pairs nearly coincide: all sign changes of the same independent determinant up to
 * 90 kHz, by a scan in steps of 100 Hz (mpmath).
 */
static void no_root_is_missed_or_doubled_past_the_cut_off(void **state)
{
    (void)state;
    static const double exact_hz[28] = {
        4035.26957641, 8714.15723765, 13782.395434,  17937.8357624, 21721.6796163, 21845.6006158,
        27062.9523728, 27194.4613616, 32894.4700363, 33049.3625126, 38496.7527767, 39582.0499091,
        44071.1198614, 46322.7237007, 49833.9505725, 52701.6727038, 56219.4021594, 58455.2298435,
        63379.9332004, 63883.4228111, 69206.8186775, 70892.3122944, 74567.2831256, 78114.9577129,
        80393.4964401, 84061.7477658, 87582.3811822, 89388.0142958};
    struct wp_tube_spec spec = reference_tube();
    spec.material.young_modulus_pa = 200e9;
    spec.material.density_kg_m3 = 7850.0;
    spec.material.poisson_ratio = 0.29;
    spec.outer_diameter_m = 0.1;
    spec.wall_m = 0.05;
    spec.length_m = 0.3;
    double freqs_hz[29];
    assert_int_equal(wp_tube_frequencies(&spec, freqs_hz, 29), WP_OK);
    for (int i = 0; i < 28; i++) {
        assert_relative(freqs_hz[i], exact_hz[i], 1e-10);
    }
    assert_true(freqs_hz[28] > 90e3);
}

/* A rod so slender that shear and rotary inertia vanish: D/L = 1/12000. */
static struct wp_tube_spec slender_rod(void)
{
    struct wp_tube_spec spec = reference_tube();
    spec.outer_diameter_m = 0.001;
    spec.wall_m = 0.0005;
    spec.length_m = 12.0;
    return spec;
}

/*
 * Roots of cos x cosh x = 1: Rayleigh, The Theory of Sound, vol. 1 (1877), sect. 174 (from memory),
 * prints 4.7300, 7.8532, 10.9956, 14.1372, 17.2788; more digits from mpmath. f = x^2/(2 pi L^2)
 * sqrt(E I/(rho A)), for a rod sqrt(I/A) = D/4.
 */
static void slender_rod_has_the_roots_of_rayleigh(void **state)
{
    (void)state;
    static const double roots[8] = {4.7300407449,  7.8532046241,  10.9956078380, 14.1371654913,
                                    17.2787596574, 20.4203522456, 23.5619449020, 26.7035375555};
    const struct wp_tube_spec spec = slender_rod();
    const double unit_hz = sqrt(68.9e9 / 2700.0) * 0.001 / 4.0 / (2.0 * M_PI * 12.0 * 12.0);
    double freqs_hz[8];
    assert_int_equal(wp_tube_frequencies(&spec, freqs_hz, 8), WP_OK);
    for (int i = 0; i < 8; i++) {
        assert_relative(freqs_hz[i], roots[i] * roots[i] * unit_hz, 1e-6);
    }
}

/* Ratios to the first: 2.756, 5.404, 8.933 (Fletcher & Rossing, The Physics of Musical
 * Instruments, 2nd ed. 1998, sect. 2.15; three decimals). */
static void slender_rod_has_the_textbook_ratios(void **state)
{
    (void)state;
    const struct wp_tube_spec spec = slender_rod();
    double f[4];
    assert_int_equal(wp_tube_frequencies(&spec, f, 4), WP_OK);
    assert_true(fabs(f[1] / f[0] - 2.756) < 0.001);
    assert_true(fabs(f[2] / f[0] - 5.404) < 0.001);
    assert_true(fabs(f[3] / f[0] - 8.933) < 0.001);
}

/*
 * Nodes of the free bar: 0.2242; 0.1321, 0.5; 0.0944, 0.3558 (Rayleigh 1877, sect. 178, from
 * memory, to four figures). The shape must change sign there.
 */
static void slender_rod_has_the_nodes_of_rayleigh(void **state)
{
    (void)state;
    static const double nodes[5] = {0.2242, 0.1321, 0.5, 0.0944, 0.3558};
    static const int of_partial[5] = {0, 1, 1, 2, 2};
    const struct wp_tube_spec spec = slender_rod();
    struct wp_tube tube;
    assert_int_equal(wp_tube_solve(&tube, &spec, 1.0), WP_OK);
    for (int i = 0; i < 5; i++) {
        const struct wp_shape *shape = &tube.partials[of_partial[i]].shape;
        assert_true(wp_shape_at(shape, nodes[i] - 1e-4) * wp_shape_at(shape, nodes[i] + 1e-4) < 0);
    }
}

/*
 * Shape cosh + cos - s (sinh + sin) with s of Rayleigh's bar has 2 at both ends, mean square 1,
 * and -1.215644 (n = 1) and 1.422381 (n = 3) in the middle (mpmath).
 */
static void slender_rod_has_the_textbook_shape(void **state)
{
    (void)state;
    const struct wp_tube_spec spec = slender_rod();
    struct wp_tube tube;
    assert_int_equal(wp_tube_solve(&tube, &spec, 1.0), WP_OK);
    for (int i = 0; i < 8; i++) {
        const struct wp_shape *shape = &tube.partials[i].shape;
        assert_true(fabs(wp_shape_at(shape, 1.0) - 2.0) < 1e-5);
        assert_true(fabs(wp_shape_at(shape, 0.0) - (i % 2 ? -2.0 : 2.0)) < 1e-5);
    }
    assert_true(fabs(wp_shape_at(&tube.partials[0].shape, 0.5) + 1.215644) < 1e-5);
    assert_true(fabs(wp_shape_at(&tube.partials[2].shape, 0.5) - 1.422381) < 1e-5);
    assert_true(fabs(wp_shape_at(&tube.partials[1].shape, 0.5)) < 1e-9);
}

/*
 * ASTM E1876, Young's modulus of a rod from its first bending frequency (full correction T1, from
 * memory): E = 1.6067 L^3/D^4 m f^2 T1. T1 itself is an approximation of three-dimensional
 * elasticity, hence the tolerances; the standard has no formula for tubes.
 */
static double astm_rod_hz(double young_pa, double density, double nu, double diameter,
                          double length)
{
    const double q2 = diameter * diameter / (length * length);
    const double q4 = q2 * q2;
    const double t1 = 1.0 + 4.939 * (1.0 + 0.0752 * nu + 0.8109 * nu * nu) * q2 - 0.4883 * q4 -
                      4.691 * (1.0 + 0.2023 * nu + 2.173 * nu * nu) * q4 /
                          (1.0 + 4.754 * (1.0 + 0.1408 * nu + 1.536 * nu * nu) * q2);
    const double mass = density * M_PI / 4.0 * diameter * diameter * length;
    return sqrt(young_pa * pow(diameter, 4.0) / (1.6067 * pow(length, 3.0) * mass * t1));
}

static void solid_rods_agree_with_astm_e1876(void **state)
{
    (void)state;
    static const double slenderness[4] = {0.01, 0.05, 0.1, 0.2};
    static const double tolerance[4] = {6e-5, 3e-4, 7e-4, 3e-3};
    for (int i = 0; i < 4; i++) {
        struct wp_tube_spec spec = reference_tube();
        spec.material.young_modulus_pa = 200e9;
        spec.material.density_kg_m3 = 7850.0;
        spec.material.poisson_ratio = 0.29;
        spec.length_m = 0.3;
        spec.outer_diameter_m = slenderness[i] * spec.length_m;
        spec.wall_m = spec.outer_diameter_m / 2.0;
        double first_hz;
        assert_int_equal(wp_tube_frequencies(&spec, &first_hz, 1), WP_OK);
        const double astm_hz = astm_rod_hz(200e9, 7850.0, 0.29, spec.outer_diameter_m, 0.3);
        assert_relative(first_hz, astm_hz, tolerance[i]);
    }
}

/*
 * Hutchinson's coefficient of a rod, 6 (1+nu)^2 / (7 + 12 nu + 4 nu^2) (J. Appl. Mech. 68 (2001)
 * 87, abstract), and of a thin tube, (1+nu) / (2+nu) (limit of the hollow section).
 */
static void shear_coefficient_has_its_limits(void **state)
{
    (void)state;
    assert_relative(wp_shear_coefficient(0.0, 0.3), 6.0 * 1.69 / (7.0 + 3.6 + 0.36), 1e-12);
    assert_relative(wp_shear_coefficient(1.0 - 1e-9, 0.3), 1.3 / 2.3, 1e-8);
}

/*
 * Pitch against temperature when everything expands: ln f changes by half of (dE/dT)/E + alpha a
 * kelvin (dimensional analysis); aluminium -0.41 cents a kelvin.
 */
static void warm_tube_sounds_lower_by_the_textbook_amount(void **state)
{
    (void)state;
    struct wp_tube_spec spec = reference_tube();
    double cold_hz, warm_hz;
    assert_int_equal(wp_tube_frequencies(&spec, &cold_hz, 1), WP_OK);
    spec.temperature_c = 30.0;
    assert_int_equal(wp_tube_frequencies(&spec, &warm_hz, 1), WP_OK);
    const double expected_cents = 600.0 / log(2.0) * (-5e-4 + 23.4e-6) * 10.0;
    assert_true(fabs(1200.0 * log2(warm_hz / cold_hz) - expected_cents) < 0.02);
}

/* rho pi (a_o^2 + a_i^2) per length moves along: -600 log2(1 + dm/m). Outside part by Lamb,
 * Hydrodynamics (1932), sect. 68; it shrinks a little with the bending wave's length. */
static void added_mass_of_air_costs_the_textbook_cents(void **state)
{
    (void)state;
    static const double outer_m[4] = {0.0254, 0.050, 0.012, 0.0254};
    static const double wall_m[4] = {0.00165, 0.0015, 0.001, 0.00165};
    static const double density[4] = {2700.0, 2700.0, 2700.0, 7850.0};
    for (int i = 0; i < 4; i++) {
        struct wp_tube_spec spec = reference_tube();
        spec.outer_diameter_m = outer_m[i];
        spec.wall_m = wall_m[i];
        spec.material.density_kg_m3 = density[i];
        spec.length_m = 24.0 * outer_m[i];
        double vacuum_hz, air_hz;
        assert_int_equal(wp_tube_frequencies(&spec, &vacuum_hz, 1), WP_OK);
        spec.without_air_mass = false;
        assert_int_equal(wp_tube_frequencies(&spec, &air_hz, 1), WP_OK);
        const double ao = outer_m[i] / 2.0;
        const double ai = ao - wall_m[i];
        const double ratio = 1.2041 * (ao * ao + ai * ai) / (density[i] * (ao * ao - ai * ai));
        const double expected_cents = -600.0 * log2(1.0 + ratio);
        assert_relative(1200.0 * log2(air_hz / vacuum_hz), expected_cents, 0.03);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(twelve_partials_of_a_tube_match_an_exact_solution),
        cmocka_unit_test(an_end_mass_matches_an_exact_solution),
        cmocka_unit_test(plug_matches_the_integrated_equations),
        cmocka_unit_test(no_root_is_missed_or_doubled_past_the_cut_off),
        cmocka_unit_test(slender_rod_has_the_roots_of_rayleigh),
        cmocka_unit_test(slender_rod_has_the_textbook_ratios),
        cmocka_unit_test(slender_rod_has_the_nodes_of_rayleigh),
        cmocka_unit_test(slender_rod_has_the_textbook_shape),
        cmocka_unit_test(solid_rods_agree_with_astm_e1876),
        cmocka_unit_test(shear_coefficient_has_its_limits),
        cmocka_unit_test(warm_tube_sounds_lower_by_the_textbook_amount),
        cmocka_unit_test(added_mass_of_air_costs_the_textbook_cents),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
