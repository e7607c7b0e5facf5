/* SPDX-License-Identifier: MIT */
/* Rounds float samples to whole numbers with triangular dither, block by block. */

#include "output/quantiser.h"

#include <math.h>
#include <stdbool.h>

#include "base/clones.h"
#include "base/random.h"

/* Samples a block of the generator serves, one 32-bit word each. */
enum { WORDS = 4 };

/* Samples that are dithered at a time; a multiple of WORDS. */
enum { CHUNK = 256 };

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

/* Dither of CHUNK samples from position on, a multiple of WORDS: event n of the stream serves the
 * samples 4 n to 4 n + 3. */
WP_CLONED
static void draw_dither(const uint32_t key[2], uint64_t position, int32_t dither[CHUNK])
{
    uint32_t words[CHUNK];
    wp_philox_events(key, WP_STREAM_DITHER, position / WORDS, CHUNK / WORDS, words);
    for (size_t i = 0; i < CHUNK; i++) {
        dither[i] = (int32_t)(words[i] & 0xffff) - (int32_t)(words[i] >> 16);
    }
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
static void round_fitting(double steps, const float *samples, const int32_t *dither,
                          int32_t *numbers, size_t n)
{
    for (size_t i = 0; i < n; i++) {
        numbers[i] = round_down((double)samples[i] * steps + (double)dither[i] * DITHER_STEP + 0.5);
    }
}

/* The same where samples may not fit; returns how many did not. */
static uint64_t round_clipping(const struct wp_quantiser *quantiser, const float *samples,
                               const int32_t *dither, int32_t *numbers, size_t n)
{
    const double limit = quantiser->full_scale;
    uint64_t n_clipped = 0;
    for (size_t i = 0; i < n; i++) {
        const double exact =
            (double)samples[i] * quantiser->steps + (double)dither[i] * DITHER_STEP + 0.5;
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
        int32_t dither[CHUNK];
        const size_t skipped = (size_t)(quantiser->position % WORDS);
        const size_t n_now = n < CHUNK - skipped ? n : CHUNK - skipped;
        draw_dither(quantiser->key, quantiser->position - skipped, dither);
        if (is_fitting(quantiser, samples, n_now)) {
            round_fitting(quantiser->steps, samples, dither + skipped, numbers, n_now);
        } else {
            quantiser->n_clipped +=
                round_clipping(quantiser, samples, dither + skipped, numbers, n_now);
        }
        quantiser->position += n_now;
        samples += n_now;
        numbers += n_now;
        n -= n_now;
    }
}
