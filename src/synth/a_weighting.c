/* SPDX-License-Identifier: MIT */
/* Designs the A-weighting filter. */

#include "synth/a_weighting.h"

#include <math.h>

/* Pole frequencies in Hz: IEC 61672-1:2013, annex E, f1 to f4 with the digits that its equations
 * give for f_R = 1000, f_L = 10^1.5, f_H = 10^3.9 and f_A = 10^2.45. */
static const double F1 = 20.598997;
static const double F2 = 107.65265;
static const double F3 = 737.86223;
static const double F4 = 12194.217;

/* Two zeros at 0 Hz and two real poles far below the sampling rate: bilinear transform. */
static void design_low_end(struct wp_biquad *section, double pole_a_hz, double pole_b_hz,
                           int rate_hz)
{
    const double wa = M_PI * pole_a_hz / rate_hz;
    const double wb = M_PI * pole_b_hz / rate_hz;
    const double scale = 1.0 / ((1.0 + wa) * (1.0 + wb));
    section->b[0] = scale;
    section->b[1] = -2.0 * scale;
    section->b[2] = scale;
    section->a[0] = ((wa - 1.0) * (1.0 + wb) + (wb - 1.0) * (1.0 + wa)) * scale;
    section->a[1] = (1.0 - wa) * (1.0 - wb) * scale;
}

/* Square of the analogue double pole's gain. */
static double high_end_power(double freq_hz)
{
    const double ratio = freq_hz / F4;
    const double power = 1.0 / (1.0 + ratio * ratio);
    return power * power;
}

/*
 * The double pole at F4, near half the sampling rate, where the bilinear transform is decibels off.
 * Poles as the impulse response has them; zeros so that the gain is the analogue one at 0 Hz, at
 * half the rate and at 10 kHz. Method: M. Vicanek, "Matched Second Order Digital Filters", 2016,
 * with A_k, B_k and phi_k as there.
 */
static void design_high_end(struct wp_biquad *section, int rate_hz)
{
    const double match_hz = 10e3;
    const double pole = exp(-2.0 * M_PI * F4 / rate_hz);
    const double a1 = -2.0 * pole;
    const double a2 = pole * pole;
    const double root_b0 = 1.0 + a1 + a2;
    const double root_b1 = (1.0 - a1 + a2) * sqrt(high_end_power(0.5 * rate_hz));
    const double sine = sin(M_PI * match_hz / rate_hz);
    const double phi1 = sine * sine;
    const double phi0 = 1.0 - phi1;
    const double phi2 = 4.0 * phi0 * phi1;
    const double size_a = (1.0 + a1 + a2) * (1.0 + a1 + a2) * phi0 +
                          (1.0 - a1 + a2) * (1.0 - a1 + a2) * phi1 - 4.0 * a2 * phi2;
    const double size_b = size_a * high_end_power(match_hz);
    const double b2 = (size_b - root_b0 * root_b0 * phi0 - root_b1 * root_b1 * phi1) / phi2;
    const double w = 0.5 * (root_b0 + root_b1);
    section->b[0] = 0.5 * (w + sqrt(w * w + b2));
    section->b[1] = 0.5 * (root_b0 - root_b1);
    section->b[2] = -b2 / (4.0 * section->b[0]);
    section->a[0] = a1;
    section->a[1] = a2;
}

void wp_a_weighting_design(struct wp_biquad sections[WP_A_SECTIONS], int rate_hz)
{
    design_low_end(&sections[0], F1, F1, rate_hz);
    design_low_end(&sections[1], F2, F3, rate_hz);
    design_high_end(&sections[2], rate_hz);
    const double gain_db = wp_biquads_gain_db(sections, WP_A_SECTIONS, rate_hz, 1000.0);
    for (int i = 0; i < 3; i++) {
        sections[0].b[i] *= pow(10.0, -gain_db / 20.0);
    }
}
