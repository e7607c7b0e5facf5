/* SPDX-License-Identifier: MIT */
/* A bank of first-order filters whose sum has Kaimal's spectrum. */
#include "wind/eddies.h"

#include <assert.h>
#include <math.h>
#include <stddef.h>

#include "base/clones.h"
#include "base/exact.h"
#include "base/random.h"

/*
 * Time constants c over L / U and weights w (WP_EDDY_WEIGHTS) of the filters: a least-squares fit
 * of |sum 2 w sqrt(c) / (1 + 2 pi i n c)|^2, the density of the sum when each filter alone has unit
 * variance, to 4 / (1
 * + 6 n)^(5/3), relative, for n = f L / U from 3e-4 to 300. The sum stays within 0.04 dB of the
 * density there.
 */
static const double time_constants[WP_EDDY_SIZES] = {7.54060e-4, 4.07910e-3, 1.95660e-2, 8.99761e-2,
                                                     0.355773,   1.13793,    4.02170,    24.4278};

/*
 * Each moment is averaged with a share of the one before. Sampling folds what lies above half the
 * sampling rate back, which lifts the density of the samples by up to 5 dB there; this average
 * takes as much away. The gain then gives the samples the variance that the folding would have
 * brought, evenly.
 */
static const double SMOOTHING = 0.28;

/* Two filters of this time constant in a row: the direction in a calm swings in minutes. */
static const double WANDER_S = 90.0;

/* Steps for which it keeps one random number: at most 8 s, still noise to so slow a filter. */
enum { WANDER_HOLD = 8 };

/* Correlation of two filters of one white noise, in the limit of short steps. */
static double correlation(size_t i, size_t j)
{
    const double sum = time_constants[i] + time_constants[j];
    return 2.0 * sqrt(time_constants[i] * time_constants[j]) / sum;
}

/* Gives the states of a component their joint normal distribution: the Cholesky factor of the
 * correlations, row by row, times independent numbers. */
static void draw_states(struct wp_eddy_bank *bank, size_t c, struct wp_random *random)
{
    double factor[WP_EDDY_SIZES][WP_EDDY_SIZES];
    double normal[WP_EDDY_SIZES];
    for (size_t i = 0; i < WP_EDDY_SIZES; i++) {
        double rest = 1.0;
        normal[i] = wp_random_normal(random);
        double state = 0.0;
        for (size_t j = 0; j < i; j++) {
            double sum = correlation(i, j);
            for (size_t k = 0; k < j; k++) {
                sum -= factor[i][k] * factor[j][k];
            }
            factor[i][j] = sum / factor[j][j];
            rest -= factor[i][j] * factor[i][j];
            state += factor[i][j] * normal[j];
        }
        factor[i][i] = sqrt(rest);
        bank->state[i][c] = state + factor[i][i] * normal[i];
    }
}

static inline double weighted_sum(const struct wp_eddy_bank *bank, size_t c)
{
    double term[WP_EDDY_SIZES];
    for (size_t i = 0; i < WP_EDDY_SIZES; i++) {
        term[i] = WP_EDDY_WEIGHTS[i] * bank->state[i][c];
    }
    return ((term[0] + term[1]) + (term[2] + term[3])) +
           ((term[4] + term[5]) + (term[6] + term[7]));
}

/* The number that holds at a step. */
static double wander_noise(uint64_t seed, int64_t index)
{
    struct wp_random random;
    wp_random_init(&random, seed, WP_STREAM_WIND_BEARING, (uint64_t)(index & -WANDER_HOLD));
    return wp_random_normal(&random);
}

/* The numbers of the block of steps in which a step lies. */
static void draw_block(struct wp_eddies *eddies, int64_t block)
{
    static_assert((int)WP_COMPONENTS == 2, "a pair of numbers a step");
    wp_random_normal_pairs(eddies->seed, WP_STREAM_WIND, (uint64_t)block, eddies->normals);
    eddies->block = block;
}

