/* SPDX-License-Identifier: MIT */
/* Smooths the start of partials over the contact. */

#include "synth/onset.h"

#include <math.h>

/*
 * A power-law contact of exponent 1 is a half sine; that of 1.5 (Hertz) lies between the half sine
 * and the raised cosine. The blend gives it the variance of sin^1.58(pi t / T), which has the
 * spectrum of Hertz's pulse: 0.0378 T^2, against 0.0474 T^2 and 0.0327 T^2 of the two.
 */
static const double BLEND_PER_EXPONENT = 1.3;

void wp_onset_init(struct wp_onset *onset, const struct wp_contact *contact)
{
    onset->duration_s = contact->duration_s;
    onset->middle_s = 0.5 * contact->duration_s;
    onset->blend_01 = fmin(fmax(BLEND_PER_EXPONENT * (contact->exponent - 1.0), 0.0), 1.0);
}

/*
 * The pulse of area 1 integrated twice, up to the contact's middle; behind it the missing part
 * mirrors, since the pulse is symmetric.
 */
double wp_onset_at(const struct wp_onset *onset, double t_s)
{
    const double whole_s = onset->duration_s;
    if (!(t_s > 0.0 && t_s < whole_s)) {
        return 0.0;
    }
    const double t = fmin(t_s, whole_s - t_s);
    const double half_sine = 0.5 * t - 0.5 * whole_s / M_PI * sin(M_PI * t / whole_s);
    const double sine = sin(M_PI * t / whole_s);
    const double raised_cosine =
        0.5 * t * t / whole_s - 0.5 * whole_s / (M_PI * M_PI) * sine * sine;
    return half_sine + onset->blend_01 * (raised_cosine - half_sine);
}

void wp_onset_add(const struct wp_onset *onset, double start, double kink_per_s, int rate_hz,
                  float *frames, size_t n_frames)
{
    const double end = start + onset->duration_s * rate_hz;
    const double first = fmax(ceil(start), 0.0);
    const double limit = fmin(ceil(end), (double)n_frames);
    for (double frame = first; frame < limit; frame += 1.0) {
        frames[(size_t)frame] +=
            (float)(kink_per_s * wp_onset_at(onset, (frame - start) / rate_hz));
    }
}
