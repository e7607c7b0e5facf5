/* SPDX-License-Identifier: MIT */
/* Claims about when a device counts as lost and when it is tried again. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "../near.h"
#include "output/watch.h"

static const double tick_s = 0.05;

/* A clock and a device that can be broken. */
struct scene {
    struct wp_watch watch;
    double now_s;
    struct wp_watch_sight sight;
    bool is_working; /* its frames move */
};

static enum wp_watch_order tick(struct scene *scene)
{
    scene->now_s += tick_s;
    scene->sight.n_played += scene->is_working ? 2400 : 0;
    return wp_watch_step(&scene->watch, scene->now_s, &scene->sight);
}

/* Seconds until the order comes; fails after two minutes. */
static double wait_for(struct scene *scene, enum wp_watch_order order)
{
    const double start_s = scene->now_s;
    while (tick(scene) != order) {
        assert_true(scene->now_s - start_s < 120.0);
    }
    return scene->now_s - start_s;
}

static void play(struct scene *scene)
{
    *scene = (struct scene){.now_s = 1000.0};
    wp_watch_init(&scene->watch, scene->now_s);
    assert_int_equal(tick(scene), WP_WATCH_OPEN);
    scene->sight = (struct wp_watch_sight){.is_alive = true, .is_open = true};
    scene->is_working = true;
    assert_int_equal(tick(scene), WP_WATCH_OPENED);
}

static void stay(struct scene *scene, double duration_s)
{
    for (const double end_s = scene->now_s + duration_s; scene->now_s < end_s;) {
        assert_int_equal(tick(scene), WP_WATCH_NOTHING);
    }
}

static void a_playing_device_is_left_alone(void **state)
{
    (void)state;
    struct scene scene;
    play(&scene);
    stay(&scene, 3600.0);
    assert_int_equal(scene.watch.n_lost, 0);
}

static void a_device_whose_frames_stop_is_dropped_after_a_second(void **state)
{
    (void)state;
    struct scene scene;
    play(&scene);
    stay(&scene, 20.0);
    scene.is_working = false;
    assert_near(wait_for(&scene, WP_WATCH_DROPPED), 1.0, 2.1 * tick_s);
    assert_int_equal(scene.watch.n_lost, 1);
}

static void a_device_whose_process_ends_is_dropped_at_once(void **state)
{
    (void)state;
    struct scene scene;
    play(&scene);
    scene.sight.is_alive = false;
    assert_int_equal(tick(&scene), WP_WATCH_DROPPED);
}

static void a_short_pause_is_no_loss(void **state)
{
    (void)state;
    struct scene scene;
    play(&scene);
    scene.is_working = false;
    stay(&scene, 0.8);
    scene.is_working = true;
    stay(&scene, 10.0);
}

static void waits_double_up_to_half_a_minute(void **state)
{
    (void)state;
    static const double waits_s[] = {1, 2, 4, 8, 16, 30, 30};
    struct scene scene;
    play(&scene);
    stay(&scene, 20.0);
    scene.is_working = false;
    wait_for(&scene, WP_WATCH_DROPPED);
    scene.sight = (struct wp_watch_sight){.is_alive = false};
    for (size_t i = 0; i < sizeof waits_s / sizeof waits_s[0]; i++) {
        assert_near(scene.watch.wait_s, waits_s[i], 0.0);
        assert_near(wait_for(&scene, WP_WATCH_OPEN), waits_s[i], 1.1 * tick_s);
        assert_int_equal(tick(&scene), WP_WATCH_FAILED);
    }
}

static void a_device_that_does_not_open_is_given_up_within_two_seconds(void **state)
{
    (void)state;
    struct scene scene = {.now_s = 5.0};
    wp_watch_init(&scene.watch, scene.now_s);
    assert_int_equal(tick(&scene), WP_WATCH_OPEN);
    scene.sight.is_alive = true;
    assert_true(wait_for(&scene, WP_WATCH_FAILED) < 2.0);
    assert_int_equal(scene.watch.n_lost, 0);
}

static void after_steady_playing_the_first_wait_is_short_again(void **state)
{
    (void)state;
    struct scene scene;
    play(&scene);
    for (int round = 0; round < 4; round++) {
        scene.is_working = false;
        wait_for(&scene, WP_WATCH_DROPPED);
        wait_for(&scene, WP_WATCH_OPEN);
        scene.is_working = true;
        assert_int_equal(tick(&scene), WP_WATCH_OPENED);
    }
    assert_near(scene.watch.wait_s, 8.0, 0.0);
    stay(&scene, 11.0);
    scene.is_working = false;
    wait_for(&scene, WP_WATCH_DROPPED);
    assert_near(scene.watch.wait_s, 1.0, 0.0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_playing_device_is_left_alone),
        cmocka_unit_test(a_device_whose_frames_stop_is_dropped_after_a_second),
        cmocka_unit_test(a_device_whose_process_ends_is_dropped_at_once),
        cmocka_unit_test(a_short_pause_is_no_loss),
        cmocka_unit_test(waits_double_up_to_half_a_minute),
        cmocka_unit_test(a_device_that_does_not_open_is_given_up_within_two_seconds),
        cmocka_unit_test(after_steady_playing_the_first_wait_is_short_again),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