void wp_eddies_init(struct wp_eddies *eddies, uint64_t seed, double step_s, double height_m,
                    int64_t index)
{
    *eddies = (struct wp_eddies){.seed = seed, .step_s = step_s};
    draw_block(eddies, index & -(int64_t)WP_NORMAL_EVENTS);
    struct wp_random random;
    wp_random_init(&random, seed, WP_STREAM_WIND_START, (uint64_t)index);
    for (size_t c = 0; c < WP_COMPONENTS; c++) {
        eddies->length_m[c] = wp_kaimal_length((enum wp_component)c, height_m);
        draw_states(&eddies->bank, c, &random);
        eddies->bank.last[c] = weighted_sum(&eddies->bank, c);
    }
    const double keep = wp_exact_exp(-step_s / WANDER_S);
    eddies->wander_keep = keep;
    eddies->wander_draw = sqrt((1.0 - keep * keep) / WANDER_HOLD);
    eddies->wander_noise = wander_noise(seed, index);
    /* Joint distribution of two equal filters in a row: variances 1 and 1/2, covariance 1/2. */
    eddies->wander[0] = wp_random_normal(&random);
    eddies->wander[1] = 0.5 * (eddies->wander[0] + wp_random_normal(&random));
}

/* Variance of the smoothed sum for a gain of 1. Filters of one noise have the covariance draw_i
 * draw_j / (1 - keep_i keep_j), keep_i times that a step apart. */
static double raw_variance(const struct wp_eddy_bank *bank, size_t c)
{
    double at_once = 0.0;
    double step_apart = 0.0;
    for (size_t i = 0; i < WP_EDDY_SIZES; i++) {
        double row = 0.0;
        for (size_t j = 0; j < WP_EDDY_SIZES; j++) {
            row +=
                WP_EDDY_WEIGHTS[j] * bank->draw[j][c] / (1.0 - bank->keep[i][c] * bank->keep[j][c]);
        }
        const double covariance = WP_EDDY_WEIGHTS[i] * bank->draw[i][c] * row;
        at_once += covariance;
        step_apart += bank->keep[i][c] * covariance;
    }
    return (1.0 + SMOOTHING * SMOOTHING) * at_once + 2.0 * SMOOTHING * step_apart;
}

void wp_eddies_set_speed(struct wp_eddies *eddies, double mean_m_s)
{
    struct wp_eddy_bank *bank = &eddies->bank;
    for (size_t c = 0; c < WP_COMPONENTS; c++) {
        const double steps = eddies->length_m[c] / (mean_m_s * eddies->step_s);
        for (size_t i = 0; i < WP_EDDY_SIZES; i++) {
            const double keep = wp_exact_exp(-1.0 / (time_constants[i] * steps));
            bank->keep[i][c] = keep;
            bank->draw[i][c] = sqrt(1.0 - keep * keep);
        }
        bank->gain[c] = 1.0 / sqrt(raw_variance(bank, c));
    }
}

/* The filters move on with one random number a step and component; their weighted sum is the wind.
 */
WP_CLONED
static void run_bank(struct wp_eddy_bank *restrict bank, const double *restrict normals,
                     struct wp_eddy *restrict moments, size_t n)
{
    for (size_t k = 0; k < n; k++) {
        for (size_t c = 0; c < WP_COMPONENTS; c++) {
            for (size_t i = 0; i < WP_EDDY_SIZES; i++) {
                bank->state[i][c] = bank->keep[i][c] * bank->state[i][c] +
                                    bank->draw[i][c] * normals[WP_COMPONENTS * k + c];
            }
            const double sum = weighted_sum(bank, c);
            moments[k].part[c] = bank->gain[c] * (sum + SMOOTHING * bank->last[c]);
            bank->last[c] = sum;
        }
    }
}

static void run_wander(struct wp_eddies *eddies, int64_t index, struct wp_eddy *moments, size_t n)
{
    double *wander = eddies->wander;
    for (size_t k = 0; k < n; k++, index++) {
        if ((index & (WANDER_HOLD - 1)) == 0) {
            eddies->wander_noise = wander_noise(eddies->seed, index);
        }
        wander[0] = eddies->wander_keep * wander[0] + eddies->wander_draw * eddies->wander_noise;
        wander[1] += (1.0 - eddies->wander_keep) * (wander[0] - wander[1]);
        moments[k].wander = sqrt(2.0) * wander[1];
    }
}

void wp_eddies_run(struct wp_eddies *eddies, int64_t index, struct wp_eddy *moments, size_t n)
{
    while (n > 0) {
        const int64_t block = index & -(int64_t)WP_NORMAL_EVENTS;
        if (block != eddies->block) {
            draw_block(eddies, block);
        }
        const size_t at = (size_t)(index - block);
        const size_t size = n < WP_NORMAL_EVENTS - at ? n : WP_NORMAL_EVENTS - at;
        run_bank(&eddies->bank, &eddies->normals[WP_COMPONENTS * at], moments, size);
        run_wander(eddies, index, moments, size);
        index += (int64_t)size;
        moments += size;
        n -= size;
    }
}
