/* SPDX-License-Identifier: MIT */
#ifndef WINDPEAL_TUBE_RADIATION_H
#define WINDPEAL_TUBE_RADIATION_H

#include "tube/air.h"
#include "tube/section.h"
#include "windpeal/tube.h"

/*
 * Sound that leaves a tube that bends or goes out of round. Each piece of its length drives the air
 * like a piece of a long cylinder; the ends count as baffled, which costs 1 to 2 dB where the wave
 * length is not long against the diameter (Junger & Feit, Sound, Structures, and Their Interaction,
 * 1986).
 */

/**
 * Far-field pressure in one direction, times distance, at one metre a second of modal velocity.
 *
 * @param cos_polar  cosine of the angle between the direction and the axis of the tube
 * @return pascal metre, in the plane of vibration; at the angle phi to it a further cos(order phi)
 */
double wp_far_pressure(const struct wp_section *section, const struct wp_air *air,
                       const struct wp_partial *partial, double cos_polar);

/** Power at one metre a second of modal velocity amplitude, watt: the far field over the sphere. */
double wp_radiated_power(const struct wp_section *section, const struct wp_air *air,
                         const struct wp_shape *shape, int order, double freq_hz);

#endif
