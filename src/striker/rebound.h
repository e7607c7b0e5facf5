/* SPDX-License-Identifier: MIT */
#ifndef WINDPEAL_STRIKER_REBOUND_H
#define WINDPEAL_STRIKER_REBOUND_H

#include <stddef.h>

#include "windpeal/attributes.h"
#include "windpeal/strike.h"

/*
 * With how much of their closing speed striker and tube part again. The material's restitution is
 * that against a heavy block; a tube keeps a part of the blow as vibration, so that a heavy striker
 * hardly bounces where a light one does. Read off the contact once for a row of speeds.
 */

enum { WP_REBOUND_SPEEDS = 12 };

/* Visible state, never allocates. */
struct wp_rebound {
    const struct wp_striker *striker;                /* must outlive it */
    double kept_01[WP_TUBES_MAX][WP_REBOUND_SPEEDS]; /* of the material's own restitution */
};

/*
 * Solves the contacts of all tubes at the layout's heights.
 *
 * striker_per_kg    how much the hanging striker gives way: its speed by an impulse of 1 N s
 * tubes_per_kg      the same of each tube as it hangs
 */
void wp_rebound_init(struct wp_rebound *rebound, const struct wp_strike_context *context,
                     double striker_per_kg, const double *tubes_per_kg);

/* Restitution of a blow on a tube, 0 to 1. */
double wp_rebound_at(const struct wp_rebound *rebound, size_t tube, double speed_m_s) WP_REALTIME;

#endif
