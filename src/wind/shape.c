/* SPDX-License-Identifier: MIT */
/* Lays turbulence over a record so that its mean and its gust come out. */
#include "wind/shape.h"

#include <math.h>
#include <stdbool.h>
#include <string.h>

#include "base/clones.h"
#include "base/exact.h"

static const double PI = 3.14159265358979323846;

/* How much a record's speeds may be scaled to meet its mean. */
static const double SCALE_LEAST = -0.8;
static const double SCALE_MOST = 3.0;

/* Where a gust is to be met, the strength of the turbulence is level but for this share of the
 * record and this many gust times, at both ends together; it may grow and shrink by these factors;
 * and its best factor is sought in so many trials. */
static const double LEVEL_RAMP = 0.2;
static const double LEVEL_RAMP_GUSTS = 6.0;
static const double LEVEL_LEAST = 0.5;
static const double LEVEL_MOST = 1.5;
enum { LEVEL_TRIALS = 8 };

/* A gust this near to the wanted one is met. */
static const double GUST_TOLERANCE = 0.002;

/* Half the length of a swell over the gust's time; how much it may lower and raise. */
static const double SWELL_HALF = 1.5;
static const double SWELL_LEAST = -0.9;
static const double SWELL_MOST = 4.0;

WP_CLONED
static void lay(const struct wp_shape *restrict shape, const struct wp_eddy *restrict eddies,
                struct wp_shape_run *restrict run)
{
    const double before = (double)(run->first - shape->first);
    const double n_steps = (double)(shape->end - shape->first);
    for (int i = 0; i < (int)run->n; i++) {
        const double x = (before + (double)i + 0.5) / n_steps;
        const double mean = wp_curve_at(&shape->mean, x);
        const double wanted = wp_curve_at(&shape->sigma, x);
        const double sigma = wanted < WP_SIGMA_MAX * mean ? wanted : WP_SIGMA_MAX * mean;
        const double fast[WP_COMPONENTS] = {
            eddies[i].part[WP_ALONG] - wp_curve_at(&shape->slow[WP_ALONG], x),
            eddies[i].part[WP_ACROSS] - wp_curve_at(&shape->slow[WP_ACROSS], x)};
        const struct wp_vector vector =
            wp_vector_of(mean * wp_vector_along_share(sigma / mean), sigma, fast);
        const bool is_calm = !(mean > 0.0);
        run->x[i] = x;
        run->weight[i] = wp_curve_at(&shape->weight, x);
        run->along[i] = is_calm ? 0.0 : vector.along;
        run->across[i] = is_calm ? 0.0 : vector.across;
        run->speed[i] = is_calm ? 0.0 : vector.speed;
    }
}

void wp_shape_run(const struct wp_shape *shape, const struct wp_eddy_ring *ring, int64_t first,
                  struct wp_shape_run *run)
{
    const int64_t left = shape->end - first;
    const int64_t in_block = WP_RUN_STEPS - (first & (WP_RUN_STEPS - 1));
    run->first = first;
    run->n = (size_t)(left < in_block ? left : in_block);
    lay(shape, wp_eddy_at(ring, first), run);
}

/* A bell from 0 over 1 to 0. */
static double bell_at(const struct wp_swell *swell, int64_t step)
{
    const double off = fabs((double)step + 0.5 - swell->middle) / swell->half;
    return off < 1.0 ? 0.5 + 0.5 * wp_exact_cos(PI * off) : 0.0;
}

void wp_shape_factors(const struct wp_shape *shape, const struct wp_shape_run *run, double *factors)
{
    for (size_t i = 0; i < run->n; i++) {
        factors[i] = 1.0 + shape->scale * run->weight[i];
    }
    for (size_t k = 0; k < shape->n_swells; k++) {
        const struct wp_swell *swell = &shape->swells[k];
        for (size_t i = 0; i < run->n; i++) {
            factors[i] *= 1.0 + swell->by * bell_at(swell, run->first + (int64_t)i);
        }
    }
}

/* The scale for the sums of speeds and of speeds times weight. */
static void set_scale(struct wp_shape *shape, double mean_m_s, double sum, double weighted)
{
    const double wanted = mean_m_s * (double)(shape->end - shape->first);
    if (weighted > 0.0) {
        shape->scale = fmin(fmax((wanted - sum) / weighted, SCALE_LEAST), SCALE_MOST);
    }
}

void wp_shape_meet_mean(struct wp_shape *shape, const struct wp_eddy_ring *ring, double mean_m_s)
{
    double sum = 0.0;
    double weighted = 0.0;
    struct wp_shape_run run;
    for (int64_t first = shape->first; first < shape->end; first += (int64_t)run.n) {
        wp_shape_run(shape, ring, first, &run);
        for (size_t i = 0; i < run.n; i++) {
            sum += run.speed[i];
            weighted += run.speed[i] * run.weight[i];
        }
    }
    set_scale(shape, mean_m_s, sum, weighted);
}

/* A record whose gust is being met. */
struct fit {
    struct wp_shape *shape;
    const struct wp_eddy_ring *ring;
    const struct wp_shape_target *target;
    double *speeds;  /* before the scale */
    int64_t gust_at; /* first step of the strongest gust */
    double gust_m_s;
};

