/* SPDX-License-Identifier: MIT */
/* What a long round cylinder that moves sideways does to the air around it. */
#include "tube/cylinder.h"

#include <complex.h>
#include <math.h>

double wp_hankel_slope_squared(double x)
{
    /* C1'(x) = C0(x) - C1(x)/x for J and Y alike. */
    const double j = j0(x) - j1(x) / x;
    const double y = y0(x) - y1(x) / x;
    return j * j + y * y;
}

double wp_cylinder_factor(double x)
{
    if (x < 1e-4) {
        return 1.0;
    }
    return 2.0 / (M_PI * x * x * sqrt(wp_hankel_slope_squared(x)));
}

/*
 * K0(x)/K1(x) from K_n(x) = int_0^inf exp(-x cosh t) cosh(n t) dt. The integrand and all its
 * derivatives vanish at the far end and odd ones at t = 0, so the trapezoidal rule converges
 * faster than any power of the step; 0.2 leaves less than 1e-12.
 */
static double bessel_k_ratio(double x)
{
    const double step = 0.2;
    const double t_end = acosh(1.0 + 40.0 / x);
    double k0 = 0.5;
    double k1 = 0.5;
    for (double t = step; t < t_end; t += step) {
        const double c = cosh(t);
        const double value = exp(-x * (c - 1.0));
        k0 += value;
        k1 += value * c;
    }
    return k0 / k1;
}

double wp_added_mass_outside(double x2)
{
    const double x = sqrt(fabs(x2));
    if (x < 1e-3) {
        return 1.0;
    }
    if (x2 < 0.0) {
        /* -K1(x) / (x K1'(x)) with K1' = -K0 - K1/x. */
        return 1.0 / (1.0 + x * bessel_k_ratio(x));
    }
    /* -Re(H1(x) / H1'(x)) / x. */
    const double j = j1(x);
    const double y = y1(x);
    const double real = j * (j0(x) - j / x) + y * (y0(x) - y / x);
    return -real / (x * wp_hankel_slope_squared(x));
}

struct wp_drag wp_viscous_drag(double reynolds)
{
    /* K1/K0 = 1 + 1/(2z) - 1/(8z^2) + 1/(8z^3) - ... */
    const double complex u = (M_SQRT1_2 - (double complex)I * M_SQRT1_2) / sqrt(reynolds); /* 1/z */
    const double complex ratio = 1.0 + u * (0.5 + u * (-0.125 + u * 0.125));
    const double complex drag = 1.0 + 4.0 * u * ratio;
    return (struct wp_drag){.mass = creal(drag), .resistance = -cimag(drag)};
}
