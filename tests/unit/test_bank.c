/* SPDX-License-Identifier: MIT */
/* The resonator bank: blows, superposition, silence, the processor's setting. */

#include <float.h>
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

#include "../near.h"
#include "synth/bank.h"
#include "synth/subnormal.h"

enum { RATE_HZ = 48000, N_PARTIALS = 5 };

static const struct wp_bank_partial PARTIALS[N_PARTIALS] = {
    {60.0, 4.0}, {416.25, 2.0}, {417.25, 2.0}, {3420.6, 0.4}, {15990.0, 0.02},
};
static const double AMPLITUDES[N_PARTIALS] = {0.3, -0.2, 0.15, 0.1, 0.05};

/* Every claim is checked with either kernel; a state stands for blocks by way of spectra. */
static bool is_blockwise(void **state)
{
    return *state != NULL;
}

static int use_blocks(void **state)
{
    static char blocks[] = "blocks";
    *state = blocks;
    return 0;
}

static struct wp_bank *bank_of(void **state, size_t n_voices, size_t n_ears)
{
    struct wp_bank_voice voices[3];
    for (size_t v = 0; v < 3; v++) {
        voices[v] = (struct wp_bank_voice){PARTIALS, N_PARTIALS};
    }
    const struct wp_bank_config config = {.rate_hz = RATE_HZ,
                                          .n_ears = n_ears,
                                          .voices = voices,
                                          .n_voices = n_voices,
                                          .is_blockwise = is_blockwise(state)};
    struct wp_bank *bank;
    assert_int_equal(wp_bank_create(&bank, &config), WP_OK);
    return bank;
}

static void strike(struct wp_bank *bank, size_t voice, size_t ear, double onset)
{
    const struct wp_bank_blow blow = {voice, ear, onset, AMPLITUDES, NULL, NULL};
    wp_bank_excite(bank, &blow);
}

/* What the blow of strike() sounds like t_s after its onset. */
static double expected(double t_s)
{
    double sum = 0.0;
    for (size_t m = 0; t_s >= 0.0 && m < N_PARTIALS; m++) {
        sum += AMPLITUDES[m] * pow(10.0, -3.0 * t_s / PARTIALS[m].t60_s) *
               sin(2.0 * M_PI * PARTIALS[m].freq_hz * t_s);
    }
    return sum;
}

static void assert_sounds_from(struct wp_bank *bank, size_t ear, double onset, int n_blocks)
{
    double frame = 0.0;
    for (int block = 0; block < n_blocks; block++) {
        if (block > 0) {
            wp_bank_render(bank);
        }
        const float *frames = wp_bank_frames(bank, 0, ear);
        for (size_t i = 0; i < wp_bank_block(bank); i++, frame += 1.0) {
            assert_near(frames[i], expected((frame - onset) / RATE_HZ), 1e-6);
        }
    }
}

static void blow_starts_at_its_fraction_of_a_frame(void **state)
{
    (void)state;
    const double onsets[] = {0.0,     1.0,   0.25,  63.9,  64.0,  100.5,  192.75,
                             254.999, 255.0, 255.5, 600.7, 959.0, 1023.99};
    for (size_t i = 0; i < sizeof onsets / sizeof onsets[0]; i++) {
        struct wp_bank *bank = bank_of(state, 1, 1);
        wp_bank_render(bank);
        if (onsets[i] < (double)wp_bank_block(bank)) {
            strike(bank, 0, 0, onsets[i]);
            assert_sounds_from(bank, 0, onsets[i], 12);
        }
        wp_bank_destroy(bank);
    }
}

static void late_blow_joins_in_its_place(void **state)
{
    (void)state;
    struct wp_bank *bank = bank_of(state, 1, 1);
    wp_bank_render(bank);
    strike(bank, 0, 0, -37.3);
    assert_sounds_from(bank, 0, -37.3, 12);
    wp_bank_destroy(bank);
}

static void ears_have_their_own_onsets(void **state)
{
    (void)state;
    const double onsets[WP_BANK_OUTPUTS_MAX] = {60.2, 71.8, 81.5};
    for (size_t n_ears = 2; n_ears <= WP_BANK_OUTPUTS_MAX; n_ears++) {
        for (size_t ear = 0; ear < n_ears; ear++) {
            struct wp_bank *bank = bank_of(state, 1, n_ears);
            wp_bank_render(bank);
            for (size_t i = 0; i < n_ears; i++) {
                strike(bank, 0, i, onsets[i]);
            }
            assert_sounds_from(bank, ear, onsets[ear], 6);
            wp_bank_destroy(bank);
        }
    }
}

