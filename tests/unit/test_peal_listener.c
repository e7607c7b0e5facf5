/* SPDX-License-Identifier: MIT */
/* Claims about what a peal tells and takes while it sounds. */

#include "peal_fixture.h"

enum { RATE_HZ = 48000, N_FRAMES = 8192, HEARD_MAX = 64 };

struct heard {
    size_t n_strikes;
    struct wp_strike strikes[HEARD_MAX];
};

static void remember(void *target, const struct wp_strike *strike)
{
    struct heard *heard = target;
    assert_true(heard->n_strikes < HEARD_MAX);
    heard->strikes[heard->n_strikes++] = *strike;
}

static struct wp_peal *listen(struct heard *heard, const struct wp_strike_list *list)
{
    const struct wp_peal_config config = {
        .strikes = list,
        .rate_hz = RATE_HZ,
        .channels = WP_MONO,
        .listener = {remember, heard},
    };
    *heard = (struct heard){.n_strikes = 0};
    return small_set_peal(&config);
}

static void every_strike_is_told_once_and_in_order(void **state)
{
    (void)state;
    struct wp_strike items[20];
    for (size_t i = 0; i < 20; i++) {
        items[i] = (struct wp_strike){0.005 * (double)i, i % 3, 0.3, 20.0, 0.03, 0.005};
    }
    const struct wp_strike_list list = {items, 20};
    static float frames[N_FRAMES];
    struct heard heard;
    struct wp_peal *peal = listen(&heard, &list);
    wp_peal_render(peal, frames, N_FRAMES);
    assert_int_equal(heard.n_strikes, 20);
    assert_memory_equal(heard.strikes, items, sizeof items);
    wp_peal_destroy(peal);
}

/* A blow by hand is told with all its figures; the same figures in a list sound the same. */
static void a_blow_by_hand_sounds_like_one_in_a_list(void **state)
{
    (void)state;
    const struct wp_strike_list none = {NULL, 0};
    static float live[N_FRAMES];
    static float listed[N_FRAMES];
    struct heard heard;
    struct heard again;
    struct wp_peal *peal = listen(&heard, &none);
    wp_peal_render(peal, live, 1024);
    assert_true(wp_peal_strike(peal, 2, 0.4));
    wp_peal_render(peal, live + 1024, N_FRAMES - 1024);
    wp_peal_destroy(peal);
    assert_int_equal(heard.n_strikes, 1);
    assert_int_equal(heard.strikes[0].tube, 2);
    assert_true(heard.strikes[0].impulse_n_s > 0.0);
    const struct wp_strike_list one = {heard.strikes, 1};
    peal = listen(&again, &one);
    wp_peal_render(peal, listed, N_FRAMES);
    wp_peal_destroy(peal);
    assert_memory_equal(live, listed, sizeof live);
    assert_true(live[2000] != 0.0f);
}

static void impossible_blows_are_refused(void **state)
{
    (void)state;
    const struct wp_strike_list none = {NULL, 0};
    struct heard heard;
    struct wp_peal *peal = listen(&heard, &none);
    assert_false(wp_peal_strike(peal, 3, 0.4));
    assert_false(wp_peal_strike(peal, 0, 0.0));
    assert_false(wp_peal_strike(peal, 0, NAN));
    assert_false(wp_peal_strike(peal, 0, 100.0));
    wp_peal_destroy(peal);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_strike_is_told_once_and_in_order),
        cmocka_unit_test(a_blow_by_hand_sounds_like_one_in_a_list),
        cmocka_unit_test(impossible_blows_are_refused),
    };
    return cmocka_run_group_tests(tests, small_set_prepare, small_set_leave);
}
