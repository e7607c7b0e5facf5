/* SPDX-License-Identifier: MIT */
#ifndef WINDPEAL_WIND_EDDIES_H
#define WINDPEAL_WIND_EDDIES_H

#include <stdint.h>

#include "wind/kaimal.h"
#include "windpeal/attributes.h"

/*
 * Turbulence of unit variance, endless: for each component a sum of ten independent first-order
 * (Ornstein-Uhlenbeck) processes whose time constants are spread over the spectrum and whose
 * weights are fitted to Kaimal's density. Step n draws its numbers from event n, so the wind of a
 * moment depends on nothing but the seed and the steps before it.
 */

enum { WP_EDDY_SIZES = 10 };

/* One moment, dimensionless. */
struct wp_eddy {
    double part[WP_COMPONENTS]; /* variance 0.994: the rest lies at frequencies past the fit */
    double wander;              /* slow and smooth, variance 1: turns the wind in a calm */
};

struct wp_eddies {
    uint64_t seed;
    double step_s;
    double length_m[WP_COMPONENTS];
    double weight[WP_COMPONENTS][WP_EDDY_SIZES]; /* square roots of the shares of the variance */
    double state[WP_COMPONENTS][WP_EDDY_SIZES];
    double keep[WP_COMPONENTS][WP_EDDY_SIZES];
    double draw[WP_COMPONENTS][WP_EDDY_SIZES];
    double wander[2];
    double wander_keep;
    double wander_draw;
};

/* Starts in the middle of things just before step index; wp_eddies_set_speed must follow. */
void wp_eddies_init(struct wp_eddies *eddies, uint64_t seed, double step_s, double height_m,
                    int64_t index);

/* The speed at which eddies pass, from now on; the variance does not notice the change. */
void wp_eddies_set_speed(struct wp_eddies *eddies, double mean_m_s) WP_REALTIME;

/*
 * The same when records of record_s tell their own means as the wind blows: every size of eddy
 * keeps the share of its variance that is left within a record; INFINITY: all of it.
 */
void wp_eddies_set_within(struct wp_eddies *eddies, double mean_m_s, double record_s) WP_REALTIME;

/* Standard deviation of a component with its weights at hand. */
double wp_eddies_sigma(const struct wp_eddies *eddies, enum wp_component component) WP_REALTIME;

/* Moves on to step index (one after the last) and tells its moment. */
void wp_eddies_step(struct wp_eddies *eddies, int64_t index, struct wp_eddy *eddy) WP_REALTIME;

#endif
