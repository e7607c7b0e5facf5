/* SPDX-License-Identifier: MIT */
/* Plausible sets: what comes home from a merchant, cut by the sheet. */
#include <math.h>
#include <string.h>

#include "base/random.h"
#include "windpeal/tolerance.h"

/* A limit is this many standard deviations: mills aim at the middle and are refused past the
 * limit. An estimate. */
static const double LIMIT_SIGMAS = 2.0;

/* Chance of a normal number below -LIMIT_SIGMAS (M. Abramowitz, I. A. Stegun, Handbook of
 * Mathematical Functions, 1964, table 26.1). */
static const double BELOW_LIMIT = 0.022750131948179207;

/* What differs between tubes of one batch, as a share of what differs between batches: an
 * estimate. */
static const double WITHIN_BATCH = 0.2;

/* Least of a size that a sample may fall to, as a share of it: stands in for the tables' coarse
 * figures at sizes that they were not made for. */
static const double SIZE_LEAST = 0.5;

/* Sizes come to a micrometre and shares to a hundredth of a percent: finer than anyone measures,
 * and short in a file. */
static const double SIZE_STEPS_PER_M = 1e6;
static const double SHARE_STEPS = 1e4;

static double to_steps(double value, double steps)
{
    return round(value * steps) / steps;
}

/* Normal, ending at -1 and 1. */
static double deviation(struct wp_random *random)
{
    const double probability = BELOW_LIMIT + (1.0 - 2.0 * BELOW_LIMIT) * wp_random_uniform(random);
    return wp_normal_quantile(probability) / LIMIT_SIGMAS;
}

/* The first tube of the same material, which stands for its batch. */
static size_t batch_of(const struct wp_set *set, size_t tube)
{
    const struct wp_set_material *material = &set->tubes[tube].material;
    size_t first = 0;
    while (first < tube && strcmp(set->tubes[first].material.name, material->name) != 0) {
        first++;
    }
    return first;
}

static double batch_deviation(const struct wp_set *set, size_t tube, uint64_t seed, uint64_t index)
{
    struct wp_random random;
    wp_random_init(&random, seed, WP_STREAM_SAMPLE_BATCH,
                   index * WP_TUBES_MAX + batch_of(set, tube));
    return deviation(&random);
}

/* No tube without a bore, and none of less than half its size. */
static double drawn_wall(const struct wp_set_tube *tube, double wall_m)
{
    const double most_m = 0.5 * tube->outer_diameter_m * (1.0 - 1e-3);
    return to_steps(fmin(fmax(wall_m, SIZE_LEAST * tube->wall_m), most_m), SIZE_STEPS_PER_M);
}

static void draw_tube(struct wp_set_tube *tube, const struct wp_tolerance *tolerance, double batch,
                      struct wp_random *random)
{
    const struct wp_stock *stock = &tolerance->stocks[0].stock;
    const double spread_01 = tolerance->stiffness_01;
    const double diameter_m = tube->outer_diameter_m + stock->diameter_m * deviation(random);
    tube->outer_diameter_m =
        to_steps(fmax(diameter_m, SIZE_LEAST * tube->outer_diameter_m), SIZE_STEPS_PER_M);
    const double wall_m = tube->wall_m + stock->wall_m * deviation(random);
    tube->wall_m = tube->is_solid ? 0.5 * tube->outer_diameter_m : drawn_wall(tube, wall_m);
    tube->ovality_01 = to_steps(stock->ovality_01 * fabs(deviation(random)), SHARE_STEPS);
    tube->bore_offset_01 = to_steps(stock->bore_offset_01 * fabs(deviation(random)), SHARE_STEPS);
    const double ratio =
        (1.0 + spread_01 * batch) * (1.0 + WITHIN_BATCH * spread_01 * deviation(random));
    tube->stiffness_ratio = to_steps(tube->stiffness_ratio * ratio, SHARE_STEPS);
}

void wp_sample_draw(struct wp_set *sample, const struct wp_set *set, const struct wp_chime *chime,
                    uint64_t seed, uint64_t index)
{
    *sample = *set;
    for (size_t i = 0; i < set->n_tubes; i++) {
        struct wp_set_tube *tube = &sample->tubes[i];
        struct wp_tolerance tolerance;
        struct wp_random random;
        wp_tolerance_solve(&tolerance, set, chime, i);
        wp_random_init(&random, seed, WP_STREAM_SAMPLE_TUBE, index * WP_TUBES_MAX + i);
        tube->length_m = chime->tubes[i].spec.length_m;
        tube->note_hz = NAN;
        tube->note[0] = '\0';
        draw_tube(tube, &tolerance, batch_deviation(set, i, seed, index), &random);
    }
}