/* The scale for the speeds at hand, and the gust that comes of it. */
static void weigh(struct fit *fit)
{
    struct wp_shape *shape = fit->shape;
    const int64_t n_steps = shape->end - shape->first;
    const int64_t n_gust = fit->target->gust_steps;
    double sum = 0.0;
    double weighted = 0.0;
    for (int64_t i = 0; i < n_steps; i++) {
        const double x = wp_shape_place(shape, shape->first + i);
        sum += fit->speeds[i];
        weighted += fit->speeds[i] * wp_curve_at(&shape->weight, x);
    }
    set_scale(shape, fit->target->mean_m_s, sum, weighted);
    double window[2] = {0.0, 0.0}; /* of speeds, of speeds times weight */
    fit->gust_m_s = -1.0;
    for (int64_t i = 0; i < n_steps; i++) {
        const double x = wp_shape_place(shape, shape->first + i);
        window[0] += fit->speeds[i];
        window[1] += fit->speeds[i] * wp_curve_at(&shape->weight, x);
        if (i >= n_gust) {
            const double old_x = wp_shape_place(shape, shape->first + i - n_gust);
            window[0] -= fit->speeds[i - n_gust];
            window[1] -= fit->speeds[i - n_gust] * wp_curve_at(&shape->weight, old_x);
        }
        const double gust_m_s = (window[0] + shape->scale * window[1]) / (double)n_gust;
        if (i + 1 >= n_gust && gust_m_s > fit->gust_m_s) {
            fit->gust_m_s = gust_m_s;
            fit->gust_at = shape->first + i + 1 - n_gust;
        }
    }
}

/* The gust, relative to the wanted one, for a level of sigma. */
static double try_level(struct fit *fit, double level)
{
    struct wp_shape *shape = fit->shape;
    shape->sigma.level = level;
    struct wp_shape_run run;
    for (int64_t first = shape->first; first < shape->end; first += (int64_t)run.n) {
        wp_shape_run(shape, fit->ring, first, &run);
        memcpy(&fit->speeds[first - shape->first], run.speed, run.n * sizeof *run.speed);
    }
    weigh(fit);
    return fit->gust_m_s / fit->target->gust_m_s - 1.0;
}

/* Seeks the level of sigma by halving what lies between too little and too much. */
static void level_out(struct fit *fit)
{
    const double level = fit->shape->sigma.level;
    double low = LEVEL_LEAST * level;
    double high = LEVEL_MOST * level;
    double next = level;
    for (int i = 0; i < LEVEL_TRIALS; i++) {
        const double off = try_level(fit, next);
        if (fabs(off) < GUST_TOLERANCE) {
            return;
        }
        if (off < 0.0) {
            low = next;
        } else {
            high = next;
        }
        next = 0.5 * (low + high);
    }
}

/* Lets the strongest gust swell, or shrink, to the wanted one. */
static void swell_up(struct fit *fit)
{
    struct wp_shape *shape = fit->shape;
    const double n_gust = (double)fit->target->gust_steps;
    const double middle = (double)fit->gust_at + 0.5 * n_gust;
    const double room = fmin(middle - (double)shape->first, (double)shape->end - middle);
    struct wp_swell swell = {middle, fmin(SWELL_HALF * n_gust, room), 0.0};
    double belled = 0.0;
    for (int64_t n = fit->gust_at; n < fit->gust_at + fit->target->gust_steps; n++) {
        const double weight = wp_curve_at(&shape->weight, wp_shape_place(shape, n));
        belled +=
            fit->speeds[n - shape->first] * (1.0 + shape->scale * weight) * bell_at(&swell, n);
    }
    const double wanted = (fit->target->gust_m_s - fit->gust_m_s) * n_gust / belled;
    swell.by = fmin(fmax(wanted, SWELL_LEAST), SWELL_MOST);
    for (int64_t n = shape->first; n < shape->end; n++) {
        fit->speeds[n - shape->first] *= 1.0 + swell.by * bell_at(&swell, n);
    }
    shape->swells[shape->n_swells++] = swell;
    weigh(fit);
}

void wp_shape_meet_gust(struct wp_shape *shape, const struct wp_eddy_ring *ring,
                        const struct wp_shape_target *target, double *speeds)
{
    struct fit fit = {.shape = shape, .ring = ring, .target = target, .speeds = speeds};
    const struct wp_curve *sigma = &shape->sigma;
    const double average = sigma->level * (1.0 - 0.5 * sigma->ramp) +
                           0.25 * sigma->ramp * (sigma->left + sigma->right);
    const double gusts = (double)(shape->end - shape->first) / (double)target->gust_steps;
    const double ramp = fmin(LEVEL_RAMP, LEVEL_RAMP_GUSTS / gusts);
    shape->sigma = wp_curve_through(sigma->left, average, sigma->right, ramp);
    shape->weight.ramp = ramp;
    level_out(&fit);
    while (fabs(fit.gust_m_s / target->gust_m_s - 1.0) > GUST_TOLERANCE && fit.gust_m_s > 0.0 &&
           shape->n_swells < WP_SWELLS_MAX) {
        swell_up(&fit);
    }
}
