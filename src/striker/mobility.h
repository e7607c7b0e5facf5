/* SPDX-License-Identifier: MIT */
#ifndef WINDPEAL_STRIKER_MOBILITY_H
#define WINDPEAL_STRIKER_MOBILITY_H

#include "windpeal/attributes.h"
#include "windpeal/tube.h"

/*
 * How much a free rigid tube gives way to a sideways blow, as the inverse of a mass: 1/m = 1/M +
 * d^2/I, d from the centre of mass; an end mass or plug moves that centre. A tube that is held
 * rigid does not give way as a body.
 */
double wp_tube_mobility(const struct wp_tube *tube, double height_m) WP_REALTIME;

#endif
