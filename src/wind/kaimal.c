/* SPDX-License-Identifier: MIT */
/* Kaimal's spectrum of turbulence as IEC 61400-1 prints it. */
#include "wind/kaimal.h"

#include "base/exact.h"

double wp_kaimal_length(enum wp_component component, double height_m)
{
    /* Turbulence scale parameter: 0.7 z up to 60 m, 42 m above (section 5.3 of edition 3). */
    const double scale_m = height_m < 60.0 ? 0.7 * height_m : 42.0;
    return (component == WP_ALONG ? 8.1 : 2.7) * scale_m;
}

double wp_kaimal_density(double time_s, double freq_hz)
{
    const double base = 1.0 + 6.0 * freq_hz * time_s;
    return 4.0 * time_s * wp_exact_pow(base, -5.0 / 3.0);
}

double wp_kaimal_above(double time_s, double freq_hz)
{
    return wp_exact_pow(1.0 + 6.0 * freq_hz * time_s, -2.0 / 3.0);
}