static void blows_superpose(void **state)
{
    (void)state;
    struct wp_bank *bank = bank_of(state, 3, 1);
    wp_bank_render(bank);
    strike(bank, 0, 0, 10.5);
    strike(bank, 1, 0, 10.5);
    for (int block = 0; block < 40; block++) {
        wp_bank_render(bank);
        if (block == 20) {
            strike(bank, 0, 0, 99.1);
            strike(bank, 2, 0, 99.1);
        }
        const float *both = wp_bank_frames(bank, 0, 0);
        const float *first = wp_bank_frames(bank, 1, 0);
        const float *second = wp_bank_frames(bank, 2, 0);
        for (size_t i = 0; i < wp_bank_block(bank); i++) {
            assert_near(both[i], first[i] + second[i], 5e-7);
        }
    }
    wp_bank_destroy(bank);
}

static void cosine_part_is_a_quarter_turn_ahead(void **state)
{
    (void)state;
    struct wp_bank *bank = bank_of(state, 1, 1);
    const double none[N_PARTIALS] = {0.0};
    const double onset = 10.25;
    const struct wp_bank_blow blow = {0, 0, onset, none, AMPLITUDES, NULL};
    wp_bank_render(bank);
    wp_bank_excite(bank, &blow);
    for (size_t block = 0; block < 3; block++) {
        const float *frames = wp_bank_frames(bank, 0, 0);
        for (size_t i = block == 0 ? 11 : 0; i < wp_bank_block(bank); i++) {
            const double t_s = ((double)(block * wp_bank_block(bank) + i) - onset) / RATE_HZ;
            double sum = 0.0;
            for (size_t m = 0; m < N_PARTIALS; m++) {
                sum += AMPLITUDES[m] * pow(10.0, -3.0 * t_s / PARTIALS[m].t60_s) *
                       cos(2.0 * M_PI * PARTIALS[m].freq_hz * t_s);
            }
            assert_true(fabs((double)frames[i] - sum) < 1e-6);
        }
        wp_bank_render(bank);
    }
    wp_bank_destroy(bank);
}

static void mixed_voices_share_their_frames(void **state)
{
    (void)state;
    const struct wp_bank_voice voices[] = {{PARTIALS, N_PARTIALS}, {PARTIALS + 1, 2}};
    struct wp_bank_config config = {.rate_hz = RATE_HZ,
                                    .n_ears = 2,
                                    .voices = voices,
                                    .n_voices = 2,
                                    .is_blockwise = is_blockwise(state)};
    struct wp_bank *apart;
    struct wp_bank *mixed;
    assert_int_equal(wp_bank_create(&apart, &config), WP_OK);
    config.is_mixed = true;
    assert_int_equal(wp_bank_create(&mixed, &config), WP_OK);
    assert_ptr_equal(wp_bank_frames(mixed, 0, 1), wp_bank_frames(mixed, 1, 1));
    for (int block = 0; block < 4; block++) {
        wp_bank_render(apart);
        wp_bank_render(mixed);
        for (size_t voice = 0; voice < 2 && block == 1; voice++) {
            strike(apart, voice, 1, 10.5 + 90.0 * (double)voice);
            strike(mixed, voice, 1, 10.5 + 90.0 * (double)voice);
        }
        for (size_t i = 0; i < wp_bank_block(mixed); i++) {
            const float sum = wp_bank_frames(apart, 0, 1)[i] + wp_bank_frames(apart, 1, 1)[i];
            assert_near(wp_bank_frames(mixed, 0, 1)[i], sum, 5e-7);
            assert_near(wp_bank_frames(mixed, 0, 0)[i], 0.0, 1e-7);
        }
    }
    assert_true(wp_bank_count_ringing(mixed) == N_PARTIALS + 2);
    wp_bank_destroy(apart);
    wp_bank_destroy(mixed);
}

static void what_has_died_away_is_dropped(void **state)
{
    (void)state;
    struct wp_bank *bank = bank_of(state, 2, 2);
    wp_bank_render(bank);
    assert_int_equal(wp_bank_count_ringing(bank), 0);
    strike(bank, 1, 0, 3.0);
    wp_bank_render(bank);
    assert_int_equal(wp_bank_count_ringing(bank), N_PARTIALS);
    /* From 0.3 to 1e-11 the slowest takes 209.5 dB / 60 dB * 4 s = 14.0 s. */
    const double until_14_5_s = 14.5 * RATE_HZ / (double)wp_bank_block(bank);
    const double until_13_5_s = 13.5 * RATE_HZ / (double)wp_bank_block(bank);
    for (int block = 0; block < until_14_5_s; block++) {
        wp_bank_render(bank);
        if (block == (int)until_13_5_s) {
            assert_int_equal(wp_bank_count_ringing(bank), 1);
        }
    }
    assert_int_equal(wp_bank_count_ringing(bank), 0);
    const float *frames = wp_bank_frames(bank, 1, 0);
    for (size_t i = 0; i < wp_bank_block(bank); i++) {
        assert_true(frames[i] == 0.0f);
    }
    wp_bank_destroy(bank);
}

