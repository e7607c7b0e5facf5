/* SPDX-License-Identifier: MIT */
#ifndef WINDPEAL_TUBE_SUPPORT_H
#define WINDPEAL_TUBE_SUPPORT_H

#include "tube/beam.h"
#include "tube/ovalling.h"
#include "tube/section.h"
#include "windpeal/tube.h"

/* The cord: where it passes through the tube, and what it takes away. */

/**
 * Support points from the top end, as shares of the length: the upper and the lower node of the
 * first mode, or the given distance from both ends.
 */
void wp_support_points(double points_01[2], const struct wp_shape *first,
                       const struct wp_tube_spec *spec);

/**
 * Loss factor from what holds the tube.
 *
 * Hanging, a cord passes through it at the upper support point. Two legs of cord carry half of the
 * weight each. Sideways, a leg is a long string that swallows the wave: resistance sqrt(tension *
 * mass per length) (any text on strings, e.g. Fletcher & Rossing 1998, ch. 2), weighted by the
 * squared deflection; a leg that reflects takes less. Along itself, a leg is pulled when the
 * section turns, since it leaves the wall one radius off the axis: a short spring with inner
 * friction, weighted by the squared rotation. Its three constants are estimates for synthetic cord,
 * good to a factor of three; see the source file.
 *
 * Held rigid, a mount at each support point takes F = mount_resistance_kg_s * velocity of the
 * outer wall, sideways by deflection and lengthwise by rotation. Felt or a slack loop has about
 * 0.02 kg/s, soft rubber 0.2, a firm clamp 5 and more: estimates, from the ringing times that
 * such mounts leave.
 *
 * @param points_01  support points as shares of the length
 */
double wp_support_loss(const struct wp_beam_mode *mode, const struct wp_section *section,
                       const struct wp_tube_spec *spec, const double points_01[2], double freq_hz);

/**
 * The same for a partial that goes out of round: the wall moves the cord or the mounts outwards and
 * round the tube, and along it. Nobody knows how the blow lies to the holes: half of the squares.
 *
 * @param wave  motion round and along the tube for a radial motion of 1
 */
double wp_ovalling_support_loss(const struct wp_shape *shape, const struct wp_ovalling_wave *wave,
                                const struct wp_tube_spec *spec, const double points_01[2],
                                double modal_kg, double freq_hz);

#endif
