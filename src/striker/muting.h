/* SPDX-License-Identifier: MIT */
#ifndef WINDPEAL_STRIKER_MUTING_H
#define WINDPEAL_STRIKER_MUTING_H

#include "windpeal/attributes.h"
#include "windpeal/contact.h"
#include "windpeal/tube.h"

/*
 * What a striker takes away from a tube that rings already, partial by partial, for a partial that
 * moves along the line of the contact. An ideal contact takes nothing.
 */

/*
 * The share of its energy that a blow leaves to each partial that rings, 0 to 1, the mean over its
 * phase. What the blow itself makes ring comes on top.
 *
 * kept  out: tube->n_partials values
 */
void wp_muting_blow(const struct wp_contact *contact, const struct wp_striker *striker,
                    const struct wp_tube *tube, double height_m, double *kept) WP_REALTIME;

/*
 * The decay that a striker which rests on the tube adds to each partial, in 1/s of its amplitude,
 * never negative and never above the critical one.
 *
 * force_n      > 0, with which the striker leans
 * added_per_s  out: tube->n_partials values
 */
void wp_muting_rest(const struct wp_striker *striker, const struct wp_tube *tube, double height_m,
                    double force_n, double *added_per_s) WP_REALTIME;

/*
 * A typical force of leaning: three tenths of the striker's weight. An estimate: in the wind, on
 * tubes held rigid, the mean force of the presets' sails was 0.03 to 4 weights.
 */
double wp_muting_force(const struct wp_striker *striker) WP_REALTIME;

#endif