static void no_sample_is_subnormal(void **state)
{
    (void)state;
    /* T60 of 1 ms falls by 1e-38 within 13 ms: powers and samples would pass the normal range. */
    const struct wp_bank_partial fast = {9000.0, 1e-4};
    const struct wp_bank_voice voice = {&fast, 1};
    const struct wp_bank_config config = {.rate_hz = RATE_HZ,
                                          .n_ears = 1,
                                          .voices = &voice,
                                          .n_voices = 1,
                                          .is_blockwise = is_blockwise(state)};
    const double amplitude = 1.0;
    const struct wp_bank_blow blow = {0, 0, 5.0, &amplitude, NULL, NULL};
    struct wp_bank *bank;
    assert_int_equal(wp_bank_create(&bank, &config), WP_OK);
    const uint64_t setting = wp_subnormal_flush();
    wp_bank_render(bank);
    wp_bank_excite(bank, &blow);
    size_t n_subnormal = 0;
    for (int block = 0; block < 4; block++) {
        const float *frames = wp_bank_frames(bank, 0, 0);
        for (size_t i = 0; i < wp_bank_block(bank); i++) {
            uint32_t bits;
            memcpy(&bits, &frames[i], sizeof bits);
            n_subnormal += (bits & 0x7f800000u) == 0 && (bits & 0x007fffffu) != 0;
        }
        wp_bank_render(bank);
    }
    wp_subnormal_restore(setting);
    assert_int_equal(n_subnormal, 0);
    assert_int_equal(wp_bank_count_ringing(bank), 0);
    wp_bank_destroy(bank);
}

static void processor_setting_comes_back(void **state)
{
    (void)state;
    volatile float tiny = FLT_MIN;
    const uint64_t setting = wp_subnormal_flush();
    wp_subnormal_restore(setting);
    assert_true(tiny / 4.0f > 0.0f);
}

static void impossible_partials_are_refused(void **state)
{
    (void)state;
    struct wp_bank_partial partials[WP_BANK_PARTIALS_MAX + 1];
    for (size_t m = 0; m < WP_BANK_PARTIALS_MAX + 1; m++) {
        partials[m] = (struct wp_bank_partial){100.0 + (double)m, 1.0};
    }
    struct wp_bank_voice voice = {partials, WP_BANK_PARTIALS_MAX + 1};
    const struct wp_bank_config config = {.rate_hz = RATE_HZ,
                                          .n_ears = 1,
                                          .voices = &voice,
                                          .n_voices = 1,
                                          .is_blockwise = is_blockwise(state)};
    struct wp_bank *bank;
    assert_int_equal(wp_bank_create(&bank, &config), WP_E_RANGE);
    assert_null(bank);
    voice.n_partials = WP_BANK_PARTIALS_MAX;
    assert_int_equal(wp_bank_create(&bank, &config), WP_OK);
    wp_bank_destroy(bank);
    partials[7].freq_hz = RATE_HZ / 2.0;
    assert_int_equal(wp_bank_create(&bank, &config), WP_E_RANGE);
    partials[7] = (struct wp_bank_partial){100.0, (double)NAN};
    assert_int_equal(wp_bank_create(&bank, &config), WP_E_RANGE);
    wp_bank_destroy(NULL);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(blow_starts_at_its_fraction_of_a_frame),
        cmocka_unit_test(late_blow_joins_in_its_place),
        cmocka_unit_test(ears_have_their_own_onsets),
        cmocka_unit_test(blows_superpose),
        cmocka_unit_test(cosine_part_is_a_quarter_turn_ahead),
        cmocka_unit_test(mixed_voices_share_their_frames),
        cmocka_unit_test(what_has_died_away_is_dropped),
        cmocka_unit_test(no_sample_is_subnormal),
        cmocka_unit_test(processor_setting_comes_back),
        cmocka_unit_test(impossible_partials_are_refused),
    };
    const int n_failed = cmocka_run_group_tests_name("tiles", tests, NULL, NULL);
    return n_failed + cmocka_run_group_tests_name("blocks", tests, use_blocks, NULL);
}
