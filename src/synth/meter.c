/* SPDX-License-Identifier: MIT */
/* Measures a rendering: loudness, true peak and A-weighted sound levels. */

#include "windpeal/level.h"

#include <assert.h>
#include <math.h>
#include <stdlib.h>

#include "synth/loudness.h"
#include "synth/subnormal.h"
#include "synth/true_peak.h"
#include "synth/weighting.h"

enum { PIECE = 1024, STEPS = PIECE / WP_WEIGHTING_STEP + 1 };

/* IEC 61672-1:2013: reference pressure and time constant of time weighting F. */
static const double REFERENCE_PA = 20e-6;
static const double FAST_S = 0.125;

/* Files are judged with the gates where the loudest profile puts them. */
static const double WEB_LUFS = -16.0;
static const double BROADCAST_LUFS = -23.0;
static const double CEILING_DBTP = -1.0;

struct wp_meter {
    size_t n_channels;
    size_t n_ears; /* channels after summing: as many, or 1 */
    struct wp_loudness *loudness;
    struct wp_true_peak *peak;     /* of the channels */
    struct wp_true_peak *sum_peak; /* of the sum of tubes, or NULL */
    struct wp_weighting weighting;
    double n_frames; /* weighed */
    double energy;   /* sum over frames of the A-weighted square, mean of the ears */
    /* Exponential mean of the same and its maximum, from step to step: a step of 10 frames at 44.1
     * kHz hides at most 0.008 dB of a maximum. */
    double fast;
    double fast_most;
    double fast_share; /* of a step in the mean */
    float sum[PIECE];
    struct wp_weighted steps[STEPS];
};

enum wp_status wp_meter_create(struct wp_meter **out, int n_channels, int n_ears, int rate_hz)
{
    assert(n_ears == 1 || n_ears == n_channels);
    *out = NULL;
    struct wp_meter *meter = calloc(1, sizeof *meter);
    if (!meter) {
        return WP_E_NO_MEMORY;
    }
    meter->n_channels = (size_t)n_channels;
    meter->n_ears = (size_t)n_ears;
    meter->fast_share = 1.0 - exp(-WP_WEIGHTING_STEP / (FAST_S * rate_hz));
    wp_weighting_init(&meter->weighting, rate_hz);
    enum wp_status status = wp_loudness_create(&meter->loudness, rate_hz);
    if (!status) {
        status = wp_true_peak_create(&meter->peak, meter->n_channels, rate_hz);
    }
    if (!status && n_channels != n_ears) {
        status = wp_true_peak_create(&meter->sum_peak, 1, rate_hz);
    }
    if (status) {
        wp_meter_destroy(meter);
        return status;
    }
    *out = meter;
    return WP_OK;
}

void wp_meter_destroy(struct wp_meter *meter)
{
    if (!meter) {
        return;
    }
    wp_loudness_destroy(meter->loudness);
    wp_true_peak_destroy(meter->peak);
    wp_true_peak_destroy(meter->sum_peak);
    free(meter);
}

static void add_channels(float *sum, const float *frames, size_t n_channels, size_t n_frames)
{
    for (size_t i = 0; i < n_frames; i++) {
        float total = 0.0f;
        for (size_t c = 0; c < n_channels; c++) {
            total += frames[i * n_channels + c];
        }
        sum[i] = total;
    }
}

static void weigh(struct wp_meter *meter, const float *ears, size_t n_frames)
{
    const size_t n_steps =
        wp_weighting_add(&meter->weighting, ears, meter->n_ears, n_frames, meter->steps);
    const double kept = 1.0 - meter->fast_share;
    const double share = meter->fast_share / WP_WEIGHTING_STEP;
    double energy = meter->energy;
    double fast = meter->fast;
    double fast_most = meter->fast_most;
    for (size_t i = 0; i < n_steps; i++) {
        const double power = meter->steps[i].a;
        energy += power;
        fast = kept * fast + share * power;
        fast_most = fast > fast_most ? fast : fast_most;
    }
    meter->energy = energy;
    meter->fast = fast;
    meter->fast_most = fast_most;
    meter->n_frames += WP_WEIGHTING_STEP * (double)n_steps;
    wp_loudness_add(meter->loudness, meter->steps, n_steps);
}

static void add_piece(struct wp_meter *meter, const float *frames, size_t n_frames)
{
    const float *ears = frames;
    wp_true_peak_add(meter->peak, frames, n_frames);
    if (meter->sum_peak) {
        add_channels(meter->sum, frames, meter->n_channels, n_frames);
        wp_true_peak_add(meter->sum_peak, meter->sum, n_frames);
        ears = meter->sum;
    }
    weigh(meter, ears, n_frames);
}

void wp_meter_add(struct wp_meter *meter, const float *frames, size_t n_frames)
{
    const uint64_t setting = wp_subnormal_flush(); /* filters fade through them in silence */
    while (n_frames > 0) {
        const size_t n_taken = n_frames < PIECE ? n_frames : PIECE;
        add_piece(meter, frames, n_taken);
        frames += n_taken * meter->n_channels;
        n_frames -= n_taken;
    }
    wp_subnormal_restore(setting);
}

/* NAN for silence. */
static double level_db(double power, double reference)
{
    return power > 0.0 ? 10.0 * log10(power / (reference * reference)) : (double)NAN;
}

void wp_meter_result(struct wp_meter *meter, struct wp_levels *levels)
{
    const double reference = REFERENCE_PA / WP_FULL_SCALE_PA;
    double peak = wp_true_peak_value(meter->peak);
    if (meter->sum_peak) {
        peak = fmax(peak, wp_true_peak_value(meter->sum_peak));
    }
    levels->integrated_lufs = wp_loudness_toward(meter->loudness, WEB_LUFS);
    levels->true_peak_dbtp = level_db(peak * peak, 1.0);
    levels->laeq_db = (double)NAN;
    if (meter->n_frames > 0.0) {
        levels->laeq_db = level_db(meter->energy / meter->n_frames, reference);
    }
    levels->lafmax_db = level_db(meter->fast_most, reference);
}

double wp_meter_loudness(const struct wp_meter *meter, double gain_db)
{
    return wp_loudness_after_gain(meter->loudness, gain_db);
}

double wp_level_target_lufs(enum wp_level_profile profile)
{
    switch (profile) {
    case WP_LEVEL_WEB:
        return WEB_LUFS;
    case WP_LEVEL_BROADCAST:
        return BROADCAST_LUFS;
    case WP_LEVEL_CALIBRATED:
        break;
    }
    return (double)NAN;
}

double wp_level_gain_db(enum wp_level_profile profile, const struct wp_levels *levels,
                        enum wp_level_bound *bound)
{
    *bound = WP_BOUND_NONE;
    if (profile == WP_LEVEL_CALIBRATED || isnan(levels->true_peak_dbtp)) {
        return 0.0;
    }
    const double to_target = wp_level_target_lufs(profile) - levels->integrated_lufs;
    const double to_ceiling = CEILING_DBTP - levels->true_peak_dbtp;
    if (to_target <= to_ceiling) {
        *bound = WP_BOUND_TARGET;
        return to_target;
    }
    *bound = WP_BOUND_PEAK; /* also without a loudness */
    return to_ceiling;
}
