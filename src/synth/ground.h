/* SPDX-License-Identifier: MIT */
#ifndef WINDPEAL_SYNTH_GROUND_H
#define WINDPEAL_SYNTH_GROUND_H

#include "windpeal/set.h"
#include "windpeal/tube.h"

/*
 * Sound that the ground throws back: an image of the source under the ground, weighted by the
 * reflection of a spherical wave at an impedance plane.
 */

/* A wave on its way from the image to the ear. */
struct wp_bounce {
    double freq_hz;
    double sound_speed_m_s;
    double length_m; /* of the way */
    double cosine;   /* of its angle to the vertical, 0 to 1 */
};

/* Impedance over that of air, of waves exp(i omega t). */
struct wp_transfer wp_ground_impedance(enum wp_ground ground, double freq_hz);

/* What the wave at the ear is over that from a perfect mirror, of waves exp(i omega t). */
struct wp_transfer wp_ground_reflection(enum wp_ground ground, const struct wp_bounce *bounce);

#endif
