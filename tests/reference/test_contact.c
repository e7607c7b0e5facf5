/* SPDX-License-Identifier: MIT */
/* The blow against textbook constants and against integrations done here step by step. */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "../unit/near.h"
#include "../unit/striker_fixture.h"
#include "striker/pulse.h"
#include "striker/wall.h"

static const double pi = 3.14159265358979323846;

/* A ball given by values; loss-free, so that energies can be compared. */
static struct wp_striker ball(double young_pa, double poisson, double diameter_m, double mass_kg)
{
    return (struct wp_striker){
        .material = {.young_modulus_pa = young_pa, .poisson_ratio = poisson, .restitution = 1.0},
        .diameter_m = diameter_m,
        .mass_kg = mass_kg,
    };
}

static struct wp_tube rod(double length_m)
{
    struct wp_tube tube = fixture_tube(length_m);
    tube.spec.wall_m = 0.5 * tube.spec.outer_diameter_m;
    return tube;
}

/* One mass against springs of given force: the motion from first touch to parting. */
struct motion {
    double duration_s;
    double peak_n;
    double dt_s;
    size_t n;
    double force_n[20001];
};

struct springs {
    double stiffness; /* F = stiffness d^exponent, behind it a linear compliance */
    double exponent;
    double compliance;
};

/* Force at a total deflection: bisection on the force, both springs carry it. */
static double spring_force(const struct springs *s, double depth_m)
{
    double low = 0.0;
    double high = s->stiffness * pow(depth_m, s->exponent);
    if (s->compliance > 0.0) {
        for (int i = 0; i < 60; i++) {
            const double f = 0.5 * (low + high);
            const double d = pow(f / s->stiffness, 1.0 / s->exponent) + s->compliance * f;
            *(d < depth_m ? &low : &high) = f;
        }
    }
    return high;
}

/* Velocity Verlet in 20000 steps over a little more than the contact; loss-free, so symmetric. */
static void integrate(struct motion *m, const struct springs *s, double mass_kg, double speed_m_s,
                      double span_s)
{
    double d = 0.0;
    double v = speed_m_s;
    double f = 0.0;
    *m = (struct motion){.dt_s = span_s / 20000.0};
    while (m->n < 20001) {
        m->force_n[m->n++] = f;
        m->peak_n = fmax(m->peak_n, f);
        v -= 0.5 * m->dt_s * f / mass_kg;
        const double next = d + m->dt_s * v;
        if (next <= 0.0) {
            m->duration_s = m->dt_s * ((double)(m->n - 1) + d / (d - next));
            return;
        }
        d = next;
        f = spring_force(s, d);
        v -= 0.5 * m->dt_s * f / mass_kg;
    }
}

/* Transform of the force at frequency * duration = cycles, over the impulse; about the middle. */
static double spectrum(const struct motion *m, double cycles)
{
    double sum = 0.0;
    double impulse = 0.0;
    for (size_t i = 0; i < m->n; i++) {
        const double t = (double)i * m->dt_s / m->duration_s - 0.5;
        sum += m->force_n[i] * cos(2.0 * pi * cycles * t);
        impulse += m->force_n[i];
    }
    return sum / impulse;
}

static double bisect_spectrum(const struct motion *m, double low, double high, double level)
{
    for (int i = 0; i < 40; i++) {
        const double middle = 0.5 * (low + high);
        *(spectrum(m, middle) > level ? &low : &high) = middle;
    }
    return low;
}

/* C's own gamma function (ISO C 7.12.8). */
static void log_gamma_agrees_with_the_c_library(void **state)
{
    (void)state;
    for (double x = 0.01; x < 200.0; x = x * 1.07 + 0.003) {
        assert_near(wp_log_gamma(x), lgamma(x), 2e-13 * (1.0 + fabs(lgamma(x))));
    }
}

/*
 * T v0 / d_max: pi for a linear spring (half a period of the oscillator), 2.94 for Hertz's contact
 * (K. L. Johnson, "Contact Mechanics", Cambridge University Press, 1985, section 11.4). Others by
 * the integral 2 * int_0^1 dx / sqrt(1 - x^(a+1)), substituted x = 1 - y^2, midpoint rule.
 */
