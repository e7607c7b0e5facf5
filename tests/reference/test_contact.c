/* SPDX-License-Identifier: MIT */
/* The blow against textbook constants and against integrations done here step by step. */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "../near.h"
#include "../unit/striker_fixture.h"
#include "striker/loss.h"
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

/*
 * T v0 / d_max of F ~ d^a: 2.94 for Hertz's contact (K. L. Johnson, "Contact Mechanics", Cambridge
 * University Press, 1985, section 11.4). Others by the integral 2 * int_0^1 dx / sqrt(1 -
 * x^(a+1)), substituted x = 1 - y^2, midpoint rule. The solver's contact gives d_max by its energy,
 * F_max d_max / (a+1) = J v0 / 4.
 */
static void contact_time_has_the_textbook_constants(void **state)
{
    (void)state;
    for (int i = 0; i < 4; i++) {
        const double exponent = 1.5 + 0.5 * i;
        struct wp_striker striker = ball(1e9, 0.42, 0.04, 0.0318);
        const struct wp_tube tube = rod(0.6);
        struct wp_contact contact;
        double sum = 0.0;
        for (int k = 0; k < 200000; k++) {
            const double y = ((double)k + 0.5) / 200000.0;
            sum += 2.0 * y / sqrt(1.0 - pow(1.0 - y * y, exponent + 1.0)) / 200000.0;
        }
        striker.stiffening = exponent - 1.5;
        wp_contact_solve(&contact, &striker, &tube, 0.1, 0.5);
        const double depth = 0.25 * contact.impulse_n_s * 0.5 * (exponent + 1.0) / contact.peak_n;
        assert_near(contact.duration_s * 0.5 / depth, 2.0 * sum, 2e-3 * 2.0 * sum);
        assert_true(i > 0 || fabs(2.0 * sum - 2.94) < 0.005);
    }
}

/* The whole pulse against a motion integrated here: 0.05 dB down to -10 dB, 0.3 dB further. */
static void spectrum_follows_the_integrated_contact(void **state)
{
    (void)state;
    static const double stiffenings[] = {0.0, 0.5, 1.0, 1.5};
    static struct motion m;
    const struct wp_tube tube = rod(0.6);
    for (size_t i = 0; i < 4; i++) {
        struct wp_striker striker = ball(1e9, 0.42, 0.04, 0.0318);
        struct wp_contact contact;
        striker.stiffening = stiffenings[i];
        wp_contact_solve(&contact, &striker, &tube, 0.1, 0.5);
        const double exponent = 1.5 + stiffenings[i];
        const double mass = contact.impulse_n_s / (2.0 * 0.5);
        const double energy = 0.5 * mass * 0.25;
        const double k =
            contact.peak_n * pow(contact.peak_n / ((exponent + 1.0) * energy), exponent);
        const struct springs s = {k, exponent, 0.0};
        integrate(&m, &s, mass, 0.5, 1.1 * contact.duration_s);
        for (double x = 0.05; x <= 1.6; x += 0.05) {
            const double exact = fabs(spectrum(&m, x));
            const double off_db =
                20.0 * log10(wp_contact_spectrum(&contact, x / m.duration_s) / exact);
            assert_near(off_db, 0.0, exact > 0.316 ? 0.05 : exact > 0.03 ? 0.3 : 100.0);
        }
        double variance = 0.0; /* about the middle: without loss the pulse is symmetric */
        double sum = 0.0;
        for (size_t j = 0; j < m.n; j++) {
            const double t = (double)j * m.dt_s - 0.5 * m.duration_s;
            variance += m.force_n[j] * t * t;
            sum += m.force_n[j];
        }
        assert_near(contact.spread_s, sqrt(variance / sum), 0.005 * contact.spread_s);
    }
}

/* Restitution of F = K d^a (1 + mu v) by fourth-order Runge-Kutta in small steps; K = m = v0 = 1.
 */
