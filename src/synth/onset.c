/* SPDX-License-Identifier: MIT */
/* Smooths the start of partials over the contact. */

#include "synth/onset.h"

#include <math.h>

/*
 * Variance of a pulse in time, over the square of its duration: 1/4 - 2/pi^2 for a half sine,
 * 1/12 - 1/(2 pi^2) for a raised cosine. The blend has the variance of the contact's force; Hertz's
 * pulse without loss (0.0377) lies between the two.
 */
static const double HALF_SINE = 0.25 - 2.0 / (M_PI * M_PI);
static const double RAISED_COSINE = 1.0 / 12.0 - 0.5 / (M_PI * M_PI);

void wp_onset_init(struct wp_onset *onset, const struct wp_contact *contact)
{
    onset->duration_s = contact->duration_s;
    onset->middle_s = 0.5 * contact->duration_s;
    onset->blend_01 = 0.0;
    if (contact->duration_s > 0.0) {
        const double spread = contact->spread_s / contact->duration_s;
        const double past = (HALF_SINE - spread * spread) / (HALF_SINE - RAISED_COSINE);
        onset->blend_01 = fmin(fmax(past, 0.0), 1.0);
    }
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
