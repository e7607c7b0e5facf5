/* SPDX-License-Identifier: MIT */
/* A bank of first-order filters whose sum has Kaimal's spectrum. */
#include "wind/eddies.h"

#include <math.h>
#include <stddef.h>

#include "base/exact.h"
#include "base/random.h"

/*
 * Time constants over L / U, equally spaced in their logarithms, and shares of the variance: a
 * least-squares fit of sum 4 w c / (1 + (2 pi n c)^2) to 4 / (1 + 6 n)^(5/3), relative, for n =
 * f L / U from 3e-4 to 30. The sum stays within 0.05 dB of the density there.
 */
static const double time_constants[WP_EDDY_SIZES] = {0.003537, 0.01177, 0.03916, 0.1303, 0.4336,
                                                     1.443,    4.800,   15.97,   53.15,  176.8};
static const double shares[WP_EDDY_SIZES] = {0.012761,   0.020427,  0.055761, 0.136492,
                                             0.391612,   0.324030,  0.047467, 0.00538630,
                                             0.00030369, 0.00006113};

/* Two filters of this time constant in a row: the direction in a calm swings in minutes. */
static const double WANDER_S = 90.0;

static const enum wp_stream streams[WP_COMPONENTS] = {WP_STREAM_WIND_ALONG, WP_STREAM_WIND_ACROSS};

void wp_eddies_init(struct wp_eddies *eddies, uint64_t seed, double step_s, double height_m,
                    int64_t index)
{
    *eddies = (struct wp_eddies){.seed = seed, .step_s = step_s};
    struct wp_random random;
    for (size_t c = 0; c < WP_COMPONENTS; c++) {
        eddies->length_m[c] = wp_kaimal_length((enum wp_component)c, height_m);
        wp_random_init(&random, seed, streams[c], (uint64_t)(index - 1));
        for (size_t i = 0; i < WP_EDDY_SIZES; i++) {
            eddies->state[c][i] = wp_random_normal(&random);
            eddies->weight[c][i] = sqrt(shares[i]);
        }
    }
    const double keep = wp_exact_exp(-step_s / WANDER_S);
    eddies->wander_keep = keep;
    eddies->wander_draw = sqrt(1.0 - keep * keep);
    /* Joint distribution of two equal filters in a row: variances 1 and 1/2, covariance 1/2. */
    wp_random_init(&random, seed, WP_STREAM_WIND_CALM, (uint64_t)(index - 1));
    eddies->wander[0] = wp_random_normal(&random);
    eddies->wander[1] = 0.5 * (eddies->wander[0] + wp_random_normal(&random));
}

void wp_eddies_set_speed(struct wp_eddies *eddies, double mean_m_s)
{
    for (size_t c = 0; c < WP_COMPONENTS; c++) {
        const double steps = eddies->length_m[c] / (mean_m_s * eddies->step_s);
        for (size_t i = 0; i < WP_EDDY_SIZES; i++) {
            const double keep = wp_exact_exp(-1.0 / (time_constants[i] * steps));
            eddies->keep[c][i] = keep;
            eddies->draw[c][i] = sqrt(1.0 - keep * keep);
        }
    }
}

/* Share of a first-order process's variance that averages over x of its time constants keep: 2 (x -
 * 1 + exp(-x)) / x^2, from its correlation exp(-|t|). */
static double kept_by_average(double x)
{
    return x < 1e-3 ? 1.0 - x / 3.0 : 2.0 * (x - 1.0 + wp_exact_exp(-x)) / (x * x);
}

void wp_eddies_set_within(struct wp_eddies *eddies, double mean_m_s, double record_s)
{
    wp_eddies_set_speed(eddies, mean_m_s);
    for (size_t c = 0; c < WP_COMPONENTS; c++) {
        const double time_s = eddies->length_m[c] / mean_m_s;
        for (size_t i = 0; i < WP_EDDY_SIZES; i++) {
            const double kept = kept_by_average(record_s / (time_constants[i] * time_s));
            eddies->weight[c][i] = sqrt(shares[i] * (1.0 - kept));
        }
    }
}

double wp_eddies_sigma(const struct wp_eddies *eddies, enum wp_component component)
{
    double variance = 0.0;
    for (size_t i = 0; i < WP_EDDY_SIZES; i++) {
        variance += eddies->weight[component][i] * eddies->weight[component][i];
    }
    return sqrt(variance);
}

/* One component: ten filters move on, their weighted sum is the wind. */
static double component_step(struct wp_eddies *eddies, size_t c, int64_t index)
{
    struct wp_random random;
    wp_random_init(&random, eddies->seed, streams[c], (uint64_t)index);
    double sum = 0.0;
    for (size_t i = 0; i < WP_EDDY_SIZES; i++) {
        const double normal = wp_random_normal(&random);
        const double state = eddies->keep[c][i] * eddies->state[c][i] + eddies->draw[c][i] * normal;
        eddies->state[c][i] = state;
        sum += eddies->weight[c][i] * state;
    }
    return sum;
}

void wp_eddies_step(struct wp_eddies *eddies, int64_t index, struct wp_eddy *eddy)
{
    for (size_t c = 0; c < WP_COMPONENTS; c++) {
        eddy->part[c] = component_step(eddies, c, index);
    }
    struct wp_random random;
    wp_random_init(&random, eddies->seed, WP_STREAM_WIND_CALM, (uint64_t)index);
    double *wander = eddies->wander;
    wander[0] = eddies->wander_keep * wander[0] + eddies->wander_draw * wp_random_normal(&random);
    wander[1] += (1.0 - eddies->wander_keep) * (wander[0] - wander[1]);
    eddy->wander = sqrt(2.0) * wander[1];
}
