/* SPDX-License-Identifier: MIT */
/* Shape of a force pulse: its duration and spectrum in closed form. */
#include "striker/pulse.h"

#include <math.h>

#include "base/exact.h"

static const double pi = 0x1.921fb54442d18p+1;

/* Stirling's series (Abramowitz & Stegun 6.1.41) after shifting x to 10 and above. */
double wp_log_gamma(double x)
{
    static const double half_log_two_pi = 0.91893853320467274178;
    double product = 1.0;
    while (x < 10.0) {
        product *= x;
        x += 1.0;
    }
    const double y = 1.0 / (x * x);
    const double tail =
        (1.0 / 12.0 -
         y * (1.0 / 360.0 - y * (1.0 / 1260.0 - y * (1.0 / 1680.0 - y * (1.0 / 1188.0))))) /
        x;
    return (x - 0.5) * wp_exact_log(x) - x + half_log_two_pi + tail - wp_exact_log(product);
}

/*
 * T v0 / d_max = 2 sqrt(pi) Gamma(1 + 1/(a+1)) / Gamma(1/2 + 1/(a+1)), the integral of
 * dd / sqrt(1 - d^(a+1)); 2.9433 for Hertz's contact, a = 1.5 (K. L. Johnson, "Contact Mechanics",
 * Cambridge University Press, 1985, eq. 11.24 gives 2.94).
 */
double wp_pulse_duration(double exponent)
{
    const double x = 1.0 / (exponent + 1.0);
    return 2.0 * sqrt(pi) * wp_exact_exp(wp_log_gamma(1.0 + x) - wp_log_gamma(0.5 + x));
}

/*
 * The power p for which sin^p(pi t / T) has the spectrum of the true pulse: a linear spring gives
 * p = 1 exactly; above, p is where the two spectra cross -3 dB and -10 dB together, found from
 * numerical integration of the power-law contact (the two agree within 0.4 % in p).
 */
static double sine_power(double exponent)
{
    const double past = exponent - 1.0;
    return 1.0 + past * (1.1026 + 0.1176 * past);
}

/*
 * The transform of sin^p over half a period is Gamma(1+q)^2 / (Gamma(1+q+x) Gamma(1+q-x)) with
 * q = p/2 (I. S. Gradshteyn, I. M. Ryzhik, "Table of Integrals, Series, and Products", 3.631).
 * Past x = 1 + q the second gamma is reflected: 1/Gamma(1-z) = Gamma(z) sin(pi z) / pi.
 */
double wp_pulse_spectrum(double exponent, double cycles)
{
    const double q = 0.5 * sine_power(exponent);
    const double x = fabs(cycles);
    const double head = 2.0 * wp_log_gamma(1.0 + q) - wp_log_gamma(1.0 + q + x);
    if (x < 1.0 + q) {
        return wp_exact_exp(head - wp_log_gamma(1.0 + q - x));
    }
    const double z = x - q;
    return wp_exact_exp(head + wp_log_gamma(z)) * wp_exact_sin(pi * z) / pi;
}
