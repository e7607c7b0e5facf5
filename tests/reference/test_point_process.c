/* SPDX-License-Identifier: MIT */
/* The random parts of the statistical drive against the distributions that they are named after. */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>

#include <cmocka.h>

#include "../near.h"
#include "../unit/drive_fixture.h"
#include "striker/scatter.h"

static const double pi = 3.14159265358979323846;

/* The drive of the fixture: calm below 0.5 m/s, 6 strikes a second from 12 m/s; and its rest after
 * a strike, 0.3 of the mean pause at the busiest. */
static const double calm_below = 0.5;
static const double full_at = 12.0;
static const double busiest = 6.0;
static const double rest = 0.05;

/* Rate asked for, and that of the Poisson process which makes it together with its dead time:
 * mean events a second = r / (1 + r d) (W. Feller, "On probability problems in the theory of
 * counters", 1948, for the counter of fixed dead time). */
static double wanted(double wind_m_s)
{
    return busiest * fmin(fmax((wind_m_s - calm_below) / (full_at - calm_below), 0.0), 1.0);
}

static double raw(double wind_m_s)
{
    return wanted(wind_m_s) / (1.0 - wanted(wind_m_s) * rest);
}

static int compare(const void *a, const void *b)
{
    const double x = *(const double *)a;
    const double y = *(const double *)b;
    return (x > y) - (x < y);
}

/* Kolmogorov's distance of n values from the uniform distribution, times sqrt(n); sorts them. */
static double kolmogorov(double *values, size_t n)
{
    qsort(values, n, sizeof *values, compare);
    double most = 0.0;
    for (size_t i = 0; i < n; i++) {
        most = fmax(most, fabs(values[i] - (double)i / (double)n));
        most = fmax(most, fabs(values[i] - (double)(i + 1) / (double)n));
    }
    return most * sqrt((double)n);
}

/* Critical value of sqrt(n) D: a true null passes it once in 1000 (Smirnov 1948). */
static const double kolmogorov_limit = 1.95;

enum { RECORDS = 361, STRIKES_MAX = 20000 };

/* Integral of the raw rate over a stretch of readings held for 10 s each. */
static double integral(const struct drive_fixture *f, double from_s, double to_s)
{
    double sum = 0.0;
    for (size_t i = (size_t)(from_s / 10.0); 10.0 * (double)i < to_s; i++) {
        const double start = fmax(from_s, 10.0 * (double)i);
        const double end = fmin(to_s, 10.0 * (double)(i + 1));
        sum += fmax(end - start, 0.0) * raw(f->weather.records[i].mean_m_s);
    }
    return sum;
}

/*
 * E. N. Brown, R. Barbieri, V. Ventura, R. E. Kass, L. M. Frank, "The time-rescaling theorem and
 * its application to neural spike train data analysis", Neural Comput. 14 (2002) 325: between
 * events of a process of rate r(t) the integrals of r are exponential with mean 1 and independent.
 * The dead time after a strike is left out of the integral.
 */
static void rescaled_pauses_are_exponential_and_independent(void **state)
{
    (void)state;
    static struct wp_strike strikes[STRIKES_MAX];
    static double u[STRIKES_MAX];
    for (uint64_t seed = 1; seed <= 3; seed++) {
        struct drive_fixture f;
        drive_open(&f, RECORDS, 10.0);
        for (size_t i = 0; i < RECORDS; i++) {
            f.weather.records[i].mean_m_s = 6.0 + 7.0 * sin((double)i / 9.0);
            f.weather.records[i].mean_m_s = fmax(f.weather.records[i].mean_m_s, 0.0);
        }
        drive_start(&f, seed);
        const size_t n = drive_collect(&f, 3600.0, 3600.0, strikes, STRIKES_MAX);
        assert_true(n > 5000);
        double lag = 0.0;
        for (size_t i = 1; i < n; i++) {
            u[i - 1] = 1.0 - exp(-integral(&f, strikes[i - 1].t_s + rest, strikes[i].t_s));
            lag += i > 1 ? 12.0 * (u[i - 1] - 0.5) * (u[i - 2] - 0.5) : 0.0;
        }
        drive_close(&f);
        /* lag-1 correlation is normal with variance 1/n; 3.5 sigma */
        assert_near(lag / (double)n, 0.0, 3.5 / sqrt((double)n));
        assert_true(kolmogorov(u, n - 1) < kolmogorov_limit);
    }
}

/* In steady wind n strikes are renewals of mean 1/R and variance 1/r^2 (shifted exponential), so
 * that the count over T has the variance T R^3 / r^2 (D. R. Cox, "Renewal Theory", 1962). */
static void steady_wind_strikes_as_often_as_asked(void **state)
{
    (void)state;
    static const double winds[] = {0.8, 2.0, 5.0, 9.0, 12.0, 20.0};
    static struct wp_strike strikes[2 * STRIKES_MAX];
    for (size_t k = 0; k < 6; k++) {
        struct drive_fixture f;
        drive_open(&f, RECORDS, 10.0);
        for (size_t i = 0; i < RECORDS; i++) {
            f.weather.records[i].mean_m_s = winds[k];
        }
        drive_start(&f, 17);
        const double n = (double)drive_collect(&f, 3600.0, 3600.0, strikes, 2 * STRIKES_MAX);
        const double rate = wanted(winds[k]);
        const double sigma = sqrt(3600.0 * pow(rate, 3.0) / pow(raw(winds[k]), 2.0));
        assert_near(n, 3600.0 * rate, 4.0 * sigma + 1.0);
        for (size_t i = 1; i < (size_t)n; i++) {
            assert_true(strikes[i].t_s - strikes[i - 1].t_s >= rest - 1e-9);
        }
        drive_close(&f);
    }
}