static void contact_time_has_the_textbook_constants(void **state)
{
    (void)state;
    static const double exponents[] = {1.0, 1.5, 2.0, 2.5, 3.0};
    assert_near(wp_pulse_duration(1.0), pi, 1e-12);
    assert_near(wp_pulse_duration(1.5), 2.94, 0.005);
    for (size_t i = 0; i < 5; i++) {
        double sum = 0.0;
        for (int k = 0; k < 200000; k++) {
            const double y = ((double)k + 0.5) / 200000.0;
            sum += 2.0 * y / sqrt(1.0 - pow(1.0 - y * y, exponents[i] + 1.0)) / 200000.0;
        }
        assert_near(wp_pulse_duration(exponents[i]), 2.0 * sum, 1e-5);
    }
    assert_near(wp_pulse_duration(1.5), 2.943275, 1e-6); /* as frozen */
}

/* sin(pi t / T) over half a period has the transform cos(pi x) / (1 - 4 x^2). */
static void linear_spring_has_the_half_sine_spectrum(void **state)
{
    (void)state;
    for (double x = 0.03; x < 40.0; x += 0.37) {
        assert_near(wp_pulse_spectrum(1.0, x), cos(pi * x) / (1.0 - 4.0 * x * x), 1e-12);
    }
    assert_near(wp_pulse_spectrum(1.0, 0.5), pi / 4.0, 1e-12);
    assert_near(wp_pulse_spectrum(1.0, -0.7), wp_pulse_spectrum(1.0, 0.7), 0.0);
}

static void spectrum_follows_the_integrated_contact_to_its_null(void **state)
{
    (void)state;
    static const double exponents[] = {1.0, 1.1, 1.25, 1.4, 1.5};
    static struct motion m;
    for (size_t i = 0; i < 5; i++) {
        const struct springs s = {1e8, exponents[i], 0.0};
        const double depth =
            pow((exponents[i] + 1.0) * 0.05 * 0.25 / (2.0 * 1e8), 1.0 / (exponents[i] + 1.0));
        integrate(&m, &s, 0.05, 0.5, 3.2 * depth / 0.5);
        assert_near(m.duration_s, wp_pulse_duration(exponents[i]) * depth / 0.5,
                    1e-4 * m.duration_s);
        assert_near(wp_pulse_spectrum(exponents[i], 0.0), 1.0, 1e-12);
        /* 0.05 dB down to -10 dB */
        const double tenth = bisect_spectrum(&m, 0.3, 1.3, pow(10.0, -0.5));
        for (double x = 0.05; x <= tenth; x += 0.05) {
            const double off_db =
                20.0 * log10(wp_pulse_spectrum(exponents[i], x) / spectrum(&m, x));
            assert_near(off_db, 0.0, 0.05);
        }
        /* first null within 1 %, beyond it the opposite sign */
        const double null = bisect_spectrum(&m, 1.2, 1.95, 0.0);
        assert_true(wp_pulse_spectrum(exponents[i], 0.99 * null) > 0.0);
        assert_true(wp_pulse_spectrum(exponents[i], 1.01 * null) < 0.0);
        assert_true(spectrum(&m, 1.2 * null) < 0.0);
        assert_true(wp_pulse_spectrum(exponents[i], 1.2 * null) < 0.0);
    }
}

/* Complete elliptic integral of the first kind by the arithmetic-geometric mean; and of the second
 * (Abramowitz & Stegun 17.6). */
static void elliptic(double m, double *k, double *e)
{
    double a = 1.0;
    double b = sqrt(1.0 - m);
    double sum = 0.5 * m;
    for (double power = 0.5; fabs(a - b) > 1e-15;) {
        const double next = 0.5 * (a + b);
        const double c = 0.5 * (a - b);
        b = sqrt(a * b);
        a = next;
        power *= 2.0;
        sum += power * c * c;
    }
    *k = pi / (2.0 * a);
    *e = *k * (1.0 - sum);
}

/*
 * K of F = K d^1.5 for a sphere on a cylinder by the elliptic integrals (K. L. Johnson, "Contact
 * Mechanics", Cambridge University Press, 1985, section 4.2): under the pressure
 * p0 sqrt(1 - x^2/a^2 - y^2/b^2), m = 1 - b^2/a^2 and F = 2/3 p0 pi a b, the surface sinks by
 * d - A x^2 - B y^2 with d = p0 b K(m) / E*, A = p0 b (K - E) / (m a^2 E*),
 * B = p0 b (E / (1-m) - K) / (m a^2 E*).
 */
