/* SPDX-License-Identifier: MIT */
/* What the ear makes of a tube's partials, and where the wall begins to ring by itself. */
#include "tube/pitch.h"

#include <math.h>

struct wp_heard wp_heard_pitch(double first_hz, double fourth_hz)
{
    const bool is_long = first_hz < WP_HEARD_CROSSOVER_HZ;
    return (struct wp_heard){.hz = is_long ? 0.5 * fourth_hz : first_hz, .is_from_fourth = is_long};
}

/* Where it is open which kind of pitch is heard. */
static const double OPEN_FROM_HZ = 100.0;
static const double OPEN_TO_HZ = 300.0;

static const double STRIKE_NOTE_CENTS = 20.0;
static const double FIRST_PARTIAL_CENTS = 5.0;

size_t wp_heard_candidates(const double *first_six_hz,
                           struct wp_heard_candidate candidates[WP_HEARD_MAX])
{
    const double *hz = first_six_hz;
    const double fitted_hz = (2.0 * hz[3] + 3.0 * hz[4] + 4.0 * hz[5]) / 29.0;
    const struct wp_heard_candidate first = {hz[0], FIRST_PARTIAL_CENTS, WP_HEARD_FIRST};
    const struct wp_heard_candidate half = {0.5 * hz[3], STRIKE_NOTE_CENTS, WP_HEARD_HALF_FOURTH};
    const struct wp_heard_candidate fitted = {fitted_hz, STRIKE_NOTE_CENTS, WP_HEARD_FITTED};
    const bool is_long = wp_heard_pitch(hz[0], hz[3]).is_from_fourth;
    size_t n = 0;
    if (!is_long) {
        candidates[n++] = first;
    }
    if (hz[0] < OPEN_TO_HZ) {
        candidates[n++] = half;
        candidates[n++] = fitted;
    }
    if (is_long && hz[0] >= OPEN_FROM_HZ) {
        candidates[n++] = first;
    }
    return n;
}

double wp_ovalling_onset(const struct wp_section *section, double poisson_ratio)
{
    if (section->inner_radius_m <= 0.0) {
        return NAN;
    }
    const double mean = 0.5 * (section->outer_radius_m + section->inner_radius_m);
    const double wall = section->outer_radius_m - section->inner_radius_m;
    const double plate = section->young_modulus_pa /
                         (12.0 * section->density_kg_m3 * (1.0 - poisson_ratio * poisson_ratio));
    return 6.0 / sqrt(5.0) * wall / (2.0 * M_PI * mean * mean) * sqrt(plate);
}
