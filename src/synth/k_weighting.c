/* SPDX-License-Identifier: MIT */
/* Designs the K-weighting filter. */

#include "synth/k_weighting.h"

#include <math.h>

/* ITU-R BS.1770-4, annex 1, tables 1 and 2: the sections at 48 kHz. */
static const double STANDARD_RATE_HZ = 48000.0;
static const struct wp_biquad STANDARD[WP_K_SECTIONS] = {
    {.b = {1.53512485958697, -2.69169618940638, 1.19839281085285},
     .a = {-1.69065929318241, 0.73248077421585}},
    {.b = {1.0, -2.0, 1.0}, .a = {-1.99004745483398, 0.99007225036621}},
};

/* c[0] + c[1] s + c[2] s^2 with z = (1 + s) / (1 - s), from the polynomial in 1 / z, and back but
 * for a factor 4: the transform is its own inverse. */
static void transform(const double from[3], double to[3])
{
    to[0] = from[0] + from[1] + from[2];
    to[1] = 2.0 * (from[0] - from[2]);
    to[2] = from[0] - from[1] + from[2];
}

/*
 * Takes a section to another rate by the bilinear transform. Its corner, where the terms of s^0 and
 * s^2 of the denominator are equal, lies at s = tan(pi f / rate); it stays at the same f.
 */
static struct wp_biquad at_rate(const struct wp_biquad *section, int rate_hz)
{
    const double denominator[3] = {1.0, section->a[0], section->a[1]};
    double b[3];
    double a[3];
    transform(section->b, b);
    transform(denominator, a);
    const double corner = sqrt(a[0] / a[2]);
    const double angle = atan(corner) * STANDARD_RATE_HZ / rate_hz;
    const double ratio = corner / tan(angle);
    for (int i = 1; i < 3; i++) {
        b[i] *= pow(ratio, i);
        a[i] *= pow(ratio, i);
    }
    double to_b[3];
    double to_a[3];
    transform(b, to_b);
    transform(a, to_a);
    return (struct wp_biquad){
        .b = {to_b[0] / to_a[0], to_b[1] / to_a[0], to_b[2] / to_a[0]},
        .a = {to_a[1] / to_a[0], to_a[2] / to_a[0]},
    };
}

void wp_k_weighting_design(struct wp_biquad sections[WP_K_SECTIONS], int rate_hz)
{
    for (int i = 0; i < WP_K_SECTIONS; i++) {
        sections[i] = at_rate(&STANDARD[i], rate_hz);
    }
}
