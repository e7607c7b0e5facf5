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

struct deviation {
    double peak;
    double worst;
};

/* Compares the first 40 blocks and from then on one in every 97, up to a minute. */
static struct deviation compare(const struct wp_bank_partial *partials, const double *amplitudes,
                                size_t n_partials, double onset)
{
    const struct wp_bank_voice voice = {partials, n_partials};
    const struct wp_bank_config config = {
        .rate_hz = RATE_HZ, .n_ears = 1, .voices = &voice, .n_voices = 1};
    const struct wp_bank_blow blow = {0, 0, onset, amplitudes, NULL, NULL};
    struct deviation result = {0.0, 0.0};
    struct wp_bank *bank;
    assert_int_equal(wp_bank_create(&bank, &config), WP_OK);
    for (int block = 0; block < SECONDS * RATE_HZ / WP_BANK_BLOCK; block++) {
        wp_bank_render(bank);
        if (block == 0) {
            wp_bank_excite(bank, &blow);
        }
        const float *frames = wp_bank_frames(bank, 0, 0);
        for (int i = 0; i < WP_BANK_BLOCK && (block < 40 || block % 97 == 0); i++) {
            const long double frame = (long double)block * WP_BANK_BLOCK + i - (long double)onset;
            const long double wanted =
                closed_form(partials, amplitudes, n_partials, frame / RATE_HZ);
            result.peak = fmax(result.peak, (double)fabsl(wanted));
            result.worst = fmax(result.worst, (double)fabsl(wanted - (long double)frames[i]));
        }
    }
    wp_bank_destroy(bank);
    return result;
}

static void low_slow_partial_keeps_its_phase_for_a_minute(void **state)
{
    (void)state;
    const struct wp_bank_partial partial = {60.0, 20.0};
    const double amplitude = 0.7;
    const struct deviation got = compare(&partial, &amplitude, 1, 17.3);
    assert_true(got.peak > 0.69);
    assert_true(20.0 * log10(got.worst / got.peak) <= -115.0);
}

static void eighty_partials_stay_within_115_db(void **state)
{
    (void)state;
    struct wp_bank_partial partials[N_PARTIALS];
    double amplitudes[N_PARTIALS];
    for (int m = 0; m < N_PARTIALS; m++) {
        partials[m].freq_hz = 60.0 + 199.37 * m;
        partials[m].t60_s = 20.0 / (1.0 + 0.05 * m * m);
        amplitudes[m] = (m % 3 == 0 ? -0.05 : 0.05) / (1.0 + 0.02 * m);
    }
    const struct deviation got = compare(partials, amplitudes, N_PARTIALS, 130.62);
    assert_true(got.peak > 0.3);
    assert_true(20.0 * log10(got.worst / got.peak) <= -115.0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(low_slow_partial_keeps_its_phase_for_a_minute),
        cmocka_unit_test(eighty_partials_stay_within_115_db),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