static double exact_stiffness(double modulus, double ball_m, double rod_m)
{
    const double ra = 0.5 / ball_m;
    const double rb = 0.5 * (1.0 / ball_m + 1.0 / rod_m);
    double low = 1e-6;
    double high = 0.999999;
    double k = 0.0;
    double e = 0.0;
    double m = 0.0;
    for (int i = 0; i < 100; i++) {
        m = 0.5 * (low + high); /* squared eccentricity */
        elliptic(m, &k, &e);
        const double ratio = (e / (1.0 - m) - k) / (k - e); /* B / A */
        *(ratio < rb / ra ? &low : &high) = m;
    }
    const double force = 1.0;
    const double a = cbrt(3.0 * force * (k - e) / (2.0 * pi * m * ra * modulus));
    const double depth = 3.0 * force * k / (2.0 * pi * a * modulus);
    return force / pow(depth, 1.5);
}

/*
 * Johnson 1985, sections 4.2 and 11.4, for a nylon-like ball on the free end of an aluminium rod,
 * where a slender rod opposes a quarter of its mass (1/m = 1/M + (L/2)^2 / (M L^2 / 12) = 4/M).
 * d and T are worked out here from the formulas of the book.
 */
static void ball_on_a_rod_obeys_hertz(void **state)
{
    (void)state;
    const struct wp_striker striker = ball(1e9, 0.42, 0.04, 0.0318);
    const struct wp_tube tube = rod(0.6);
    const double e = 1.0 / ((1.0 - 0.42 * 0.42) / 1e9 + (1.0 - 0.33 * 0.33) / 68.9e9);
    const double k = exact_stiffness(e, 0.02, 0.0127);
    const double mass = 1.0 / (1.0 / 0.0318 + 4.0 / tube.mass_kg);
    const double depth = pow(2.5 * mass * 0.25 / (2.0 * k), 0.4);
    struct wp_contact contact;
    wp_contact_solve(&contact, &striker, &tube, 0.0, 0.5);
    /* 0.1 %: the rod's own thickness adds to its inertia */
    assert_near(contact.duration_s, 2.9433 * depth / 0.5, 1e-3 * contact.duration_s);
    assert_near(contact.peak_n, k * pow(depth, 1.5), 1e-3 * contact.peak_n);
    assert_near(contact.impulse_n_s, 2.0 * mass * 0.5, 1e-3 * contact.impulse_n_s);
    assert_near(contact.exponent, 1.5, 1e-9);
    assert_near(contact.duration_s, 380.1e-6, 1e-6); /* as frozen */
    assert_near(wp_contact_spectrum(&contact, wp_contact_cutoff_hz(&contact)), sqrt(0.1), 1e-6);
}

/* T ~ v^-1/5 (Johnson 1985, section 11.4): twice as fast is 2^-0.2 as long, 2^1.2 as strong. */
static void faster_is_harder_and_shorter_by_hertz(void **state)
{
    (void)state;
    const struct wp_striker striker = ball(1e9, 0.42, 0.04, 0.0318);
    const struct wp_tube tube = rod(0.6);
    struct wp_contact slow;
    struct wp_contact fast;
    wp_contact_solve(&slow, &striker, &tube, 0.03, 0.2);
    wp_contact_solve(&fast, &striker, &tube, 0.03, 0.4);
    assert_near(fast.duration_s / slow.duration_s, pow(2.0, -0.2), 1e-9);
    assert_near(fast.peak_n / slow.peak_n, pow(2.0, 1.2), 1e-9);
    assert_near(fast.impulse_n_s / slow.impulse_n_s, 2.0, 1e-12);
}

static void ellipse_of_contact_has_the_stiffness_of_its_integrals(void **state)
{
    (void)state;
    static const double balls_m[] = {0.005, 0.0127, 0.02, 0.035, 0.05};
    const double e = 1.0 / ((1.0 - 0.4 * 0.4) / 2e9 + (1.0 - 0.33 * 0.33) / 68.9e9);
    for (size_t i = 0; i < 5; i++) {
        const struct wp_striker striker = ball(2e9, 0.4, 2.0 * balls_m[i], 0.05);
        const struct wp_tube tube = rod(0.6);
        struct wp_contact contact;
        wp_contact_solve(&contact, &striker, &tube, 0.3, 0.3);
        /* F^5/3 = 5/2 U K^2/3 and U = J v0 / 4 for a loss-free blow give K. */
        const double energy = 0.25 * contact.impulse_n_s * 0.3;
        const double k = pow(pow(contact.peak_n, 5.0 / 3.0) / (2.5 * energy), 1.5);
        const double exact = exact_stiffness(e, balls_m[i], 0.0127);
        assert_near(k, exact, 1e-4 * exact);
    }
}

