/* SPDX-License-Identifier: MIT */
/*
 * Claims about blows that damp and strikers that rest, in the bank. The reference is the closed
 * form, partial by partial in double: between events exp(-sigma t) cis(2 pi f t).
 */

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "../near.h"
#include "synth/bank.h"

enum { RATE_HZ = 48000, N_PARTIALS = 4, N_FRAMES = 3584 };

static const struct wp_bank_partial PARTIALS[N_PARTIALS] = {
    {60.0, 4.0}, {416.25, 2.0}, {3420.6, 0.4}, {15990.0, 0.02}};
static const double AMPLITUDES[N_PARTIALS] = {0.3, -0.2, 0.1, 0.05};
static const double COSINES[N_PARTIALS] = {0.0, 0.1, -0.05, 0.02};
static const double KEPT[N_PARTIALS] = {0.95, 0.6, 0.0, 1.0};
static const double ADDED[N_PARTIALS] = {2.0, 0.0, 400.0, 20000.0};
static const double MORE[N_PARTIALS] = {90.0, 30.0, 5.0, 100000.0};

/* What is told to the bank: a blow, or where amplitude is NULL a change of damping. */
struct event {
    double onset; /* frames from the start */
    const double *amplitude;
    const double *kept;
    const double *added_per_s;
};

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

static struct wp_bank *bank_of(void **state, size_t n_ears)
{
    const struct wp_bank_voice voice = {PARTIALS, N_PARTIALS};
    const struct wp_bank_config config = {.rate_hz = RATE_HZ,
                                          .n_ears = n_ears,
                                          .voices = &voice,
                                          .n_voices = 1,
                                          .is_blockwise = is_blockwise(state)};
    struct wp_bank *bank;
    assert_int_equal(wp_bank_create(&bank, &config), WP_OK);
    return bank;
}

static void tell(struct wp_bank *bank, size_t ear, const struct event *event, double block_start)
{
    const double onset = event->onset - block_start;
    if (event->amplitude) {
        const struct wp_bank_blow blow = {0, ear, onset, event->amplitude, COSINES, event->kept};
        wp_bank_excite(bank, &blow);
    } else {
        const struct wp_bank_damping damping = {0, ear, onset, event->added_per_s};
        wp_bank_damp(bank, &damping);
    }
}

/* One partial at a frame, by the events before it. */
static double expected(size_t m, const struct event *events, size_t n_events, double frame)
{
    const double omega = 2.0 * M_PI * PARTIALS[m].freq_hz / RATE_HZ;
    const double own = log(1000.0) / PARTIALS[m].t60_s / RATE_HZ;
    double re = 0.0;
    double im = 0.0;
    double rate = own;
    double at = 0.0;
    for (size_t e = 0; e <= n_events; e++) {
        const bool is_end = e == n_events || events[e].onset > frame;
        const double to = is_end ? frame : events[e].onset;
        const double size = exp(-rate * (to - at));
        const double was_re = re;
        re = size * (re * cos(omega * (to - at)) - im * sin(omega * (to - at)));
        im = size * (was_re * sin(omega * (to - at)) + im * cos(omega * (to - at)));
        at = to;
        if (is_end) {
            break;
        }
        if (events[e].amplitude) {
            const double kept = events[e].kept ? events[e].kept[m] : 1.0;
            re = kept * re + events[e].amplitude[m];
            im = kept * im + COSINES[m];
        } else {
            rate = own + (events[e].added_per_s ? events[e].added_per_s[m] / RATE_HZ : 0.0);
        }
    }
    return im;
}

/* Runs the events through one ear of a bank and compares every frame. */
static void assert_follows(void **state, const struct event *events, size_t n_events)
{
    struct wp_bank *bank = bank_of(state, 1);
    size_t next = 0;
    const double n_block = (double)wp_bank_block(bank);
    for (double start = 0.0; start < N_FRAMES; start += n_block) {
        wp_bank_render(bank);
        while (next < n_events && events[next].onset < start + n_block) {
            tell(bank, 0, &events[next++], start);
        }
        const float *frames = wp_bank_frames(bank, 0, 0);
        for (int i = 0; i < n_block; i++) {
            double sum = 0.0;
            for (size_t m = 0; m < N_PARTIALS; m++) {
                sum += expected(m, events, n_events, start + i);
            }
            assert_near(frames[i], sum, 2e-6);
        }
    }
    assert_int_equal(next, n_events);
    wp_bank_destroy(bank);
}

static void blow_leaves_its_share_of_what_rang(void **state)
{
    (void)state;
    const double onsets[] = {300.0, 511.25, 511.999, 512.0, 767.5, 1100.125};
    for (size_t i = 0; i < sizeof onsets / sizeof onsets[0]; i++) {
        const struct event events[] = {{10.25, AMPLITUDES, NULL, NULL},
                                       {onsets[i], AMPLITUDES, KEPT, NULL}};
        assert_follows(state, events, 2);
    }
}

static void second_blow_damps_the_first_of_the_same_block(void **state)
{
    (void)state;
    const struct event events[] = {{10.25, AMPLITUDES, NULL, NULL},
                                   {40.5, AMPLITUDES, KEPT, NULL},
                                   {40.75, AMPLITUDES, KEPT, NULL},
                                   {200.0, AMPLITUDES, KEPT, NULL}};
    assert_follows(state, events, 4);
}

static void resting_adds_its_decay_and_leaving_takes_it_off(void **state)
{
    (void)state;
    const struct event events[] = {{10.25, AMPLITUDES, NULL, NULL}, {300.7, NULL, NULL, ADDED},
                                   {800.0, AMPLITUDES, KEPT, NULL}, {1000.3, NULL, NULL, MORE},
                                   {1010.9, NULL, NULL, ADDED},     {1535.5, NULL, NULL, NULL},
                                   {1700.1, AMPLITUDES, NULL, NULL}};
    assert_follows(state, events, 7);
}

