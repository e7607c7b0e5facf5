/* SPDX-License-Identifier: MIT */
/* Random streams: known answers, quantiles, independence of the order of calls. */
#include "base/random.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

static void assert_block(const uint32_t counter[4], const uint32_t key[2], const uint32_t want[4])
{
    uint32_t got[4];
    wp_philox(counter, key, got);
    assert_memory_equal(got, want, sizeof got);
}

/* The three vectors of philox4x32 with 10 rounds that accompany Salmon et al., SC11 (2011), file
 * kat_vectors of their reference library. The third is the digits of pi. */
static void philox_gives_the_known_answers(void **state)
{
    (void)state;
    const uint32_t f = 0xFFFFFFFFU;
    assert_block((uint32_t[4]){0, 0, 0, 0}, (uint32_t[2]){0, 0},
                 (uint32_t[4]){0x6627E8D5U, 0xE169C58DU, 0xBC57AC4CU, 0x9B00DBD8U});
    assert_block((uint32_t[4]){f, f, f, f}, (uint32_t[2]){f, f},
                 (uint32_t[4]){0x408F276DU, 0x41C83B0EU, 0xA20BC7C6U, 0x6D5451FDU});
    assert_block((uint32_t[4]){0x243F6A88U, 0x85A308D3U, 0x13198A2EU, 0x03707344U},
                 (uint32_t[2]){0xA4093822U, 0x299F31D0U},
                 (uint32_t[4]){0xD16CFE09U, 0x94FDCCEBU, 0x5001E420U, 0x24126EA1U});
}

struct quantile {
    double probability;
    double value;
};

/* Wichura's own three test values (Appl. Statist. 37, 1988, p. 482, from memory), the two-sided
 * 95 % point (any table of the normal distribution); all figures from the inverse error function
 * of mpmath 1.3 at 30 digits. */
static void quantiles_are_those_of_the_tables(void **state)
{
    (void)state;
    const struct quantile known[] = {
        {0.25, -0.6744897501960817},
        {0.001, -3.090232306167814},
        {1e-20, -9.262340089798408},
        {0.975, 1.959963984540054},
        {0.5, 0.0},
        {0.9986501019683699, 3.0},
        {1e-10, -6.361340902404056},
        {0.3, -0.5244005127080409},
    };
    for (size_t i = 0; i < sizeof known / sizeof known[0]; i++) {
        const double got = wp_normal_quantile(known[i].probability);
        assert_true(fabs(got - known[i].value) <= 4e-15 * fmax(1.0, fabs(known[i].value)));
    }
}

/* The C library's erfc inverts the quantile over the whole range of uniform draws. In the tail a
 * relative error e of z changes the probability by z^2 e. */
static void distribution_inverts_quantile(void **state)
{
    (void)state;
    for (int i = 1; i < 4000; i++) {
        const double p = i < 2000 ? pow(2.0, -33.0 * i / 2000.0) : (i - 2000) / 2000.0 + 1e-4;
        const double z = wp_normal_quantile(p);
        const double back = 0.5 * erfc(-z * M_SQRT1_2);
        assert_true(fabs(back / p - 1.0) < 2e-15 * (1.0 + z * z));
    }
}

static void order_of_calls_changes_nothing(void **state)
{
    (void)state;
    struct wp_random a;
    struct wp_random b;
    uint32_t straight[6];
    wp_random_init(&a, 42, WP_STREAM_DITHER, 7);
    for (size_t i = 0; i < 6; i++) {
        straight[i] = wp_random_word(&a);
    }
    wp_random_init(&a, 42, WP_STREAM_DITHER, 7);
    wp_random_init(&b, 42, WP_STREAM_DITHER, 8);
    for (size_t i = 0; i < 6; i++) {
        (void)wp_random_word(&b);
        assert_int_equal(wp_random_word(&a), straight[i]);
    }
}

static void seed_stream_and_event_all_count(void **state)
{
    (void)state;
    const uint64_t high = (uint64_t)1 << 32;
    const uint64_t seeds[] = {1, 2, 1 + high, 1, 1, 1};
    const enum wp_stream streams[] = {WP_STREAM_DITHER, WP_STREAM_DITHER,      WP_STREAM_DITHER,
                                      WP_STREAM_DITHER, WP_STREAM_STRIKE_TUBE, WP_STREAM_DITHER};
    const uint64_t events[] = {0, 0, 0, 1, 0, high};
    uint32_t first[6];
    for (size_t i = 0; i < 6; i++) {
        struct wp_random random;
        wp_random_init(&random, seeds[i], streams[i], events[i]);
        first[i] = wp_random_word(&random);
        for (size_t j = 0; j < i; j++) {
            assert_int_not_equal(first[i], first[j]);
        }
    }
}

/* The standard errors of mean, variance and fourth moment of n normal numbers are 1/sqrt(n),
 * sqrt(2/n) and sqrt(96/n) (M. G. Kendall, A. Stuart, "The Advanced Theory of Statistics" 1, ch.
 * 10); the limits are four of them. */
static void normal_numbers_have_normal_moments(void **state)
{
    (void)state;
    enum { N = 100000 };
    struct wp_random random;
    double sums[3] = {0.0, 0.0, 0.0};
    wp_random_init(&random, 20260411, WP_STREAM_WIND, 0);
    for (int i = 0; i < N; i++) {
        const double z = wp_random_normal(&random);
        sums[0] += z;
        sums[1] += z * z;
        sums[2] += z * z * z * z;
    }
    assert_true(fabs(sums[0] / N) < 4.0 * sqrt(1.0 / N));
    assert_true(fabs(sums[1] / N - 1.0) < 4.0 * sqrt(2.0 / N));
    assert_true(fabs(sums[2] / N - 3.0) < 4.0 * sqrt(96.0 / N));
}