static double integrated_restitution(double x, double exponent)
{
    const double dt = 1e-4;
    double d = 0.0;
    double v = 1.0;
    do {
        double dd[4];
        double dv[4];
        for (int i = 0; i < 4; i++) {
            const double part = i == 0 ? 0.0 : i == 3 ? dt : 0.5 * dt;
            const double di = d + (i ? part * dd[i - 1] : 0.0);
            const double vi = v + (i ? part * dv[i - 1] : 0.0);
            dd[i] = vi;
            dv[i] = -pow(fmax(di, 0.0), exponent) * (1.0 + x * vi);
        }
        d += dt / 6.0 * (dd[0] + 2.0 * dd[1] + 2.0 * dd[2] + dd[3]);
        v += dt / 6.0 * (dv[0] + 2.0 * dv[1] + 2.0 * dv[2] + dv[3]);
    } while (d > 0.0);
    return -v;
}

/* K. H. Hunt, F. R. E. Crossley, J. Appl. Mech. 42 (1975) 440: first order 1 - 2/3 mu v0. */
static void restitution_falls_with_speed_as_the_law_says(void **state)
{
    (void)state;
    static const double x[] = {0.05, 0.1, 0.2, 0.4, 0.8};
    for (size_t i = 0; i < 5; i++) {
        const double e = wp_loss_restitution(x[i]);
        assert_near(e, integrated_restitution(x[i], 1.5), 2e-6);
        assert_near(e, integrated_restitution(x[i], 2.5), 2e-6);
        assert_near(wp_loss_for(e), x[i], 1e-9);
    }
    static const double frozen[] = {0.96774, 0.93748, 0.88219, 0.78854, 0.64797};
    for (size_t i = 0; i < 5; i++) {
        assert_near(wp_loss_restitution(x[i]), frozen[i], 5e-6);
    }
    assert_near(wp_loss_restitution(1e-3), 1.0 - 2.0 / 3.0 * 1e-3, 1e-6);
    assert_near(wp_loss_restitution(0.0), 1.0, 0.0);
    assert_near(wp_loss_restitution(1e-4 * 0.999), wp_loss_restitution(1e-4 * 1.001), 1e-6);
    assert_near(wp_loss_for(1.0), 0.0, 0.0);
    assert_true(wp_loss_restitution(50.0) < 1.0 / 50.0);
}

/* The blow on a rod that stays rigid returns the closed form's impulse, (1 + e(mu v)) m v, at every
 * speed and for every exponent; so a softer blow loses less. */
