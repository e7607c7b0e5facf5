/* SPDX-License-Identifier: MIT */
/* How many strikes there were and how varied. */
#include <assert.h>
#include <math.h>
#include <stdint.h>

#include "windpeal/strike.h"

void wp_variety_init(struct wp_variety_meter *meter, size_t n_tubes)
{
    assert(n_tubes <= WP_TUBES_MAX);
    *meter = (struct wp_variety_meter){.sums.n_tubes = n_tubes, .last_tube = SIZE_MAX};
}

/* A rest or a leave. */
static void lean(struct wp_variety_meter *meter, const struct wp_strike *strike)
{
    const size_t tube = strike->tube;
    if (meter->is_resting[tube]) {
        meter->sums.rest_s += strike->t_s - meter->rest_from_s[tube];
    }
    meter->is_resting[tube] = strike->speed_m_s == 0.0;
    meter->rest_from_s[tube] = strike->t_s;
    meter->sums.n_rests += meter->is_resting[tube];
}

void wp_variety_add(struct wp_variety_meter *meter, const struct wp_strike *strike)
{
    assert(strike->tube < meter->sums.n_tubes);
    if (!wp_strike_is_blow(strike)) {
        lean(meter, strike);
        return;
    }
    struct wp_variety *sums = &meter->sums;
    sums->n_strikes++;
    sums->per_tube[strike->tube]++;
    meter->n_repeats += strike->tube == meter->last_tube;
    if (sums->n_kicks > 0 && !meter->is_struck[strike->tube]) {
        meter->is_struck[strike->tube] = true;
        meter->n_struck++;
    }
    sums->longest_silence_s = fmax(sums->longest_silence_s, strike->t_s - meter->last_t_s);
    meter->last_tube = strike->tube;
    meter->last_t_s = strike->t_s;
}

void wp_variety_kick(struct wp_variety_meter *meter)
{
    meter->sums.n_kicks++;
    for (size_t i = 0; i < meter->sums.n_tubes; i++) {
        meter->is_struck[i] = false;
    }
}

/* Shannon's entropy of the tubes' shares (C. E. Shannon, Bell Syst. Tech. J. 27, 1948). */
static double entropy_bits(const struct wp_variety *sums)
{
    double bits = 0.0;
    for (size_t i = 0; i < sums->n_tubes; i++) {
        if (sums->per_tube[i] > 0) {
            const double share = (double)sums->per_tube[i] / (double)sums->n_strikes;
            bits -= share * log2(share);
        }
    }
    return fmax(bits, 0.0);
}

void wp_variety_result(const struct wp_variety_meter *meter, double duration_s,
                       struct wp_variety *result)
{
    *result = meter->sums;
    result->duration_s = duration_s;
    result->per_minute = duration_s > 0.0 ? 60.0 * (double)result->n_strikes / duration_s : 0.0;
    size_t n_reached = 0;
    for (size_t i = 0; i < result->n_tubes; i++) {
        n_reached += result->per_tube[i] > 0;
        if (meter->is_resting[i]) {
            result->rest_s += fmax(duration_s - meter->rest_from_s[i], 0.0);
        }
    }
    result->reached_share = result->n_tubes ? (double)n_reached / (double)result->n_tubes : 0.0;
    result->entropy_bits = entropy_bits(&meter->sums);
    result->tubes_per_kick =
        result->n_kicks ? (double)meter->n_struck / (double)result->n_kicks : (double)NAN;
    result->repeat_share = result->n_strikes < 2
                               ? (double)NAN
                               : (double)meter->n_repeats / (double)(result->n_strikes - 1);
    result->longest_silence_s = fmax(result->longest_silence_s, duration_s - meter->last_t_s);
}