/* Chi-square of 256 cells: mean 255, standard deviation sqrt(510); the limits are four of them. */
static void uniform_numbers_fill_their_cells(void **state)
{
    (void)state;
    enum { N = 256000 };
    struct wp_random random;
    int cells[256] = {0};
    wp_random_init(&random, 99, WP_STREAM_STRIKE_TIME, 3);
    for (int i = 0; i < N; i++) {
        const double u = wp_random_uniform(&random);
        assert_true(u > 0.0 && u < 1.0);
        cells[(int)(256.0 * u)]++;
    }
    double chi_square = 0.0;
    for (size_t i = 0; i < 256; i++) {
        chi_square += (cells[i] - 1000.0) * (cells[i] - 1000.0) / 1000.0;
    }
    assert_true(fabs(chi_square - 255.0) < 4.0 * sqrt(510.0));
}

static void events_in_a_row_are_those_drawn_one_by_one(void **state)
{
    (void)state;
    enum { N = 128 };
    /* Across a carry into the upper half of the event's number. */
    const uint64_t first = UINT64_C(0x1fffffff0);
    const uint64_t seed = UINT64_C(0x0123456789abcdef);
    uint32_t words[4 * N];
    struct wp_random random;
    wp_random_init(&random, seed, WP_STREAM_DITHER, 0);
    wp_philox_events(random.key, WP_STREAM_DITHER, first, N, words);
    for (size_t event = 0; event < N; event++) {
        wp_random_init(&random, seed, WP_STREAM_DITHER, first + event);
        for (size_t k = 0; k < 4; k++) {
            assert_int_equal(words[4 * event + k], wp_random_word(&random));
        }
    }
}

static uint32_t rotated_left(uint32_t x, int n)
{
    return x << n | x >> (32 - n);
}

/* xoshiro128++ as its authors define it (Blackman, Vigna, 2021, figure 4). */
static uint32_t next_word(uint32_t s[4])
{
    const uint32_t word = rotated_left(s[0] + s[3], 7) + s[0];
    const uint32_t shifted = s[1] << 9;
    s[2] ^= s[0];
    s[3] ^= s[1];
    s[1] ^= s[2];
    s[0] ^= s[3];
    s[2] ^= shifted;
    s[3] = rotated_left(s[3], 11);
    return word;
}

/* The answers to the seed 1, 2, 3, 4 are those of the authors' own program, as the crate
 * rand_xoshiro lists them; from memory. */
static void runs_are_made_of_known_generators(void **state)
{
    (void)state;
    const uint32_t known[] = {641,        1573767,    3222811527, 3517856514, 836907274,
                              4247214768, 3867114732, 1355841295, 495546011,  621204420};
    uint32_t s[4] = {1, 2, 3, 4};
    for (size_t i = 0; i < sizeof known / sizeof *known; i++) {
        assert_int_equal(next_word(s), known[i]);
    }
    enum { LANES = 8, STEPS = WP_RUN_WORDS / WP_RUN_EVENTS };
    const uint64_t run = UINT64_C(0x200000001);
    uint32_t words[WP_RUN_WORDS];
    struct wp_random random;
    wp_random_init(&random, 9, WP_STREAM_DITHER, 0);
    wp_random_run(random.key, WP_STREAM_DITHER, run, words);
    for (size_t event = 0; event < WP_RUN_EVENTS; event++) {
        wp_random_init(&random, 9, WP_STREAM_DITHER, run * WP_RUN_EVENTS + event);
        for (size_t i = 0; i < 4; i++) {
            s[i] = wp_random_word(&random);
        }
        const uint32_t *own = &words[event / LANES * LANES * STEPS + event % LANES];
        for (size_t step = 0; step < STEPS; step++) {
            assert_int_equal(own[step * LANES], next_word(s));
        }
    }
}

/* Negative steps are events, too. */
static void normals_side_by_side_are_those_one_by_one(void **state)
{
    (void)state;
    static const uint64_t firsts[] = {0, 64, UINT64_MAX - 63, 1ULL << 40};
    for (size_t k = 0; k < sizeof firsts / sizeof firsts[0]; k++) {
        double normals[2 * WP_NORMAL_EVENTS];
        wp_random_normal_pairs(0x123456789ABCULL, WP_STREAM_WIND, firsts[k], normals);
        for (size_t i = 0; i < WP_NORMAL_EVENTS; i++) {
            struct wp_random random;
            wp_random_init(&random, 0x123456789ABCULL, WP_STREAM_WIND, firsts[k] + i);
            for (size_t draw = 0; draw < 2; draw++) {
                const double one = wp_random_normal(&random);
                assert_memory_equal(&normals[2 * i + draw], &one, sizeof one);
            }
        }
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(philox_gives_the_known_answers),
        cmocka_unit_test(quantiles_are_those_of_the_tables),
        cmocka_unit_test(distribution_inverts_quantile),
        cmocka_unit_test(order_of_calls_changes_nothing),
        cmocka_unit_test(seed_stream_and_event_all_count),
        cmocka_unit_test(normal_numbers_have_normal_moments),
        cmocka_unit_test(uniform_numbers_fill_their_cells),
        cmocka_unit_test(events_in_a_row_are_those_drawn_one_by_one),
        cmocka_unit_test(runs_are_made_of_known_generators),
        cmocka_unit_test(normals_side_by_side_are_those_one_by_one),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