static void resting_on_a_silent_voice_damps_the_next_blow(void **state)
{
    (void)state;
    const struct event events[] = {{100.0, NULL, NULL, ADDED}, {700.6, AMPLITUDES, NULL, NULL}};
    assert_follows(state, events, 2);
}

/* Events at random moments, 0 to 600 frames apart; the generator is Lehmer's with 48271. */
static void any_course_of_events_follows_the_closed_form(void **state)
{
    (void)state;
    uint64_t random = 2026;
    for (int run = 0; run < 20; run++) {
        struct event events[16];
        size_t n = 0;
        double at = 0.0;
        while (n < 16) {
            random = random * 48271 % 2147483647;
            at += (double)(random % 600) + (double)(random % 1000) / 1000.0;
            if (at >= N_FRAMES) {
                break;
            }
            const bool is_blow = random % 7 < 4;
            const double *added = random % 7 == 4 ? ADDED : random % 7 == 5 ? MORE : NULL;
            events[n++] = (struct event){at, is_blow ? AMPLITUDES : NULL, KEPT, added};
        }
        assert_follows(state, events, n);
    }
}

static void ears_are_damped_at_their_own_moments(void **state)
{
    (void)state;
    struct wp_bank *both = bank_of(state, 2);
    struct wp_bank *single[2] = {bank_of(state, 1), bank_of(state, 1)};
    const struct event events[2][3] = {
        {{10.25, AMPLITUDES, NULL, NULL}, {250.5, NULL, NULL, MORE}, {900.0, NULL, NULL, NULL}},
        {{19.25, AMPLITUDES, NULL, NULL}, {259.5, NULL, NULL, MORE}, {909.0, NULL, NULL, NULL}}};
    size_t next[2] = {0, 0};
    const double n_block = (double)wp_bank_block(both);
    for (double start = 0.0; start < N_FRAMES; start += n_block) {
        wp_bank_render(both);
        for (size_t ear = 0; ear < 2; ear++) {
            wp_bank_render(single[ear]);
            for (; next[ear] < 3 && events[ear][next[ear]].onset < start + n_block; next[ear]++) {
                tell(both, ear, &events[ear][next[ear]], start);
                tell(single[ear], 0, &events[ear][next[ear]], start);
            }
            for (int i = 0; i < n_block; i++) {
                assert_near(wp_bank_frames(both, 0, ear)[i], wp_bank_frames(single[ear], 0, 0)[i],
                            1e-7);
            }
        }
    }
    wp_bank_destroy(both);
    wp_bank_destroy(single[0]);
    wp_bank_destroy(single[1]);
}

/* The ramp is 3 x^2 - 2 x^3 (smoothstep, any text on computer graphics). */
static double faded(const struct event *first, double from, double to, double frame)
{
    const double x = fmin(fmax((frame - from) / (to - from), 0.0), 1.0);
    const double ramp = x * x * (3.0 - 2.0 * x);
    double sum = 0.0;
    for (size_t m = 0; m < N_PARTIALS; m++) {
        sum += expected(m, first, 1, frame) * (1.0 - (1.0 - KEPT[m]) * ramp);
    }
    return sum;
}

/* Told block by block, wherever the blocks end. */
static void assert_fades(void **state, double from, double to)
{
    static const double nothing[N_PARTIALS];
    const struct event first = {10.25, AMPLITUDES, NULL, NULL};
    struct wp_bank *bank = bank_of(state, 1);
    const double n_block = (double)wp_bank_block(bank);
    for (double start = 0.0; start < N_FRAMES; start += n_block) {
        wp_bank_render(bank);
        if (start <= 0.0) {
            tell(bank, 0, &first, start);
        }
        if (start <= to) {
            struct wp_bank_fade fade = {0, 0, from - start, to - start, KEPT, 0.0, 20.5};
            wp_bank_fade(bank, &fade);
            fade.begin = 20.5; /* in two parts */
            fade.end = n_block;
            wp_bank_fade(bank, &fade);
        }
        if (to >= start && to < start + n_block) {
            const struct wp_bank_blow blow = {0, 0, to - start, nothing, NULL, KEPT};
            wp_bank_excite(bank, &blow);
        }
        const float *frames = wp_bank_frames(bank, 0, 0);
        for (int i = 0; i < n_block; i++) {
            assert_near(frames[i], faded(&first, from, to, start + i), 2e-6);
        }
    }
    wp_bank_destroy(bank);
}

static void what_a_blow_takes_fades_while_it_touches(void **state)
{
    assert_fades(state, 300.5, 301.25);
    assert_fades(state, 300.5, 330.75);
    assert_fades(state, 500.0, 644.0);
    assert_fades(state, 700.1, 1700.9);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(blow_leaves_its_share_of_what_rang),
        cmocka_unit_test(second_blow_damps_the_first_of_the_same_block),
        cmocka_unit_test(resting_adds_its_decay_and_leaving_takes_it_off),
        cmocka_unit_test(resting_on_a_silent_voice_damps_the_next_blow),
        cmocka_unit_test(any_course_of_events_follows_the_closed_form),
        cmocka_unit_test(ears_are_damped_at_their_own_moments),
        cmocka_unit_test(what_a_blow_takes_fades_while_it_touches),
    };
    const int n_failed = cmocka_run_group_tests_name("tiles", tests, NULL, NULL);
    return n_failed + cmocka_run_group_tests_name("blocks", tests, use_blocks, NULL);
}
