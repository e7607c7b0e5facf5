/* SPDX-License-Identifier: MIT */
/* Rounds float samples to whole numbers with triangular dither, block by block. */

#include "output/quantiser.h"

#include <math.h>

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
static void draw_dither(const uint32_t key[2], uint64_t position, int32_t dither[CHUNK])
{
    for (size_t i = 0; i < CHUNK; i += WORDS) {
        const uint64_t event = (position + i) / WORDS;
        const uint32_t counter[4] = {0, WP_STREAM_DITHER, (uint32_t)event, (uint32_t)(event >> 32)};
        uint32_t words[WORDS];
        wp_philox(counter, key, words);
        for (size_t k = 0; k < WORDS; k++) {
            dither[i + k] = (int32_t)(words[k] & 0xffff) - (int32_t)(words[k] >> 16);
        }
    }
}

/* Rounds to nearest. Double, because a float of full scale has no bits left for the dither. */
static uint32_t round_samples(const struct wp_quantiser *quantiser, const float *samples,
                              const int32_t *dither, int32_t *numbers, size_t n)
{
    const double steps = quantiser->steps;
    const double limit = quantiser->full_scale;
    uint32_t n_clipped = 0;
    for (size_t i = 0; i < n; i++) {
        const double exact = (double)samples[i] * steps + (double)dither[i] * DITHER_STEP;
        const double raised = (exact == exact ? exact : 0.0) + 0.5;
        const double below = raised < limit ? raised : limit - 1.0;
        const double fitting = below >= -limit ? below : -limit;
        n_clipped += !(exact + 0.5 >= -limit && exact + 0.5 < limit);
        /* Cutting off the fraction is rounding down only for positive numbers. */
        numbers[i] = (int32_t)(fitting + 0x1p24) - (1 << 24);
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
        quantiser->n_clipped += round_samples(quantiser, samples, dither + skipped, numbers, n_now);
        quantiser->position += n_now;
        samples += n_now;
        numbers += n_now;
        n -= n_now;
    }
}
