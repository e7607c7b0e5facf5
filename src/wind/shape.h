/* SPDX-License-Identifier: MIT */
#ifndef WINDPEAL_WIND_SHAPE_H
#define WINDPEAL_WIND_SHAPE_H

#include <stddef.h>
#include <stdint.h>

#include "wind/curve.h"
#include "wind/eddies.h"
#include "wind/vector.h"
#include "windpeal/attributes.h"

/* What makes a wind of turbulence over one record, or between two: curves for its mean and its
 * strength, and factors with which the record's mean and gust come out right. */

/* The latest moments of turbulence, by step; a power of two of them, and not less than a run has.
 */
struct wp_eddy_ring {
    struct wp_eddy *items;
    size_t mask;
};

static inline struct wp_eddy *wp_eddy_at(const struct wp_eddy_ring *ring, int64_t step)
{
    return &ring->items[(size_t)step & ring->mask];
}

enum { WP_SWELLS_MAX = 16 };

/* A bell of time in which speeds are raised or lowered. */
struct wp_swell {
    double middle; /* step */
    double half;   /* steps from there to where it ends */
    double by;     /* share of the speed in the middle */
};

struct wp_shape {
    int64_t first; /* steps for which it holds: first <= n < end */
    int64_t end;
    struct wp_curve mean;
    struct wp_curve sigma;
    struct wp_curve slow[WP_COMPONENTS]; /* of the turbulence: the records know it already */
    struct wp_curve wander;
    struct wp_curve weight;
    double temperature_c;
    double pressure_pa;
    double scale; /* speeds grow by scale * weight, so that the record's mean is met */
    size_t n_swells;
    struct wp_swell swells[WP_SWELLS_MAX];
};

/* Place of a step on the curves, 0 to 1. */
static inline double wp_shape_place(const struct wp_shape *shape, int64_t step)
{
    return ((double)(step - shape->first) + 0.5) / (double)(shape->end - shape->first);
}

/* Most steps of a run; turbulence is kept in blocks of so many. */
enum { WP_RUN_STEPS = WP_NORMAL_EVENTS };

/* The wind of some steps in a row, before the factors. */
struct wp_shape_run {
    int64_t first; /* step */
    size_t n;
    double x[WP_RUN_STEPS];      /* places on the curves */
    double weight[WP_RUN_STEPS]; /* there */
    double along[WP_RUN_STEPS];
    double across[WP_RUN_STEPS];
    double speed[WP_RUN_STEPS];
};

/* Fills a run with the steps of the shape from first on that lie in one block. */
void wp_shape_run(const struct wp_shape *shape, const struct wp_eddy_ring *ring, int64_t first,
                  struct wp_shape_run *run) WP_REALTIME;

/* Factor of the speeds of each step of a run. */
void wp_shape_factors(const struct wp_shape *shape, const struct wp_shape_run *run,
                      double *factors) WP_REALTIME;

/* Chooses the scale with which the mean speed comes out as wanted. */
void wp_shape_meet_mean(struct wp_shape *shape, const struct wp_eddy_ring *ring,
                        double mean_m_s) WP_REALTIME;

/* What a record is to come out as. */
struct wp_shape_target {
    double mean_m_s;
    double gust_m_s;    /* greatest mean of gust_steps speeds in a row */
    int64_t gust_steps; /* fewer than the shape has */
};

/*
 * Chooses scale, level of sigma and swells with which mean and gust come out as wanted, the gust
 * within 0.2 % where that can be. First all gusts grow or shrink by up to a half, then single ones
 * do. speeds is room for one value a step of the shape.
 */
void wp_shape_meet_gust(struct wp_shape *shape, const struct wp_eddy_ring *ring,
                        const struct wp_shape_target *target, double *speeds) WP_REALTIME;

#endif
