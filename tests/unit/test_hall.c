/* SPDX-License-Identifier: MIT */
/* A room round the set: what fits into it, and what it makes of recordings and of partials. */

#include "../small_set.h"

#include <stdlib.h>

#include "synth/hall.h"
#include "synth/resample.h"

enum { RATE_HZ = 48000, N_FRAMES = 6000, BLOCK = 512 };

static struct small_set small;

static void prepare(double west_east_m, double south_north_m, double high_m, double decay_s)
{
    small_set_describe(&small.set, 3);
    small.set.room = (struct wp_set_room){.kind = WP_ROOM_OF_SIZE,
                                          .size_m = {west_east_m, south_north_m, high_m},
                                          .decay_s = decay_s,
                                          .humidity_01 = 0.5};
    small.set.listener_bearing_deg = 90.0;
    small_set_solve(&small);
}

static void assert_check(enum wp_status status, const char *message)
{
    struct wp_diags diags;
    wp_diags_init(&diags);
    assert_int_equal(wp_hall_check(&small.set, small.chime, &small.layout, &diags), status);
    assert_int_equal(diags.n_items, status ? 1 : 0);
    if (status && !strstr(diags.items[0].message, message)) {
        fail_msg("%s", diags.items[0].message);
    }
    small_set_finish(&small);
}

/* A listener 3 m in the east, and tubes up to 75 mm on the other side of the striker. */
static void set_and_listener_must_fit(void **state)
{
    (void)state;
    prepare(5.0, 4.0, 2.6, 0.4);
    assert_check(WP_OK, NULL);
    prepare(3.05, 4.0, 2.6, 0.3);
    assert_check(WP_E_CONFLICT, "west to east; expected at most the room's 3.05 m");
    prepare(5.0, 4.0, 0.65, 0.1);
    assert_check(WP_E_CONFLICT, "high; expected at most the room's 0.65 m");
}

/* Sabine: T = 24 ln 10 V / (c S) with walls that swallow all; 5 by 4 by 2.6 m have V = 52 m3 and S
 * = 86.8 m2, which is 0.0965 s at c = 343.2 m/s. */
static void walls_cannot_swallow_more_than_all(void **state)
{
    (void)state;
    prepare(5.0, 4.0, 2.6, 0.0975);
    assert_check(WP_OK, NULL);
    prepare(5.0, 4.0, 2.6, 0.0955);
    assert_check(WP_E_RANGE, "101 % of the sound; expected at least 0.097 s");
    prepare(5.0, 4.0, 2.6, 0.05);
    assert_check(WP_E_RANGE, "193 % of the sound");
}

/* ISO 9613-1:1993, table 1: 4.66 dB/km at 1 kHz, 20 C and 50 %: 60 dB in 37.5 s. */
static void air_alone_ends_the_longest_decay(void **state)
{
    (void)state;
    prepare(50.0, 40.0, 26.0, 37.0);
    assert_check(WP_OK, NULL);
    prepare(50.0, 40.0, 26.0, 38.0);
    assert_check(WP_E_RANGE, "the air alone swallows sound within 37.5 s");
}

static void tubes_hang_above_the_ground(void **state)
{
    (void)state;
    small_set_describe(&small.set, 3);
    small.set.room.kind = WP_ROOM_OUTDOORS;
    small.set.site_height_m = 0.31;
    small_set_solve(&small);
    assert_check(WP_OK, NULL);
    small.set.site_height_m = 0.29;
    small_set_solve(&small);
    assert_check(WP_E_CONFLICT, "tube 1 hangs into the ground: its end is 0.3 m below");
}

/* A recorded room: direct sound at frame 100, reflections 1 ms and 10 ms after it. */
static void record(float *frames, float gain)
{
    memset(frames, 0, 2 * N_FRAMES * sizeof *frames);
    frames[2 * 100] = 0.5f * gain;
    frames[2 * 100 + 1] = -0.5f * gain;
    frames[2 * 580] = 0.25f * gain;
    frames[2 * 580 + 1] = 0.125f * gain;
}

