/* SPDX-License-Identifier: MIT */
/* Designs and runs the A-weighting filter. */

#include "synth/a_weighting.h"

#include <math.h>
#include <string.h>

/* Pole frequencies in Hz: IEC 61672-1:2013, annex E, f1 to f4 with the digits that its equations
 * give for f_R = 1000, f_L = 10^1.5, f_H = 10^3.9 and f_A = 10^2.45. */
static const double F1 = 20.598997;
static const double F2 = 107.65265;
static const double F3 = 737.86223;
static const double F4 = 12194.217;

/* Two zeros at 0 Hz and two real poles far below the sampling rate: bilinear transform. */
static void design_low_end(struct wp_a_section *section, double pole_a_hz, double pole_b_hz,
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
static void design_high_end(struct wp_a_section *section, int rate_hz)
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

void wp_a_weighting_init(struct wp_a_weighting *filter, int rate_hz)
{
    memset(filter, 0, sizeof *filter);
    design_low_end(&filter->sections[0], F1, F1, rate_hz);
    design_low_end(&filter->sections[1], F2, F3, rate_hz);
    design_high_end(&filter->sections[2], rate_hz);
    const double gain = pow(10.0, -wp_a_weighting_gain_db(filter, rate_hz, 1000.0) / 20.0);
    for (int i = 0; i < 3; i++) {
        filter->sections[0].b[i] *= gain;
    }
}

/* Both channels at once: the recursions of two run in the time of one. */
typedef double lanes __attribute__((vector_size(WP_A_LANES * sizeof(double))));

static inline lanes section_step(const struct wp_a_section *section, lanes state[2], lanes x)
{
    const lanes y = section->b[0] * x + state[0];
    state[0] = section->b[1] * x - section->a[0] * y + state[1];
    state[1] = section->b[2] * x - section->a[1] * y;
    return y;
}

void wp_a_weighting_power(struct wp_a_weighting *filter, const float *frames, size_t n_channels,
                          double *power, size_t n_frames)
{
    const struct wp_a_weighting design = *filter; /* nothing else points here or to the states: */
    lanes state[WP_A_SECTIONS][2];                /* both stay in registers */
    memcpy(state, filter->state, sizeof state);
    const size_t last = n_channels - 1; /* one channel is filtered twice */
    for (size_t i = 0; i < n_frames; i++) {
        lanes x = {(double)frames[i * n_channels], (double)frames[i * n_channels + last]};
        x = section_step(&design.sections[0], state[0], x);
        x = section_step(&design.sections[1], state[1], x);
        x = section_step(&design.sections[2], state[2], x);
        power[i] = 0.5 * (x[0] * x[0] + x[1] * x[1]);
    }
    memcpy(filter->state, state, sizeof state);
}

/* |c0 + c1 z^-1 + c2 z^-2|^2 on the unit circle. */
static double polynomial_power(double c0, double c1, double c2, double angle_rad)
{
    const double re = c0 + c1 * cos(angle_rad) + c2 * cos(2.0 * angle_rad);
    const double im = c1 * sin(angle_rad) + c2 * sin(2.0 * angle_rad);
    return re * re + im * im;
}

double wp_a_weighting_gain_db(const struct wp_a_weighting *filter, int rate_hz, double freq_hz)
{
    const double angle_rad = 2.0 * M_PI * freq_hz / rate_hz;
    double power = 1.0;
    for (int i = 0; i < WP_A_SECTIONS; i++) {
        const struct wp_a_section *s = &filter->sections[i];
        power *= polynomial_power(s->b[0], s->b[1], s->b[2], angle_rad) /
                 polynomial_power(1.0, s->a[0], s->a[1], angle_rad);
    }
    return 10.0 * log10(power);
}
