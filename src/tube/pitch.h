/* SPDX-License-Identifier: MIT */
#ifndef WINDPEAL_TUBE_PITCH_H
#define WINDPEAL_TUBE_PITCH_H

#include <stdbool.h>

#include "tube/section.h"

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

/** Middle, in octaves, of 100 and 300 Hz. */
static const double WP_HEARD_CROSSOVER_HZ = 173.2;

/**
 * Lowest frequency at which the section of a tube ovals: ring of two waves in plane strain
 * (Rayleigh, Theory of Sound, 2nd ed. 1894, sect. 233; Love), a few per cent above a real tube's
 * with a thick wall. NAN for a rod.
 */
double wp_ovalling_onset(const struct wp_section *section, double poisson_ratio);

#endif
