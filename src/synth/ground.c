/* SPDX-License-Identifier: MIT */
/* Reflection of sound at the ground. */

#include "synth/ground.h"

#include <complex.h>
#include <math.h>

/* i of complex.h, whose own type differs between compilers. */
static const double complex J = (double complex)I;

/*
 * Flow resistivity in Pa s/m2, in the classes A to H of the ground types of Directive (EU) 2015/996
 * (CNOSSOS-EU), table 2.5.a, from memory; grass of 150 to 300 kPa s/m2 was measured by Embleton,
 * Piercy & Daigle, J. Acoust. Soc. Am. 74 (1983) 1239, from memory.
 */
static const double resistivities[WP_GROUNDS] = {
    [WP_GROUND_SNOW] = 12.5e3, [WP_GROUND_FOREST_FLOOR] = 31.5e3, [WP_GROUND_LOOSE_SOIL] = 80e3,
    [WP_GROUND_GRASS] = 200e3, [WP_GROUND_LAWN] = 500e3,          [WP_GROUND_GRAVEL] = 2e6,
    [WP_GROUND_PAVING] = 20e6, [WP_GROUND_WATER] = 200e6,
};

static struct wp_transfer transfer_of(double complex z)
{
    return (struct wp_transfer){creal(z), cimag(z)};
}

/* Y. Miki, J. Acoust. Soc. Jpn. (E) 11 (1990) 19: the fit of Delany & Bazley (Applied Acoustics 3
 * (1970) 105) made to hold for any passive material; infinitely deep. */
struct wp_transfer wp_ground_impedance(enum wp_ground ground, double freq_hz)
{
    const double power = pow(freq_hz / resistivities[ground], -0.632);
    return transfer_of(1.0 + 0.0699 * power - J * 0.107 * power);
}

/*
 * w(z) = exp(-z^2) erfc(-iz) for Im z >= 0: W. Gautschi, SIAM J. Numer. Anal. 7 (1970) 187. A
 * continued fraction, from which a Taylor series leads back to small z; 10 digits.
 */
static double complex faddeeva(double complex z)
{
    const double x = fabs(creal(z));
    const double y = cimag(z);
    const double nearness =
        x < 5.33 && y < 4.29 ? (1.0 - y / 4.29) * sqrt(1.0 - x * x / 28.41) : 0.0;
    const double step = 1.6 * nearness;
    const int n_terms = nearness > 0.0 ? 6 + (int)(23.0 * nearness) : 0;
    const int n_fractions = 9 + (int)(21.0 * nearness);
    const double complex base = step + y - J * x;
    double complex fraction = 0.0;
    double complex series = 0.0;
    double power = pow(2.0 * step, n_terms);
    for (int n = n_fractions; n >= 0; n--) {
        fraction = 0.5 / (base + (n + 1) * fraction);
        if (nearness > 0.0 && n <= n_terms) {
            series = fraction * (power + series);
            power /= 2.0 * step;
        }
    }
    const double complex w = M_2_SQRTPI * (nearness > 0.0 ? series : fraction);
    return creal(z) < 0.0 ? conj(w) : w;
}

/*
 * Q = R + (1 - R) F with the plane wave's R = (cos - beta) / (cos + beta), beta the admittance, and
 * F = 1 + i sqrt(pi) d w(d), d = sqrt(i k r / 2) (cos + beta) the numerical distance, of waves
 * exp(-i omega t): C. F. Chien & W. W. Soroka, J. Sound Vib. 43 (1975) 9 and 69 (1980) 340. Within
 * 0.02 of the exact integral for ways from 3 m up: tests/reference/test_ground.c.
 */
struct wp_transfer wp_ground_reflection(enum wp_ground ground, const struct wp_bounce *bounce)
{
    const struct wp_transfer impedance = wp_ground_impedance(ground, bounce->freq_hz);
    const double complex beta = 1.0 / (impedance.re - J * impedance.im);
    const double complex slant = bounce->cosine + beta;
    const double kr = 2.0 * M_PI * bounce->freq_hz / bounce->sound_speed_m_s * bounce->length_m;
    const double complex plane = (bounce->cosine - beta) / slant;
    const double complex distance = 0.5 * (1.0 + J) * sqrt(kr) * slant;
    const double complex loss = 1.0 + J * sqrt(M_PI) * distance * faddeeva(distance);
    return transfer_of(conj(plane + (1.0 - plane) * loss));
}