static void blow_returns_what_the_law_leaves(void **state)
{
    (void)state;
    const struct wp_tube tube = rod(0.6);
    double before = 1.0;
    for (int i = 0; i < 4; i++) {
        const double speed = 0.05 * pow(3.0, i);
        for (int soft = 0; soft < 3; soft++) {
            struct wp_striker striker = ball(20e6, 0.45, 0.06, 0.05);
            struct wp_contact free_of_loss;
            struct wp_contact contact;
            striker.stiffening = 0.5 * soft;
            wp_contact_solve(&free_of_loss, &striker, &tube, 0.1, speed);
            striker.loss_s_m = 1.2;
            wp_contact_solve(&contact, &striker, &tube, 0.1, speed);
            const double e = integrated_restitution(1.2 * speed, 1.5);
            assert_near(2.0 * contact.impulse_n_s / free_of_loss.impulse_n_s, 1.0 + e, 4e-3);
            assert_near(wp_striker_restitution(&striker, speed), e, 1e-5);
            assert_true(contact.duration_s > free_of_loss.duration_s);
            assert_true(e < before || soft > 0);
            before = e;
        }
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
    assert_near(contact.spread_s, 0.1941 * contact.duration_s, 1e-3 * contact.duration_s);
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
        assert_near(k, exact, 1e-3 * exact);
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

/*
 * A second way to the wall's factor: influence functions along the tube for the loaded line, c(0)
 * = sum 1/(B_n xi^4 + k_n), and for the line opposite, the same with (-1)^n. Nothing holds a
 * hanging tube, so c(0) over n >= 2 is all: 1.85. A line that holds the far side still presses back
 * with c(pi)/c(0) of the load: with n = 1, the bending of the whole tube, that gives 1.195, as
 * laboratory rules have it for a tube that lies on a table (1.2, from memory).
 */
static void held_far_side_makes_the_wall_softer_against_it(void **state)
{
    (void)state;
    const double h = 0.00165;
    const double r = 0.5 * (0.0254 - 0.00165);
    const double young = 68.9e9;
    const double d = young * h * h * h / (12.0 * (1.0 - 0.33 * 0.33));
    const double factor = young * pow(h, 2.5) / pow(r, 1.5);
    double hanging = 0.0;
    double lying = 0.0;
    for (int i = 0; i < 2000; i++) {
        const double xi = 1e-1 * pow(5e8, ((double)i + 0.5) / 2000.0);
        const double width = xi * log(5e8) / 2000.0;
        double even = 0.0;
        double odd = 0.0;
        for (int n = 1; n < 1500; n++) {
            const double n2 = (double)(n * n);
            const double k = pi * d * (n2 - 1.0) * (n2 - 1.0) / (r * r * r);
            const double b = pi * young * h * r * r * r / (n2 * n2);
            const double c = 1.0 / (b * xi * xi * xi * xi + k);
            *(n % 2 ? &odd : &even) += c;
            hanging += n > 1 ? c * width / pi : 0.0;
        }
        const double here = even + odd;
        const double opposite = even - odd;
        lying += (here - opposite * opposite / here) * width / pi;
    }
    assert_near(1.0 / (hanging * factor), 1.85, 0.01);
    assert_near(1.0 / (lying * factor), 1.195, 0.01);
    const struct wp_tube tube = fixture_tube(1.5);
    assert_near(wp_wall_compliance(&tube.spec, 0.75), hanging, 0.003 * hanging);
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
        assert_near(contact.peak_n, m.peak_n, 5e-4 * m.peak_n);
        assert_near(contact.duration_s, m.duration_s, 0.005 * m.duration_s);
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
    assert_near(contact.impulse_n_s / (2.0 * 0.5), want, 1e-5 * want);
}

/* A wall throws an elastic ball back as fast as it came: J = 2 m v, m the ball's alone. */
static void post_is_struck_like_a_wall(void **state)
{
    (void)state;
    struct wp_tube tube = rod(0.6);
    const struct wp_striker striker = ball(1e9, 0.3, 0.04, 0.05);
    struct wp_contact hanging;
    struct wp_contact held;
    wp_contact_solve(&hanging, &striker, &tube, 0.1, 0.5);
    tube.spec.is_held_rigid = true;
    wp_contact_solve(&held, &striker, &tube, 0.1, 0.5);
    assert_near(held.impulse_n_s, 2.0 * 0.05 * 0.5, 1e-4 * 0.05);
    assert_true(held.impulse_n_s > hanging.impulse_n_s);
    assert_true(held.duration_s > hanging.duration_s);
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
        cmocka_unit_test(contact_time_has_the_textbook_constants),
        cmocka_unit_test(spectrum_follows_the_integrated_contact),
        cmocka_unit_test(restitution_falls_with_speed_as_the_law_says),
        cmocka_unit_test(blow_returns_what_the_law_leaves),
        cmocka_unit_test(ball_on_a_rod_obeys_hertz),
        cmocka_unit_test(faster_is_harder_and_shorter_by_hertz),
        cmocka_unit_test(ellipse_of_contact_has_the_stiffness_of_its_integrals),
        cmocka_unit_test(middle_of_the_wall_agrees_with_the_fourier_integral),
        cmocka_unit_test(held_far_side_makes_the_wall_softer_against_it),
        cmocka_unit_test(open_end_of_the_wall_is_four_times_as_soft),
        cmocka_unit_test(wall_and_contact_in_series_match_the_integrated_motion),
        cmocka_unit_test(harder_striker_is_shorter_and_brighter),
        cmocka_unit_test(end_mass_counts_in_the_blow),
        cmocka_unit_test(post_is_struck_like_a_wall),
        cmocka_unit_test(ideal_contact_is_an_impulse),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
