/* SPDX-License-Identifier: MIT */
/* Rounds float samples to whole numbers with triangular dither, block by block. */

#include "output/quantiser.h"

#include <math.h>
#include <stdbool.h>

#include "base/clones.h"
#include "base/random.h"

/* Differences of two 16-bit halves are steps of 2^-16 from -1 to 1: triangular, mean exactly 0. */
static const double DITHER_STEP = 0x1p-16;

void wp_quantiser_init(struct wp_quantiser *quantiser, int n_bits, double gain, uint64_t seed)
{
    struct wp_random random;
    wp_random_init(&random, seed, WP_STREAM_DITHER, 0);
    *quantiser = (struct wp_quantiser){
        .steps = ldexp(gain, n_bits - 1),
        .full_scale = ldexp(1.0, n_bits - 1),
        .key = {random.key[0], random.key[1]},
    };
}

/* Dither from a word, in steps of DITHER_STEP. */
static inline int32_t dither_of(uint32_t word)
{
    return (int32_t)(word & 0xffff) - (int32_t)(word >> 16);
}

/* Whether every sample stays inside full scale, whatever its dither. False for what is not a
 * number.
 */
WP_CLONED
static bool is_fitting(const struct wp_quantiser *quantiser, const float *samples, size_t n)
{
    const float safe = (float)((quantiser->full_scale - 3.0) / fabs(quantiser->steps));
    uint32_t n_loud = 0;
    for (size_t i = 0; i < n; i++) {
        n_loud += !(fabsf(samples[i]) <= safe);
    }
    return n_loud == 0;
}

/* In double, because a float near full scale has no bits left for the dither. Adding an offset
 * makes the number positive: only there is cutting off the fraction the same as rounding down. */
static int32_t round_down(double exact)
{
    return (int32_t)(exact + 0x1p24) - (1 << 24);
}

/* Rounds to nearest. */
WP_CLONED
static void round_fitting(double steps, const float *samples, const uint32_t *words,
                          int32_t *numbers, size_t n)
{
    for (size_t i = 0; i < n; i++) {
        const double dither = (double)dither_of(words[i]) * DITHER_STEP;
        numbers[i] = round_down((double)samples[i] * steps + dither + 0.5);
    }
}

/* The same where samples may not fit; returns how many did not. */
static uint64_t round_clipping(const struct wp_quantiser *quantiser, const float *samples,
                               const uint32_t *words, int32_t *numbers, size_t n)
{
    const double limit = quantiser->full_scale;
    uint64_t n_clipped = 0;
    for (size_t i = 0; i < n; i++) {
        const double dither = (double)dither_of(words[i]) * DITHER_STEP;
        const double exact = (double)samples[i] * quantiser->steps + dither + 0.5;
        if (exact >= -limit && exact < limit) {
            numbers[i] = round_down(exact);
        } else {
            numbers[i] = isnan(exact) ? 0 : (int32_t)(exact < 0.0 ? -limit : limit - 1.0);
            n_clipped++;
        }
    }
    return n_clipped;
}

void wp_quantiser_apply(struct wp_quantiser *quantiser, const float *samples, int32_t *numbers,
                        size_t n)
{
    while (n > 0) {
        const size_t skipped = (size_t)(quantiser->position % WP_RUN_WORDS);
        const size_t n_left = WP_RUN_WORDS - skipped;
        const size_t n_now = n < n_left ? n : n_left;
        const uint32_t *words = &quantiser->words[skipped];
        if (skipped == 0) {
            wp_random_run(quantiser->key, WP_STREAM_DITHER, quantiser->position / WP_RUN_WORDS,
                          quantiser->words);
        }
        if (is_fitting(quantiser, samples, n_now)) {
            round_fitting(quantiser->steps, samples, words, numbers, n_now);
        } else {
            quantiser->n_clipped += round_clipping(quantiser, samples, words, numbers, n_now);
        }
        quantiser->position += n_now;
        samples += n_now;
        numbers += n_now;
        n -= n_now;
    }
}
