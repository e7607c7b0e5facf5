/* SPDX-License-Identifier: MIT */
/* Second-order sections. */

#include "synth/biquad.h"

#include <math.h>

/* |c0 + c1 z^-1 + c2 z^-2|^2 on the unit circle. */
static double polynomial_power(double c0, double c1, double c2, double angle_rad)
{
    const double re = c0 + c1 * cos(angle_rad) + c2 * cos(2.0 * angle_rad);
    const double im = c1 * sin(angle_rad) + c2 * sin(2.0 * angle_rad);
    return re * re + im * im;
}

double wp_biquads_gain_db(const struct wp_biquad *sections, size_t n, int rate_hz, double freq_hz)
{
    const double angle_rad = 2.0 * M_PI * freq_hz / rate_hz;
    double power = 1.0;
    for (size_t i = 0; i < n; i++) {
        const struct wp_biquad *s = &sections[i];
        power *= polynomial_power(s->b[0], s->b[1], s->b[2], angle_rad) /
                 polynomial_power(1.0, s->a[0], s->a[1], angle_rad);
    }
    return 10.0 * log10(power);
}