static void hear_click(const struct wp_impulse *impulse, size_t n_ears, float ears[2][4 * BLOCK])
{
    static float feed[4 * BLOCK];
    struct wp_hall *hall;
    struct wp_convolver *convolver;
    const struct wp_hall_config config = {&small.set, impulse, RATE_HZ, n_ears};
    assert_int_equal(wp_hall_create(&hall, &config), WP_OK);
    assert_int_equal(wp_hall_convolver(hall, BLOCK, &convolver), WP_OK);
    memset(ears, 0, 2 * sizeof ears[0]);
    feed[0] = 1.0f;
    for (size_t first = 0; first < 4 * BLOCK; first += BLOCK) {
        float *const blocks[2] = {ears[0] + first, ears[1] + first};
        wp_convolver_render(convolver, feed + first, blocks);
    }
    const struct wp_bank_partial partial = {1000.0, 2.0};
    const struct wp_transfer direct[2] = {{0.3, 0.1}, {0.2, -0.4}};
    const struct wp_transfer factor = wp_hall_feed(hall, &partial, direct);
    assert_true(factor.re == 1.0 && factor.im == 0.0);
    assert_near(wp_hall_ring_out_s(hall, 80.0), (N_FRAMES - 100.0) / RATE_HZ, 1e-9);
    wp_convolver_destroy(convolver);
    wp_hall_destroy(hall);
}

/* What a source at 1 m sends at level 1 arrives from the listener's distance r at 1 / r, and the
 * reflections stand to that as they do in the file, whatever its level. */
static void recorded_room_stands_to_its_own_direct_sound(void **state)
{
    (void)state;
    static float frames[2 * N_FRAMES];
    static float ears[2][4 * BLOCK];
    small_set_describe(&small.set, 3);
    small.set.room.kind = WP_ROOM_RECORDED;
    const double distance_m = hypot(3.0, 0.4);
    for (float gain = 1.0f; gain > 0.001f; gain *= 0.1f) {
        const struct wp_impulse impulse = {frames, N_FRAMES, 2, RATE_HZ};
        record(frames, gain);
        hear_click(&impulse, 2, ears);
        for (size_t i = 0; i < 4 * BLOCK; i++) {
            const double left = i == 480 ? 0.5 / distance_m : 0.0;
            const double right = i == 480 ? 0.25 / distance_m : 0.0;
            assert_near((double)ears[0][i], left, 1e-6);
            assert_near((double)ears[1][i], right, 1e-6);
        }
    }
    /* Of one channel both ears hear the same; of two, the head's middle hears the left one. */
    const struct wp_impulse impulse = {frames, N_FRAMES, 2, RATE_HZ};
    hear_click(&impulse, 1, ears);
    assert_near((double)ears[0][480], 0.5 / distance_m, 1e-6);
}

/* The level of what comes back is that of the file whatever the rate, at which a click has more
 * samples or fewer: the direct sound and one reflection of half its size, at 1 kHz. */
static void recorded_room_is_as_loud_at_every_rate(void **state)
{
    (void)state;
    static const int rates_hz[] = {16000, 44100, 48000, 88200, 96000};
    small_set_describe(&small.set, 3);
    small.set.room.kind = WP_ROOM_RECORDED;
    for (size_t r = 0; r < sizeof rates_hz / sizeof rates_hz[0]; r++) {
        struct wp_impulse impulse = {calloc(N_FRAMES, sizeof(float)), N_FRAMES, 1, RATE_HZ};
        assert_non_null(impulse.frames);
        impulse.frames[100] = 0.5f;
        impulse.frames[580] = 0.25f;
        assert_int_equal(wp_resample(&impulse, rates_hz[r]), WP_OK);
        struct wp_hall *hall;
        struct wp_convolver *convolver;
        const struct wp_hall_config config = {&small.set, &impulse, rates_hz[r], 1};
        assert_int_equal(wp_hall_create(&hall, &config), WP_OK);
        assert_int_equal(wp_hall_convolver(hall, BLOCK, &convolver), WP_OK);
        double re = 0.0;
        double im = 0.0;
        for (int block = 0; block < 8; block++) {
            const float feed[BLOCK] = {block == 0 ? 1.0f : 0.0f};
            float frames[BLOCK] = {0.0f};
            wp_convolver_render(convolver, feed, (float *const[]){frames});
            for (int i = 0; i < BLOCK; i++) {
                const double angle = 2.0 * M_PI * 1000.0 * (block * BLOCK + i) / rates_hz[r];
                re += (double)frames[i] * cos(angle);
                im -= (double)frames[i] * sin(angle);
            }
        }
        assert_near(hypot(re, im), 0.5 / hypot(3.0, 0.4), 0.01 * 0.5 / hypot(3.0, 0.4));
        wp_convolver_destroy(convolver);
        wp_hall_destroy(hall);
        free(impulse.frames);
    }
}

