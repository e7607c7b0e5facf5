/* SPDX-License-Identifier: MIT */
/* Elementary functions from exact steps: the same bits on every machine. */
#include "base/exact.h"

#include <float.h>
#include <math.h>
#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include "base/clones.h"
#include "base/series.h"

/*
 * Method: reduce the argument without error as far as possible (W. J. Cody, W. Waite, "Software
 * Manual for the Elementary Functions", Prentice-Hall, 1980), then sum the Taylor series of the
 * reduced argument (Abramowitz & Stegun, "Handbook of Mathematical Functions", 4.1.27 log, 4.2.1
 * exp, 4.3.65-66 sin and cos, 4.4.42 atan). Each series is cut where the first term left out is
 * below 1e-17 of the sum. frexp, ldexp, floor and fmod are exact by IEEE 754.
 */

/* Parts of ln 2 and pi / 2 with few enough bits that small multiples of all but the last are
 * exact. */
static const double ln2_high = 0x1.62e42feep-1;
static const double ln2_low = 0x1.a39ef35793c76p-33;
static const double half_pi_parts[4] = {0x1.921fb544p+0, 0x1.0b4611a6p-34, 0x1.3198a2ep-69,
                                        0x1.b839a252049c1p-104};

static const double pi = 0x1.921fb54442d18p+1;
static const double pi_rest = 0x1.1a62633145c07p-53;

/* Sum of c[0] + c[1] x + ... by Horner's rule. */
static inline double polynomial(double x, const double *c, size_t n)
{
    double sum = 0.0;
    for (size_t i = n; i-- > 0;) {
        sum = sum * x + c[i];
    }
    return sum;
}

/* log(m 2^exponent) for 1/2 <= m < 1 */
static inline double log_of(double m, double exponent)
{
    /* 2 atanh(s) = 2 s + s R(s^2) */
    static const double c[] = {0.0,        2.0 / 3.0,  2.0 / 5.0,  2.0 / 7.0,
                               2.0 / 9.0,  2.0 / 11.0, 2.0 / 13.0, 2.0 / 15.0,
                               2.0 / 17.0, 2.0 / 19.0, 2.0 / 21.0, 2.0 / 23.0};
    const bool is_low = m < 0x1.6a09e667f3bcdp-1; /* sqrt(1/2): keeps |f| small around 1 */
    const double e = is_low ? exponent - 1.0 : exponent;
    /* log(1 + f) with s = f / (2 + f): 2 s = f - s f, and s f = f^2/2 - s f^2/2, so that the
     * leading term f is exact and rounding touches only what is left. */
    const double f = (is_low ? 2.0 * m : m) - 1.0;
    const double s = f / (2.0 + f);
    const double half_square = 0.5 * f * f;
    const double rest = s * (half_square + polynomial(s * s, c, sizeof c / sizeof c[0]));
    return e * ln2_high - ((half_square - (rest + e * ln2_low)) - f);
}

double wp_exact_log(double x)
{
    if (!(x > 0.0)) {
        return x == 0.0 ? (double)-INFINITY : (double)NAN;
    }
    if (isinf(x)) {
        return x;
    }
    int exponent;
    const double m = frexp(x, &exponent);
    return log_of(m, exponent);
}

WP_CLONED
void wp_exact_log_each(const double *restrict x, double *restrict log, size_t n)
{
    for (size_t i = 0; i < n; i++) {
        /* What frexp does, in a loop that vectorises. */
        uint64_t bits;
        double m;
        memcpy(&bits, &x[i], sizeof bits);
        const int exponent = (int)(bits >> 52) - 1022;
        bits = (bits & 0x000fffffffffffff) | 0x3fe0000000000000;
        memcpy(&m, &bits, sizeof m);
        log[i] = log_of(m, exponent);
    }
}

double wp_exact_exp(double x)
{
    if (isnan(x)) {
        return NAN;
    }
    if (x > 710.0) { /* DBL_MAX is exp(709.78) */
        return INFINITY;
    }
    if (x < -746.0) { /* half the smallest subnormal is exp(-745.13) */
        return 0.0;
    }
    const double n = floor(x * 0x1.71547652b82fep+0 + 0.5);
    const double r = (x - n * ln2_high) - n * ln2_low;
    return ldexp(1.0 + r * polynomial(r, &wp_series_over_factorial[1], 14), (int)n);
}

double wp_exact_pow(double x, double y)
{
    if (y == 0.0 || x == 1.0) {
        return 1.0;
    }
    return wp_exact_exp(y * wp_exact_log(x));
}

/* An angle as a quarter turn count and a rest of at most pi / 4, the rest as a sum of two. */
struct reduced {
    int quarter; /* 0 to 3 */
    double high;
    double low;
};

/* a - b with its rounding error: D. E. Knuth, "The Art of Computer Programming" 2, 4.2.2. */
static double difference(double a, double b, double *error)
{
    const double d = a - b;
    const double b_used = a - d;
    const double a_used = d + b_used;
    *error = (a - a_used) + (b_used - b);
    return d;
}