/*
 * Wall of a long tube by Fourier's integral along the tube, W = sum over n of
 * (1/pi) int_0^inf dxi / (B_n xi^4 + k_n), where the solver has the closed form. k_n is the ring
 * stiffness that gives Timoshenko's 0.149 P R^3 / (E I) for two opposite forces.
 */
static void middle_of_the_wall_agrees_with_the_fourier_integral(void **state)
{
    (void)state;
    const struct wp_tube tube = fixture_tube(1.5);
    const double h = 0.00165;
    const double r = 0.5 * (0.0254 - 0.00165);
    const double young = 68.9e9;
    const double d = young * h * h * h / (12.0 * (1.0 - 0.33 * 0.33));
    double ring = 0.0;
    double sum = 0.0;
    for (int n = 2; n < 1500; n++) {
        const double n2 = (double)(n * n);
        const double k = pi * d * (n2 - 1.0) * (n2 - 1.0) / (r * r * r);
        const double b = pi * young * h * r * r * r / (n2 * n2);
        ring += n % 2 == 0 ? 2.0 * 2.0 / k : 0.0;
        const double top = 60.0 * pow(k / b, 0.25);
        for (int i = 0; i < 600; i++) {
            const double xi = top * ((double)i + 0.5) / 600.0;
            sum += top / 600.0 / (b * xi * xi * xi * xi + k) / pi;
        }
    }
    assert_near(ring * d / (r * r * r), 0.149, 0.0005); /* S. Timoshenko, "Strength of Materials" */
    assert_near(wp_wall_compliance(&tube.spec, 0.75), sum, 0.002 * sum);
    const double rule = 1.85 * young * pow(h, 2.5) / pow(r, 1.5);
    assert_near(1.0 / wp_wall_compliance(&tube.spec, 0.75), rule, 0.01 * rule);
}

/* A beam on an elastic foundation gives way four times as much at its free end as in the middle
 * (M. Hetenyi, "Beams on Elastic Foundation", 1946: 2 P beta / k against P beta / (2 k)). */
static void open_end_of_the_wall_is_four_times_as_soft(void **state)
{
    (void)state;
    const struct wp_tube tube = fixture_tube(0.6);
    const double middle = wp_wall_compliance(&tube.spec, 0.3);
    assert_near(wp_wall_compliance(&tube.spec, 0.0) / middle, 4.0, 1e-3);
    assert_near(wp_wall_compliance(&tube.spec, 0.6) / middle, 4.0, 1e-3);
    double softer = wp_wall_compliance(&tube.spec, 0.0);
    for (double x = 0.002; x < 0.05; x += 0.002) {
        const double here = wp_wall_compliance(&tube.spec, x);
        assert_true(here < softer);
        softer = here;
    }
    const struct wp_tube solid = rod(0.6);
    assert_near(wp_wall_compliance(&solid.spec, 0.01), 0.0, 0.0);
}

/* Steel on a thin tube: the wall decides; nylon: both; integrated here with both springs. */
static void wall_and_contact_in_series_match_the_integrated_motion(void **state)
{
    (void)state;
    static const double young[] = {200e9, 2e9, 50e6};
    static const double speeds[] = {0.05, 0.5};
    static struct motion m;
    const struct wp_tube tube = fixture_tube(0.6);
    for (size_t i = 0; i < 6; i++) {
        const struct wp_striker striker = ball(young[i / 2], 0.3, 0.03, 0.05);
        const double v = speeds[i % 2];
        struct wp_contact contact;
        wp_contact_solve(&contact, &striker, &tube, 0.1, v);
        const double e = 1.0 / (0.91 / young[i / 2] + (1.0 - 0.33 * 0.33) / 68.9e9);
        const struct springs s = {exact_stiffness(e, 0.015, 0.0127), 1.5,
                                  wp_wall_compliance(&tube.spec, 0.1)};
        const double mass = contact.impulse_n_s / (2.0 * v);
        integrate(&m, &s, mass, v, 1.1 * contact.duration_s);
        assert_near(contact.peak_n, m.peak_n, 1e-4 * m.peak_n);
        assert_near(contact.duration_s, m.duration_s, 0.01 * m.duration_s);
        assert_true(contact.exponent > 1.0 && contact.exponent < 1.5);
        /* brightness: half power within 1 % */
        const double half = bisect_spectrum(&m, 0.3, 1.0, sqrt(0.5)) / m.duration_s;
        assert_near(wp_contact_spectrum(&contact, half), sqrt(0.5), 0.01);
    }
}

