/* SPDX-License-Identifier: MIT */
#ifndef WINDPEAL_WIND_EDDIES_H
#define WINDPEAL_WIND_EDDIES_H

#include <stddef.h>
#include <stdint.h>

#include "base/random.h"
#include "wind/kaimal.h"
#include "windpeal/attributes.h"

/*
 * Turbulence of unit variance, endless: white noise through a bank of eight first-order filters
 * side by side, for each component, whose time constants are spread over the spectrum and whose
 * weights are fitted to Kaimal's density. Step n draws its numbers from event n, so the wind of a
 * moment depends on nothing but the seed and the steps before it.
 */

enum { WP_EDDY_SIZES = 8 };

/* Weights of the filters, each of unit variance; see the fit in eddies.c. */
static const double WP_EDDY_WEIGHTS[WP_EDDY_SIZES] = {0.0313139, 0.0434464, 0.0774707, 0.162418,
                                                      0.365596,  0.403749,  0.116197,  0.0104096};

/* One moment, dimensionless. */
struct wp_eddy {
    double part[WP_COMPONENTS]; /* variance 1 */
    double wander;              /* slow and smooth, variance 1: turns the wind in a calm */
};

/* The filters of all components, side by side as processors take them. */
struct wp_eddy_bank {
    /* Each of variance 1, correlated with the others of its component. */
    double state[WP_EDDY_SIZES][WP_COMPONENTS];
    double keep[WP_EDDY_SIZES][WP_COMPONENTS];
    double draw[WP_EDDY_SIZES][WP_COMPONENTS];
    double last[WP_COMPONENTS]; /* weighted sum of the step before */
    double gain[WP_COMPONENTS]; /* that makes the variance 1 */
};

struct wp_eddies {
    uint64_t seed;
    double step_s;
    double length_m[WP_COMPONENTS];
    struct wp_eddy_bank bank;
    int64_t block; /* index of the first step in normals */
    double normals[WP_NORMAL_EVENTS * WP_COMPONENTS];
    double wander[2];
    double wander_keep;
    double wander_draw;
    double wander_noise;
};

/* Starts in the middle of things just before step index; wp_eddies_set_speed must follow. */
void wp_eddies_init(struct wp_eddies *eddies, uint64_t seed, double step_s, double height_m,
                    int64_t index);

/* The speed at which eddies pass, from now on; the variance does not notice the change. */
void wp_eddies_set_speed(struct wp_eddies *eddies, double mean_m_s) WP_REALTIME;

/* Moves on by n steps, the first of them index (one after the last), and tells their moments. */
void wp_eddies_run(struct wp_eddies *eddies, int64_t index, struct wp_eddy *moments,
                   size_t n) WP_REALTIME;

#endif