/* Products with the first three parts of pi / 2 are exact while the count stays below 2^20. */
static struct reduced reduce(double x)
{
    if (fabs(x) < 0.78) { /* as below with n = 0 */
        return (struct reduced){.quarter = 0, .high = x, .low = 0.0};
    }
    if (!isfinite(x)) {
        return (struct reduced){.quarter = 0, .high = NAN, .low = NAN};
    }
    if (fabs(x) > 1e6) {
        x = fmod(x, 2.0 * pi); /* the error grows with x from here on */
    }
    const double n = floor(x * 0x1.45f306dc9c883p-1 + 0.5);
    double error[2];
    const double first = x - n * half_pi_parts[0];
    const double second = difference(first, n * half_pi_parts[1], &error[0]);
    const double third = difference(second, n * half_pi_parts[2], &error[1]);
    const double rest = error[0] + (error[1] - n * half_pi_parts[3]);
    const double high = third + rest;
    return (struct reduced){
        .quarter = (int)(n - 4.0 * floor(n / 4.0)),
        .high = high,
        .low = (third - high) + rest,
    };
}

/* sin(x + low) for |x| <= pi / 4 */
static double sine_series(double x, double low)
{
    static const double c[] = {
        -1.0 / 6.0,        1.0 / 120.0,        -1.0 / 5040.0,          1.0 / 362880.0,
        -1.0 / 39916800.0, 1.0 / 6227020800.0, -1.0 / 1307674368000.0, 1.0 / 355687428096000.0};
    const double z = x * x;
    return x + (x * z * polynomial(z, c, sizeof c / sizeof c[0]) + low * (1.0 - 0.5 * z));
}

/* cos(x + low) for |x| <= pi / 4 */
static double cosine_series(double x, double low)
{
    static const double c[] = {
        1.0 / 24.0,        -1.0 / 720.0,         1.0 / 40320.0,         -1.0 / 3628800.0,
        1.0 / 479001600.0, -1.0 / 87178291200.0, 1.0 / 20922789888000.0};
    const double z = x * x;
    const double half = 0.5 * z;
    const double w = 1.0 - half;
    return w + (((1.0 - w) - half) + (z * z * polynomial(z, c, sizeof c / sizeof c[0]) - x * low));
}

/* sin of an angle plus a number of quarter turns */
static double sine_ahead(const struct reduced *r, int quarters)
{
    const int quarter = (r->quarter + quarters) & 3;
    const double value =
        quarter & 1 ? cosine_series(r->high, r->low) : sine_series(r->high, r->low);
    return quarter & 2 ? -value : value;
}

double wp_exact_sin(double x)
{
    const struct reduced r = reduce(x);
    return sine_ahead(&r, 0);
}

double wp_exact_cos(double x)
{
    const struct reduced r = reduce(x);
    return sine_ahead(&r, 1);
}

void wp_exact_sine_cosine(double x, double *sine, double *cosine)
{
    const struct reduced r = reduce(x);
    *sine = sine_ahead(&r, 0);
    *cosine = sine_ahead(&r, 1);
}

/* atan of 0 <= t <= 1: the addition theorem takes it to within 1/16 of a multiple of 1/8. */
static inline double atan_unit(double t)
{
    static const double eighths[9] = {
        0.0,
        0x1.fd5ba9aac2f6ep-4,
        0x1.f5b75f92c80ddp-3,
        0x1.6f61941e4def1p-2,
        0x1.dac670561bb4fp-2,
        0x1.1e00babdefeb4p-1,
        0x1.4978fa3269ee1p-1,
        0x1.700a7c5784634p-1,
        0x1.921fb54442d18p-1,
    };
    static const double c[] = {-1.0 / 3.0,  1.0 / 5.0,  -1.0 / 7.0, 1.0 / 9.0,
                               -1.0 / 11.0, 1.0 / 13.0, -1.0 / 15.0};
    const int step = (int)(8.0 * t + 0.5);
    const double centre = step / 8.0;
    const double u = (t - centre) / (1.0 + t * centre);
    const double z = u * u;
    return eighths[(size_t)step] + (u + u * z * polynomial(z, c, sizeof c / sizeof c[0]));
}

/* The lesser over the greater of two lengths, 0 to 1; 0 of nothing or NAN. */
static inline double ratio_of(double y, double x)
{
    const double least = fabs(y) <= fabs(x) ? fabs(y) : fabs(x);
    const double most = fabs(y) <= fabs(x) ? fabs(x) : fabs(y);
    const double ratio = least > DBL_MAX ? 1.0 : least / most;
    return ratio <= 1.0 ? ratio : 0.0;
}

/* The angle of a pair from atan of its ratio. */
static inline double angle_of(double acute, double y, double x)
{
    const bool is_flat = fabs(y) <= fabs(x);
    const double from_axis = is_flat ? acute : 0.5 * pi - (acute - 0.5 * pi_rest);
    const double angle = x < 0.0 ? pi - (from_axis - pi_rest) : from_axis;
    const double with_sign = x == 0.0 && y == 0.0 ? 0.0 : copysign(angle, y);
    return isunordered(x, y) ? (double)NAN : with_sign;
}

double wp_exact_atan2(double y, double x)
{
    return angle_of(atan_unit(ratio_of(y, x)), y, x);
}

/* In loops that vectorise. */
WP_CLONED
void wp_exact_atan2_each(const double *restrict y, const double *restrict x, double *restrict angle,
                         size_t n)
{
    for (size_t i = 0; i < n; i++) {
        angle[i] = ratio_of(y[i], x[i]);
    }
    for (size_t i = 0; i < n; i++) {
        angle[i] = atan_unit(angle[i]);
    }
    for (size_t i = 0; i < n; i++) {
        angle[i] = angle_of(angle[i], y[i], x[i]);
    }
}
