/* SPDX-License-Identifier: MIT */
/* Collects the power of 400 ms blocks and gates them for any gain. */

#include "synth/loudness.h"

#include <assert.h>
#include <math.h>
#include <stdlib.h>

/* ITU-R BS.1770-4, annex 1: absolute gate, and relative gate below the mean of what passes it. */
static const double ABSOLUTE_GATE_LUFS = -70.0;
static const double RELATIVE_GATE_LU = -10.0;

/* Loudness 0 LUFS is a weighted mean square of -0.691 dB. */
static const double OFFSET_DB = -0.691;

/* Width and lowest edge of the histogram's bins; blocks below count as silence. */
static const double BIN_LU = 0.05;
static const double LOWEST_LUFS = -250.0;

enum { HOPS = 4, HOPS_A_SECOND = 10 };

struct bin {
    uint64_t n_blocks;
    double power; /* weighted mean squares, summed */
};

struct wp_loudness {
    size_t hop; /* frames; a block of HOPS starts every 100 ms */
    size_t n_in_hop;
    size_t n_hops;
    double power;           /* of the hop begun */
    double hop_power[HOPS]; /* weighted mean squares of the latest hops */
    uint64_t n_silent;
    struct bin bins[WP_LOUDNESS_BINS];
};

enum wp_status wp_loudness_create(struct wp_loudness **out, int rate_hz)
{
    assert(rate_hz % (WP_WEIGHTING_STEP * HOPS_A_SECOND) == 0);
    *out = NULL;
    struct wp_loudness *loudness = calloc(1, sizeof *loudness);
    if (!loudness) {
        return WP_E_NO_MEMORY;
    }
    loudness->hop = (size_t)(rate_hz / HOPS_A_SECOND);
    *out = loudness;
    return WP_OK;
}

void wp_loudness_destroy(struct wp_loudness *loudness)
{
    free(loudness);
}

static void take_block(struct wp_loudness *loudness)
{
    double power = 0.0;
    for (size_t i = 0; i < HOPS; i++) {
        power += loudness->hop_power[i] / HOPS;
    }
    const double place = (OFFSET_DB + 10.0 * log10(power) - LOWEST_LUFS) / BIN_LU;
    if (!(place >= 0.0)) {
        loudness->n_silent++;
        return;
    }
    const size_t last = WP_LOUDNESS_BINS - 1;
    struct bin *bin = &loudness->bins[place < (double)last ? (size_t)place : last];
    bin->n_blocks++;
    bin->power += power;
}

static void end_hop(struct wp_loudness *loudness)
{
    loudness->hop_power[loudness->n_hops % HOPS] = loudness->power / (double)loudness->hop;
    loudness->n_hops++;
    loudness->n_in_hop = 0;
    loudness->power = 0.0;
    if (loudness->n_hops >= HOPS) {
        take_block(loudness);
    }
}

void wp_loudness_add(struct wp_loudness *loudness, const struct wp_weighted *steps, size_t n_steps)
{
    while (n_steps > 0) {
        const size_t n_left = (loudness->hop - loudness->n_in_hop) / WP_WEIGHTING_STEP;
        const size_t n = n_steps < n_left ? n_steps : n_left;
        double power = loudness->power;
        for (size_t i = 0; i < n; i++) {
            power += steps[i].k;
        }
        loudness->power = power;
        loudness->n_in_hop += n * WP_WEIGHTING_STEP;
        if (n == n_left) {
            end_hop(loudness);
        }
        steps += n;
        n_steps -= n;
    }
}

/* Mean loudness of the blocks that are louder than a gate; NAN when there is none. */
static double mean_above(const struct wp_loudness *loudness, double gate_lufs)
{
    const double gate_power = pow(10.0, (gate_lufs - OFFSET_DB) / 10.0);
    uint64_t n_blocks = 0;
    double power = 0.0;
    for (size_t i = 0; i < WP_LOUDNESS_BINS; i++) {
        const struct bin *bin = &loudness->bins[i];
        if (bin->n_blocks > 0 && bin->power > gate_power * (double)bin->n_blocks) {
            n_blocks += bin->n_blocks;
            power += bin->power;
        }
    }
    return n_blocks > 0 ? OFFSET_DB + 10.0 * log10(power / (double)n_blocks) : (double)NAN;
}

/* Loudness of the frames as they are, with the absolute gate anywhere. */
static double gated(const struct wp_loudness *loudness, double absolute_gate_lufs)
{
    const double mean = mean_above(loudness, absolute_gate_lufs);
    if (isnan(mean)) {
        return mean;
    }
    return mean_above(loudness, fmax(absolute_gate_lufs, mean + RELATIVE_GATE_LU));
}

double wp_loudness_after_gain(const struct wp_loudness *loudness, double gain_db)
{
    return gated(loudness, ABSOLUTE_GATE_LUFS - gain_db) + gain_db;
}

double wp_loudness_toward(const struct wp_loudness *loudness, double target_lufs)
{
    /* The gate follows the loudness and the loudness the gate. From the loudest block down both can
     * only fall, so the steps end. */
    size_t loudest = WP_LOUDNESS_BINS;
    while (loudest > 0 && loudness->bins[loudest - 1].n_blocks == 0) {
        loudest--;
    }
    if (loudest == 0) {
        return (double)NAN;
    }
    double lufs = LOWEST_LUFS + BIN_LU * (double)loudest;
    for (int step = 0; step < 100; step++) {
        const double gain_db = target_lufs - lufs;
        const double next = gated(loudness, ABSOLUTE_GATE_LUFS - gain_db);
        if (!(next < lufs)) {
            break;
        }
        lufs = next;
    }
    return lufs;
}
