/* SPDX-License-Identifier: MIT */
/* What a long round cylinder that moves sideways does to the air around it. */
#include "tube/cylinder.h"

#include <complex.h>
#include <math.h>

double complex wp_hankel_slope(int order, double x)
{
    /* C' = C(m-1) - m/x C(m), and upwards by C(m+1) = 2m/x C(m) - C(m-1), for J and Y alike. The
     * error that grows in J stays small against Y. */
    double j_below = j0(x);
    double y_below = y0(x);
    double j = j1(x);
    double y = y1(x);
    for (int m = 1; m < order; m++) {
        const double j_next = 2.0 * m / x * j - j_below;
        const double y_next = 2.0 * m / x * y - y_below;
        j_below = j;
        y_below = y;
        j = j_next;
        y = y_next;
    }
    const double j_slope = j_below - order * j / x;
    const double y_slope = y_below - order * y / x;
    return j_slope - (double complex)I * y_slope;
}

double complex wp_cylinder_factor(int order, double x)
{
    if (x < 1e-4) {
        return 1.0;
    }
    /* Hm' tends to -i m! 2^m / (pi x^(m+1)). */
    double slope = 1.0 / (M_PI * x);
    for (int m = 1; m <= order; m++) {
        slope *= 2.0 * m / x;
    }
    return slope / ((double complex)I * wp_hankel_slope(order, x));
}

void wp_cylinder_table_init(struct wp_cylinder_table *table, int order, double low, double high)
{
    const double step = fmax(high - low, 1e-9) / WP_CYLINDER_STEPS;
    table->low = low;
    table->per_step = 1.0 / step;
    for (int i = 0; i < WP_CYLINDER_STEPS + 3; i++) {
        table->factor[i] = wp_cylinder_factor(order, fabs(low + (i - 1) * step));
    }
}

double complex wp_cylinder_table_at(const struct wp_cylinder_table *table, double x)
{
    const double place = (x - table->low) * table->per_step;
    const int whole = place > 0.0 ? (int)place : 0;
    const int at = whole < WP_CYLINDER_STEPS ? whole : WP_CYLINDER_STEPS - 1;
    const double t = place - at;
    const double complex *f = &table->factor[at];
    /* Lagrange's cubic through steps -1, 0, 1 and 2. */
    const double inner = (t + 1.0) * (t - 2.0) / 2.0;
    const double outer = t * (t - 1.0) / 6.0;
    return inner * (t - 1.0) * f[1] - outer * (t - 2.0) * f[0] - inner * t * f[2] +
           outer * (t + 1.0) * f[3];
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
    const double j_slope = j0(x) - j / x;
    const double y_slope = y0(x) - y / x;
    return -(j * j_slope + y * y_slope) / (x * (j_slope * j_slope + y_slope * y_slope));
}

struct wp_drag wp_viscous_drag(double reynolds)
{
    /* K1/K0 = 1 + 1/(2z) - 1/(8z^2) + 1/(8z^3) - ... */
    const double complex u = (M_SQRT1_2 - (double complex)I * M_SQRT1_2) / sqrt(reynolds); /* 1/z */
    const double complex ratio = 1.0 + u * (0.5 + u * (-0.125 + u * 0.125));
    const double complex drag = 1.0 + 4.0 * u * ratio;
    return (struct wp_drag){.mass = creal(drag), .resistance = -cimag(drag)};
}
