/* SPDX-License-Identifier: MIT */
#ifndef WINDPEAL_TUBE_SPLIT_H
#define WINDPEAL_TUBE_SPLIT_H

#include "windpeal/tube.h"

/* What an imperfect section does: two directions of vibration with slightly different pitch. */

/**
 * Distance in cents of the two frequencies of every bending partial.
 *
 * Out of round: wall of constant thickness along an ellipse; for a thin tube the frequencies
 * differ by 3/4 of the ovality, for a rod by all of it. Bore off centre by e: the second moment
 * along the offset falls by A_i A_o e^2 / A (parallel axes). Where both occur they are taken to
 * add, the most that they can do.
 */
double wp_split_cents(const struct wp_tube_spec *spec);

#endif
