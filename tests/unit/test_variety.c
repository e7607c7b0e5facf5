/* SPDX-License-Identifier: MIT */
/* Claims about how many strikes there were and how varied. */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "../near.h"
#include "windpeal/strike.h"

static struct wp_variety measure(const size_t *tubes, const double *times, size_t n, size_t n_tubes,
                                 double duration_s)
{
    struct wp_variety_meter meter;
    wp_variety_init(&meter, n_tubes);
    for (size_t i = 0; i < n; i++) {
        const struct wp_strike strike = {.t_s = times[i], .tube = tubes[i], .speed_m_s = 0.3};
        wp_variety_add(&meter, &strike);
    }
    struct wp_variety result;
    wp_variety_result(&meter, duration_s, &result);
    return result;
}

/* A fair coin has one bit, four equal chances two (Shannon 1948). */
static void equal_shares_have_the_logarithm_of_their_number(void **state)
{
    (void)state;
    static const size_t tubes[] = {0, 1, 2, 3, 0, 1, 2, 3};
    static const double times[] = {1, 2, 3, 4, 5, 6, 7, 8};
    const struct wp_variety v = measure(tubes, times, 8, 4, 10.0);
    assert_near(v.entropy_bits, 2.0, 1e-12);
    assert_near(v.repeat_share, 0.0, 0.0);
    assert_near(v.reached_share, 1.0, 0.0);
    assert_near(v.per_minute, 48.0, 1e-12);
}

/* Shares 3/4 and 1/4: H = 2 - 3/4 log2(3) = 0.811278 bits. */
static void unequal_shares_have_less(void **state)
{
    (void)state;
    static const size_t tubes[] = {0, 0, 2, 0};
    static const double times[] = {1, 2, 3, 4};
    const struct wp_variety v = measure(tubes, times, 4, 6, 60.0);
    assert_near(v.entropy_bits, 0.8112781245, 1e-9);
    assert_near(v.repeat_share, 1.0 / 3.0, 1e-12);
    assert_near(v.reached_share, 2.0 / 6.0, 1e-12);
    assert_int_equal(v.per_tube[0], 3);
    assert_int_equal(v.per_tube[1], 0);
    assert_int_equal(v.per_tube[2], 1);
    assert_int_equal(v.n_strikes, 4);
}

static void silence_counts_from_the_start_and_to_the_end(void **state)
{
    (void)state;
    static const size_t tubes[] = {0, 1, 0};
    static const double late[] = {9, 11, 13};
    static const double early[] = {1, 2, 3};
    static const double parted[] = {1, 8, 9};
    assert_near(measure(tubes, late, 3, 2, 15.0).longest_silence_s, 9.0, 0.0);
    assert_near(measure(tubes, early, 3, 2, 15.0).longest_silence_s, 12.0, 0.0);
    assert_near(measure(tubes, parted, 3, 2, 15.0).longest_silence_s, 7.0, 0.0);
}

static void no_strike_is_one_long_silence(void **state)
{
    (void)state;
    const struct wp_variety v = measure(NULL, NULL, 0, 6, 30.0);
    assert_near(v.longest_silence_s, 30.0, 0.0);
    assert_near(v.entropy_bits, 0.0, 0.0);
    assert_near(v.per_minute, 0.0, 0.0);
    assert_near(v.reached_share, 0.0, 0.0);
    assert_true(isnan(v.repeat_share));
}

static void single_strike_repeats_nothing(void **state)
{
    (void)state;
    static const size_t tube = 0;
    static const double time = 0.0;
    assert_true(isnan(measure(&tube, &time, 1, 6, 30.0).repeat_share));
}

static void result_can_be_asked_for_in_between(void **state)
{
    (void)state;
    struct wp_variety_meter meter;
    struct wp_variety half;
    struct wp_variety whole;
    wp_variety_init(&meter, 2);
    wp_variety_add(&meter, &(struct wp_strike){.t_s = 1.0, .tube = 0, .speed_m_s = 0.3});
    wp_variety_result(&meter, 100.0, &half);
    wp_variety_add(&meter, &(struct wp_strike){.t_s = 2.0, .tube = 0, .speed_m_s = 0.3});
    wp_variety_result(&meter, 4.0, &whole);
    assert_near(half.longest_silence_s, 99.0, 0.0);
    assert_near(whole.longest_silence_s, 2.0, 0.0);
    assert_near(whole.repeat_share, 1.0, 0.0);
}

/* Speed 0 comes to rest, below 0 leaves. */
static void leaning_is_timed_and_strikes_nothing(void **state)
{
    (void)state;
    static const struct wp_strike rows[] = {
        {.t_s = 1.0, .tube = 0, .speed_m_s = 0.3},   {.t_s = 2.0, .tube = 1, .speed_m_s = 0.0},
        {.t_s = 2.5, .tube = 0, .speed_m_s = 0.0},   {.t_s = 3.0, .tube = 1, .speed_m_s = -0.01},
        {.t_s = 4.0, .tube = 0, .speed_m_s = -1e-6}, {.t_s = 8.0, .tube = 1, .speed_m_s = 0.0}};
    struct wp_variety_meter meter;
    struct wp_variety v;
    wp_variety_init(&meter, 2);
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        wp_variety_add(&meter, &rows[i]);
    }
    wp_variety_result(&meter, 10.0, &v);
    assert_int_equal(v.n_strikes, 1);
    assert_int_equal(v.per_tube[1], 0);
    assert_int_equal(v.n_rests, 3);
    assert_near(v.rest_s, 1.0 + 1.5 + 2.0, 1e-12); /* the last one lasts to the end */
    assert_near(v.longest_silence_s, 9.0, 0.0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(equal_shares_have_the_logarithm_of_their_number),
        cmocka_unit_test(unequal_shares_have_less),
        cmocka_unit_test(silence_counts_from_the_start_and_to_the_end),
        cmocka_unit_test(no_strike_is_one_long_silence),
        cmocka_unit_test(single_strike_repeats_nothing),
        cmocka_unit_test(result_can_be_asked_for_in_between),
        cmocka_unit_test(leaning_is_timed_and_strikes_nothing),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
