/* SPDX-License-Identifier: MIT */
#ifndef WINDPEAL_TUBE_PITCH_H
#define WINDPEAL_TUBE_PITCH_H

#include <stdbool.h>

#include "tube/section.h"
#include "windpeal/tube.h"

/* What the ear makes of a tube's partials, and where the wall begins to ring by itself. */

/** The pitch heard; an estimate, +-20 cents for long tubes. */
struct wp_heard {
    double hz;
    bool is_from_fourth;
};

/**
 * Heard pitch from partials 1 and 4.
 *
 * Partials 4, 5, 6 of a long tube stand near 2:3:4 and are heard as half of the fourth (Rossing,
 * The Physics Teacher 14 (1976) 546; Fletcher & Rossing 1998, ch. 19), as long as they lie where
 * the ear takes pitch from, about 500 Hz to 2 kHz (Ritsma, J. Acoust. Soc. Am. 42 (1967) 191).
 * A short tube is heard at its first partial. The change is gradual between about 100 and 300 Hz
 * of the first partial; this takes the middle of that span, WP_HEARD_CROSSOVER_HZ.
 */
struct wp_heard wp_heard_pitch(double first_hz, double fourth_hz);

/**
 * The pitches that a listener may name, likeliest first; wp_heard_pitch's is the first of them.
 * Below 100 Hz of the first partial half of partial 4 and the fit of 2:3:4, above 300 Hz the first
 * partial alone, between them all three, those of the nearer side first.
 *
 * The fit is the fundamental f that is least off from partials 4, 5, 6 as 2f, 3f, 4f in Hz:
 * (2 f_4 + 3 f_5 + 4 f_6) / 29. In long aluminium tubes it lies from 5 cents above to
 * 25 below half of partial 4, and which of the two a listener names is not settled: hence +-20
 * cents, an estimate. A first partial
 * is a single sine, set by ear to about 0.3 % or 5 cents (frequency discrimination of pure tones,
 * Moore, J. Acoust. Soc. Am. 54 (1973) 610, from memory).
 *
 * @param first_six_hz  bending partials 1 to 6
 * @return how many of the WP_HEARD_MAX candidates are filled
 */
size_t wp_heard_candidates(const double *first_six_hz,
                           struct wp_heard_candidate candidates[WP_HEARD_MAX]);

/** Middle, in octaves, of 100 and 300 Hz. */
static const double WP_HEARD_CROSSOVER_HZ = 173.2;

/**
 * Lowest frequency at which the section of a tube ovals: ring of two waves in plane strain
 * (Rayleigh, Theory of Sound, 2nd ed. 1894, sect. 233; Love), a few per cent above a real tube's
 * with a thick wall. NAN for a rod.
 */
double wp_ovalling_onset(const struct wp_section *section, double poisson_ratio);

#endif
