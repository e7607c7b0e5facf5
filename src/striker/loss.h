/* SPDX-License-Identifier: MIT */
#ifndef WINDPEAL_STRIKER_LOSS_H
#define WINDPEAL_STRIKER_LOSS_H

#include "windpeal/attributes.h"

/*
 * Loss of a contact whose force is F = K d^a (1 + mu d'), d the depth and d' its speed: K. H. Hunt,
 * F. R. E. Crossley, J. Appl. Mech. 42 (1975) 440. The work m v dv = -K d^a (1 + mu v) dd can be
 * integrated over the whole contact: with x = mu v0, whatever K, a and the masses are,
 *
 *     x (1 + e) = ln((1 + x) / (1 - e x)),
 *
 * so the restitution e falls with the closing speed v0, at first as 1 - 2/3 x.
 */

/* Restitution at mu v0 = x >= 0. */
double wp_loss_restitution(double x) WP_REALTIME;

/* The inverse: mu v0 at which the restitution is e, 0 < e <= 1. */
double wp_loss_for(double restitution);

#endif