/* Modified Bessel function I_n by its integral (Abramowitz & Stegun 9.6.19). */
static double bessel_i(int order, double x)
{
    double sum = 0.0;
    for (int i = 0; i < 2000; i++) {
        const double angle = pi * ((double)i + 0.5) / 2000.0;
        sum += exp(x * cos(angle)) * cos(order * angle) / 2000.0;
    }
    return sum;
}

/* K. V. Mardia, P. E. Jupp, "Directional Statistics", Wiley 2000, 3.5.4: E cos(p theta) =
 * I_p / I_0, E sin = 0. */
static void angles_have_the_moments_of_von_mises(void **state)
{
    (void)state;
    static const double kappas[] = {0.0, 0.1, 0.8, 2.0, 5.0, 30.0};
    enum { N = 40000 };
    for (size_t k = 0; k < 6; k++) {
        double c1 = 0.0;
        double c2 = 0.0;
        double s1 = 0.0;
        for (uint64_t i = 0; i < N; i++) {
            struct wp_random random;
            wp_random_init(&random, 5, WP_STREAM_STRIKE_TUBE, i);
            const double angle = wp_scatter_angle(&random, kappas[k]);
            assert_true(fabs(angle) <= pi);
            c1 += cos(angle) / N;
            c2 += cos(2.0 * angle) / N;
            s1 += sin(angle) / N;
        }
        const double i0 = bessel_i(0, kappas[k]);
        const double r1 = bessel_i(1, kappas[k]) / i0;
        const double r2 = bessel_i(2, kappas[k]) / i0;
        /* variances of cos and sin: (1 + r2)/2 - r1^2 and (1 - r2)/2; 4 sigma */
        assert_near(c1, r1, 4.0 * sqrt(((1.0 + r2) / 2.0 - r1 * r1) / N));
        assert_near(s1, 0.0, 4.0 * sqrt((1.0 - r2) / 2.0 / N));
        assert_near(c2, r2, 4.0 * sqrt(0.5 / N));
    }
}

static void concentration_inverts_the_bessel_ratio(void **state)
{
    (void)state;
    for (double r = 0.0; r < 0.995; r += 0.005) {
        const double kappa = wp_scatter_concentration(r);
        assert_near(bessel_i(1, kappa) / bessel_i(0, kappa), r, 0.01 * r + 1e-12);
    }
}

/* Weibull of shape 1.6: mean as asked, E v^2 / (E v)^2 = G(1 + 2/k) / G(1 + 1/k)^2, and the whole
 * distribution 1 - exp(-(v/s)^k) (W. Weibull, J. Appl. Mech. 18 (1951) 293). */
static void speeds_follow_weibull(void **state)
{
    (void)state;
    enum { N = 40000 };
    static double u[N];
    const double shape = 1.6;
    const double scale = 0.3 / tgamma(1.0 + 1.0 / shape);
    const double ratio = tgamma(1.0 + 2.0 / shape) / pow(tgamma(1.0 + 1.0 / shape), 2.0);
    double sum = 0.0;
    double squares = 0.0;
    for (uint64_t i = 0; i < N; i++) {
        struct wp_random random;
        wp_random_init(&random, 5, WP_STREAM_STRIKE_BLOW, i);
        const double v = wp_scatter_speed(&random, 0.3);
        sum += v / N;
        squares += v * v / N;
        u[i] = 1.0 - exp(-pow(v / scale, shape));
    }
    assert_near(sum, 0.3, 4.0 * 0.3 * sqrt((ratio - 1.0) / N));
    assert_near(squares, 0.09 * ratio, 0.03 * 0.09 * ratio);
    assert_true(kolmogorov(u, N) < kolmogorov_limit);
}

/* Mean direction of the tubes struck: downwind, within 4 sigma of a circular mean. */
static void mean_direction_of_strikes_is_downwind(void **state)
{
    (void)state;
    static const double from[] = {0.0, 90.0, 270.0, 330.0};
    static struct wp_strike strikes[STRIKES_MAX];
    for (size_t k = 0; k < 4; k++) {
        struct drive_fixture f;
        drive_open(&f, RECORDS, 10.0);
        for (size_t i = 0; i < RECORDS; i++) {
            f.weather.records[i].mean_m_s = 8.0;
            f.weather.records[i].from_deg = from[k];
        }
        drive_start(&f, 23);
        const size_t n = drive_collect(&f, 3600.0, 3600.0, strikes, STRIKES_MAX);
        double east = 0.0;
        double north = 0.0;
        for (size_t i = 0; i < n; i++) {
            const double bearing = pi / 180.0 * f.base.layout.bearing_deg[strikes[i].tube];
            east += sin(bearing) / (double)n;
            north += cos(bearing) / (double)n;
        }
        drive_close(&f);
        const double off = pi / 180.0 * (from[k] + 180.0) - atan2(east, north);
        assert_near(sin(off), 0.0, 4.0 / (hypot(east, north) * sqrt(2.0 * (double)n)));
        assert_true(cos(off) > 0.9);
        /* aim 0.8 * 8 / 9 of the drive, less what nearest-of-six rounds away: sinc of 30 degrees */
        assert_near(hypot(east, north), 0.8 * 8.0 / 9.0 * sin(pi / 6.0) / (pi / 6.0), 0.02);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(rescaled_pauses_are_exponential_and_independent),
        cmocka_unit_test(steady_wind_strikes_as_often_as_asked),
        cmocka_unit_test(angles_have_the_moments_of_von_mises),
        cmocka_unit_test(concentration_inverts_the_bessel_ratio),
        cmocka_unit_test(speeds_follow_weibull),
        cmocka_unit_test(mean_direction_of_strikes_is_downwind),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
