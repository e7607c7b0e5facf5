/* SPDX-License-Identifier: MIT */
/*
 * The bank against the closed form of decaying partials, A exp(-t / tau) sin(2 pi f t) with
 * tau = T60 / ln 1000, in long double (64-bit mantissa on x86; where long double is double the
 * phase of the reference itself is good to 1e-11). The formula is the definition of reverberation
 * time (ISO 3382-1: a decay by 60 dB) applied to one mode.
 */

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "synth/bank.h"

enum { RATE_HZ = 48000, N_PARTIALS = 80, SECONDS = 60 };

static long double closed_form(const struct wp_bank_partial *partials, const double *amplitudes,
                               size_t n_partials, long double t_s)
{
    const long double two_pi = 6.283185307179586476925286766559L;
    long double sum = 0.0L;
    for (size_t m = 0; t_s >= 0.0L && m < n_partials; m++) {
        const long double decay = logl(1000.0L) / (long double)partials[m].t60_s;
        sum += (long double)amplitudes[m] * expl(-decay * t_s) *
               sinl(two_pi * (long double)partials[m].freq_hz * t_s);
    }
    return sum;
}

/* The largest sample, and the largest difference from what is wanted. */
struct deviation {
    double peak;
    double worst;
};

static double worst_db(struct deviation deviation)
{
    return 20.0 * log10(deviation.worst / deviation.peak);
}

enum kernel { TILE, BLOCKS };

static struct wp_bank *bank_of(const struct wp_bank_partial *partials, size_t n_partials,
                               enum kernel kernel)
{
    const struct wp_bank_voice voice = {partials, n_partials};
    const struct wp_bank_config config = {
        .rate_hz = RATE_HZ,
        .n_ears = 1,
        .voices = &voice,
        .n_voices = 1,
        .is_blockwise = kernel == BLOCKS,
    };
    struct wp_bank *bank;
    assert_int_equal(wp_bank_create(&bank, &config), WP_OK);
    return bank;
}

/* Compares the first 10,000 frames and from then on one block in every 197, up to a minute. */
static struct deviation compare(const struct wp_bank_partial *partials, const double *amplitudes,
                                size_t n_partials, double onset, enum kernel kernel)
{
    const struct wp_bank_blow blow = {0, 0, onset, amplitudes, NULL, NULL};
    struct deviation result = {0.0, 0.0};
    struct wp_bank *bank = bank_of(partials, n_partials, kernel);
    const size_t n_block = wp_bank_block(bank);
    for (size_t block = 0; block < (size_t)SECONDS * RATE_HZ / n_block; block++) {
        wp_bank_render(bank);
        if (block == 0) {
            wp_bank_excite(bank, &blow);
        }
        const float *frames = wp_bank_frames(bank, 0, 0);
        const bool is_compared = block * n_block < 10000 || block % 197 == 0;
        for (size_t i = 0; i < n_block && is_compared; i++) {
            const long double frame = (long double)(block * n_block + i) - (long double)onset;
            const long double wanted =
                closed_form(partials, amplitudes, n_partials, frame / RATE_HZ);
            result.peak = fmax(result.peak, (double)fabsl(wanted));
            result.worst = fmax(result.worst, (double)fabsl(wanted - (long double)frames[i]));
        }
    }
    wp_bank_destroy(bank);
    return result;
}

/* Eighty partials up to 15.8 kHz, from 20 s down to 64 ms. */
static void describe(struct wp_bank_partial partials[N_PARTIALS], double amplitudes[N_PARTIALS])
{
    for (int m = 0; m < N_PARTIALS; m++) {
        partials[m].freq_hz = 60.0 + 199.37 * m;
        partials[m].t60_s = 20.0 / (1.0 + 0.05 * m * m);
        amplitudes[m] = (m % 3 == 0 ? -0.05 : 0.05) / (1.0 + 0.02 * m);
    }
}

static void low_slow_partial_keeps_its_phase_for_a_minute(void **state)
{
    (void)state;
    const struct wp_bank_partial partial = {60.0, 20.0};
    const double amplitude = 0.7;
    const struct deviation tile = compare(&partial, &amplitude, 1, 17.3, TILE);
    const struct deviation blocks = compare(&partial, &amplitude, 1, 17.3, BLOCKS);
    assert_true(tile.peak > 0.69 && blocks.peak > 0.69);
    assert_true(worst_db(tile) <= -115.0);
    assert_true(worst_db(blocks) <= -120.0);
}

static void eighty_partials_stay_within_bounds(void **state)
{
    (void)state;
    struct wp_bank_partial partials[N_PARTIALS];
    double amplitudes[N_PARTIALS];
    describe(partials, amplitudes);
    const struct deviation tile = compare(partials, amplitudes, N_PARTIALS, 130.62, TILE);
    const struct deviation blocks = compare(partials, amplitudes, N_PARTIALS, 530.62, BLOCKS);
    assert_true(tile.peak > 0.3 && blocks.peak > 0.3);
    assert_true(worst_db(tile) <= -115.0);
    assert_true(worst_db(blocks) <= -120.0);
}

/* All at the limit up to which spectra hold partials, T60 = 0.1 s. */
static void fast_partials_stay_within_bounds(void **state)
{
    (void)state;
    struct wp_bank_partial partials[N_PARTIALS];
    double amplitudes[N_PARTIALS];
    describe(partials, amplitudes);
    for (int m = 0; m < N_PARTIALS; m++) {
        partials[m].freq_hz = 20.0 + 291.3 * m;
        partials[m].t60_s = 0.1001;
    }
    const struct deviation blocks = compare(partials, amplitudes, N_PARTIALS, 1010.1, BLOCKS);
    assert_true(blocks.peak > 0.3);
    assert_true(worst_db(blocks) <= -120.0);
}

/* The next frame of a bank whose only blow comes before the first. */
static double next_frame(struct wp_bank *bank, const struct wp_bank_blow *blow, size_t *at)
{
    const size_t place = *at % wp_bank_block(bank);
    if (place == 0) {
        wp_bank_render(bank);
    }
    if (*at == 0) {
        wp_bank_excite(bank, blow);
    }
    (*at)++;
    return (double)wp_bank_frames(bank, 0, 0)[place];
}

static void kernels_agree(void **state)
{
    (void)state;
    struct wp_bank_partial partials[N_PARTIALS];
    double amplitudes[N_PARTIALS];
    describe(partials, amplitudes);
    const struct wp_bank_blow blow = {0, 0, 99.5, amplitudes, NULL, NULL};
    struct wp_bank *tile = bank_of(partials, N_PARTIALS, TILE);
    struct wp_bank *blocks = bank_of(partials, N_PARTIALS, BLOCKS);
    struct deviation result = {0.0, 0.0};
    size_t tile_at = 0;
    size_t blocks_at = 0;
    for (int frame = 0; frame < SECONDS * RATE_HZ; frame++) {
        const double one = next_frame(tile, &blow, &tile_at);
        const double other = next_frame(blocks, &blow, &blocks_at);
        result.peak = fmax(result.peak, fabs(one));
        result.worst = fmax(result.worst, fabs(one - other));
    }
    assert_true(result.peak > 0.3);
    assert_true(worst_db(result) <= -112.0);
    wp_bank_destroy(tile);
    wp_bank_destroy(blocks);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(low_slow_partial_keeps_its_phase_for_a_minute),
        cmocka_unit_test(eighty_partials_stay_within_bounds),
        cmocka_unit_test(fast_partials_stay_within_bounds),
        cmocka_unit_test(kernels_agree),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