/* Energies add up: |D + g H|^2 summed over both ears is |D|^2 and the diffuse field's power. Where
 * the response has a valley of more than 6 dB, less; no partial gets more. */
static void partials_get_what_the_diffuse_field_has(void **state)
{
    (void)state;
    prepare(5.0, 4.0, 2.6, 0.4);
    struct wp_hall *hall;
    struct wp_convolver *convolver;
    const struct wp_hall_config config = {&small.set, NULL, RATE_HZ, 2};
    assert_int_equal(wp_hall_create(&hall, &config), WP_OK);
    size_t n_exact = 0;
    size_t n_tried = 0;
    for (double hz = 300.0; hz < 5000.0; hz *= 1.25, n_tried++) {
        /* A steady tone in, its last tenth measured: a decay of hours and no phase of its own. */
        enum { N_TONE = RATE_HZ };
        const struct wp_bank_partial partial = {hz, 1e4};
        const struct wp_transfer direct[2] = {{0.1, 0.05}, {-0.02, 0.12}};
        const struct wp_transfer factor = wp_hall_feed(hall, &partial, direct);
        float *feed = calloc(N_TONE / BLOCK * BLOCK, sizeof *feed);
        float *ears[2] = {calloc(N_TONE, sizeof(float)), calloc(N_TONE, sizeof(float))};
        assert_true(feed && ears[0] && ears[1]);
        assert_int_equal(wp_hall_convolver(hall, BLOCK, &convolver), WP_OK);
        for (size_t i = 0; i < N_TONE / BLOCK * BLOCK; i++) {
            const double angle = 2.0 * M_PI * hz * (double)i / RATE_HZ;
            feed[i] = (float)(factor.re * cos(angle) - factor.im * sin(angle));
            for (size_t ear = 0; ear < 2; ear++) {
                ears[ear][i] = (float)(direct[ear].re * cos(angle) - direct[ear].im * sin(angle));
            }
        }
        for (size_t first = 0; first + BLOCK <= N_TONE / BLOCK * BLOCK; first += BLOCK) {
            float *const blocks[2] = {ears[0] + first, ears[1] + first};
            wp_convolver_render(convolver, feed + first, blocks);
        }
        double power = 0.0;
        const size_t last = N_TONE / BLOCK * BLOCK;
        const size_t n = (size_t)(floor(0.1 * hz) / hz * RATE_HZ + 0.5); /* whole periods */
        for (size_t i = last - n; i < last; i++) {
            power += (double)(ears[0][i] * ears[0][i] + ears[1][i] * ears[1][i]) / (double)n;
        }
        /* Kuttruff's 16 pi / A of a unit at 1 m, less the direct sound's flight; A = 13.8 * 4 V /
         * (c T); see tests/reference/test_room_decay.c. A mean of two ears, tones of power 1/2. */
        const double diffuse = 16.0 * M_PI * 343.2 * 0.4 / (55.262 * 52.0) *
                               exp(-13.8155 * hypot(3.0, 0.4) / (343.2 * 0.4));
        const double direct_power = 0.5 * (0.01 + 0.0025 + 0.0004 + 0.0144);
        const double off_db = 10.0 * log10((power - direct_power) / diffuse);
        assert_true(off_db < 0.6);
        n_exact += off_db > -0.6;
        wp_convolver_destroy(convolver);
        free(feed);
        free(ears[0]);
        free(ears[1]);
    }
    assert_true(n_exact >= n_tried - 2);
    wp_hall_destroy(hall);
    small_set_finish(&small);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(set_and_listener_must_fit),
        cmocka_unit_test(walls_cannot_swallow_more_than_all),
        cmocka_unit_test(air_alone_ends_the_longest_decay),
        cmocka_unit_test(tubes_hang_above_the_ground),
        cmocka_unit_test(recorded_room_stands_to_its_own_direct_sound),
        cmocka_unit_test(recorded_room_is_as_loud_at_every_rate),
        cmocka_unit_test(partials_get_what_the_diffuse_field_has),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
