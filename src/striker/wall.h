/* SPDX-License-Identifier: MIT */
#ifndef WINDPEAL_STRIKER_WALL_H
#define WINDPEAL_STRIKER_WALL_H

#include "windpeal/attributes.h"
#include "windpeal/tube.h"

/*
 * How far a tube's wall gives way under a radial force of 1 N at height_m above the bottom end, in
 * metres, measured against the tube's axis; 0 for a rod. Quasi-static: good while the contact
 * lasts longer than a period of the lowest ovalling mode. Good to some 10 % for tubes of 3 to 12
 * mean radii a wall and longer than a dozen radii.
 */
double wp_wall_compliance(const struct wp_tube_spec *spec, double height_m) WP_REALTIME;

#endif