static void harder_striker_is_shorter_and_brighter(void **state)
{
    (void)state;
    static const char *const soft_to_hard[] = {"soft rubber", "hard rubber", "polyurethane 95A",
                                               "hardwood",    "nylon",       "steel"};
    const struct wp_tube tube = fixture_tube(0.6);
    struct wp_contact before = {.duration_s = 1.0};
    double dark = 0.0;
    for (size_t i = 0; i < 6; i++) {
        struct wp_striker striker = ball(1e9, 0.3, 0.04, 0.05);
        striker.material = *wp_striker_material_find(soft_to_hard[i]);
        struct wp_contact contact;
        wp_contact_solve(&contact, &striker, &tube, 0.03, 0.3);
        assert_true(contact.duration_s < before.duration_s);
        /* Milliseconds for rubber and wood, less for steel: common practice, no source. */
        assert_true(contact.duration_s > 5e-5 && contact.duration_s < 1e-2);
        const double bright =
            contact.duration_s < 1e-3 ? wp_contact_spectrum(&contact, 500.0) : dark;
        assert_true(bright >= dark);
        dark = bright;
        before = contact;
    }
}

/* A point mass at the top end moves the centre of mass: compared with the sum over two bodies. */
static void end_mass_counts_in_the_blow(void **state)
{
    (void)state;
    struct wp_tube tube = rod(0.6);
    tube.mass_kg = tube.bare_mass_kg + 0.05;
    const struct wp_striker striker =
        ball(1e9, 0.3, 0.04, 1e6); /* so heavy that m_eff is the tube's */
    const double m = tube.bare_mass_kg;
    const double centre = (m * 0.3 + 0.05 * 0.6) / (m + 0.05);
    const double inertia = m * (0.6 * 0.6 / 12.0 + 0.0127 * 0.0127 / 4.0) +
                           m * pow(centre - 0.3, 2.0) + 0.05 * pow(0.6 - centre, 2.0);
    const double want = 1.0 / (1.0 / (m + 0.05) + pow(centre - 0.1, 2.0) / inertia);
    struct wp_contact contact;
    wp_contact_solve(&contact, &striker, &tube, 0.1, 0.5);
    assert_near(contact.impulse_n_s / (2.0 * 0.5), want, 1e-6 * want);
}

static void ideal_contact_is_an_impulse(void **state)
{
    (void)state;
    struct wp_striker striker = ball(1e9, 0.3, 0.04, 0.05);
    const struct wp_tube tube = fixture_tube(0.6);
    struct wp_contact real;
    struct wp_contact ideal;
    wp_contact_solve(&real, &striker, &tube, 0.03, 0.3);
    striker.is_ideal = 1;
    wp_contact_solve(&ideal, &striker, &tube, 0.03, 0.3);
    assert_near(ideal.impulse_n_s, real.impulse_n_s, 0.0);
    assert_near(ideal.duration_s, 0.0, 0.0);
    assert_true(isinf(ideal.peak_n));
    assert_near(wp_contact_spectrum(&ideal, 16000.0), 1.0, 0.0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(log_gamma_agrees_with_the_c_library),
        cmocka_unit_test(contact_time_has_the_textbook_constants),
        cmocka_unit_test(linear_spring_has_the_half_sine_spectrum),
        cmocka_unit_test(spectrum_follows_the_integrated_contact_to_its_null),
        cmocka_unit_test(ball_on_a_rod_obeys_hertz),
        cmocka_unit_test(faster_is_harder_and_shorter_by_hertz),
        cmocka_unit_test(ellipse_of_contact_has_the_stiffness_of_its_integrals),
        cmocka_unit_test(middle_of_the_wall_agrees_with_the_fourier_integral),
        cmocka_unit_test(open_end_of_the_wall_is_four_times_as_soft),
        cmocka_unit_test(wall_and_contact_in_series_match_the_integrated_motion),
        cmocka_unit_test(harder_striker_is_shorter_and_brighter),
        cmocka_unit_test(end_mass_counts_in_the_blow),
        cmocka_unit_test(ideal_contact_is_an_impulse),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
