/* SPDX-License-Identifier: MIT */
/* The line from strikes to frames over ground and in a room. */

#include "peal_fixture.h"

#include <complex.h>

#include "synth/air_loss.h"
#include "synth/ground.h"
#include "windpeal/level.h"
#include "windpeal/peal.h"

enum { RATE_HZ = 48000 };

/* At 20 C: ISO 2533:1975 has 340.294 m/s at 15 C, which grows with the root of the temperature. */
static const double SOUND_SPEED_M_S = 343.2335;

static const enum wp_kernel kernels[] = {WP_KERNEL_TILE, WP_KERNEL_BLOCKS};

static struct wp_strike_list list;

static struct wp_peal_config config_of(enum wp_channels channels, enum wp_kernel kernel)
{
    return (struct wp_peal_config){
        .strikes = &list, .rate_hz = RATE_HZ, .channels = channels, .kernel = kernel};
}

static struct wp_peal *peal_of(enum wp_channels channels, enum wp_kernel kernel, bool has_stems)
{
    struct wp_peal_config config = config_of(channels, kernel);
    config.has_stems = has_stems;
    return small_set_peal(&config);
}

/* One strike on tube 1, and what is heard of it; to be freed. */
static float *hear(const struct wp_strike *strike, enum wp_channels channels, enum wp_kernel kernel,
                   size_t n_frames, size_t piece)
{
    static struct wp_strike items[1];
    items[0] = *strike;
    list = (struct wp_strike_list){items, 1};
    const struct wp_peal_config config = config_of(channels, kernel);
    return small_set_frames(&config, n_frames, piece);
}

static void describe_ground(double distance_m, double height_m)
{
    small_set_describe(&small.set, 1);
    small.set.striker.is_ideal_contact = true;
    small.set.site_height_m = 2.0;
    small.set.listener_distance_m = distance_m;
    small.set.listener_height_m = height_m;
    small.set.room.kind = WP_ROOM_OUTDOORS;
    small_set_solve(&small);
}

/*
 * The sound over two kinds of ground is the same until the reflection arrives, (r' - r) / c after
 * the direct sound, to the frame. The tube hangs 75 mm north of the set's middle.
 */
static void reflection_arrives_on_the_right_frame(void **state)
{
    (void)state;
    static const double places[][2] = {{3.0, 0.4}, {1.3, -0.55}, {8.0, 1.0}, {30.0, -0.4}};
    for (size_t i = 0; i < 2 * sizeof places / sizeof places[0]; i++) {
        describe_ground(places[i / 2][0], places[i / 2][1]);
        const struct wp_strike strike = blow_at(0.0101, 0, 30.0);
        const double bearing = 30.0 * M_PI / 180.0;
        const double across_m =
            hypot(places[i / 2][0] * sin(bearing), places[i / 2][0] * cos(bearing) - 0.075);
        const double direct_m = hypot(across_m, places[i / 2][1]);
        const double by_ground_m = hypot(across_m, 2.0 + 2.0 + places[i / 2][1]);
        const double late_s = (by_ground_m - direct_m) / SOUND_SPEED_M_S;
        const size_t expected = (size_t)ceil((0.0101 + late_s) * RATE_HZ);
        small.set.room.ground = WP_GROUND_WATER;
        float *water = hear(&strike, WP_MONO, kernels[i % 2], 4000, 4000);
        small.set.room.ground = WP_GROUND_SNOW;
        float *snow = hear(&strike, WP_MONO, kernels[i % 2], 4000, 4000);
        size_t first = 0;
        while (first < 4000 && water[first] == snow[first]) {
            first++;
        }
        assert_int_equal(first, expected);
        free(water);
        free(snow);
        small_set_finish(&small);
    }
}

/* Amplitude and phase of a partial at the frame in the middle. */
static double complex tone_of(const float *frames, size_t n_frames, double hz)
{
    double complex sum = 0.0;
    for (size_t i = 0; i < n_frames; i++) {
        const double window = 0.5 - 0.5 * cos(2.0 * M_PI * ((double)i + 0.5) / (double)n_frames);
        const double angle = 2.0 * M_PI * hz * ((double)i - 0.5 * (double)n_frames) / RATE_HZ;
        sum += window * (double)frames[i] * (cos(angle) - (double complex)I * sin(angle));
    }
    return 4.0 * sum / (double)n_frames;
}

/*
 * Direct and reflected sound of a partial interfere: |D + Q D' exp(-i omega (r' - r) / c)|, each
 * from the tube's own radiation, D' towards the listener's mirror image; the air takes its part of
 * either way.
 */
static void reflection_interferes_with_the_direct_sound(void **state)
{
    (void)state;
    static const double heights_m[] = {0.4, -0.5, 0.9};
    for (size_t h = 0; h < sizeof heights_m / sizeof heights_m[0]; h++) {
        describe_ground(3.0, heights_m[h]);
        const struct wp_strike strike = blow_at(0.0, 0, 30.0);
        const struct wp_tube *tube = &small.chime->tubes[0];
        float *over_grass = hear(&strike, WP_MONO, WP_KERNEL_TILE, RATE_HZ, RATE_HZ);
        small.set.room.kind = WP_ROOM_FREE;
        float *free_air = hear(&strike, WP_MONO, WP_KERNEL_TILE, RATE_HZ, RATE_HZ);
        const double bearing = 30.0 * M_PI / 180.0;
        const double across_m = hypot(3.0 * sin(bearing), 3.0 * cos(bearing) - 0.075);
        const double mirrored_m = -(4.0 + heights_m[h]);
        for (size_t i = 0; i < 3; i++) {
            const struct wp_partial *partial = &tube->partials[i];
            const struct wp_ear ear = {across_m, heights_m[h]};
            const struct wp_ear image = {across_m, mirrored_m};
            const struct wp_transfer direct = wp_tube_transfer(tube, partial, ear);
            const struct wp_transfer mirrored = wp_tube_transfer(tube, partial, image);
            const double r = hypot(across_m, heights_m[h]);
            const double r_image = hypot(across_m, mirrored_m);
            const struct wp_bounce bounce = {partial->freq_hz, SOUND_SPEED_M_S, r_image,
                                             -mirrored_m / r_image};
            const struct wp_transfer q = wp_ground_reflection(WP_GROUND_GRASS, &bounce);
            const double neper_m = wp_air_loss_db_m(partial->freq_hz, 20.0, 0.5) / 8.685889638;
            const double omega = 2.0 * M_PI * partial->freq_hz;
            const double complex d = direct.re + (double complex)I * direct.im;
            const double complex d_image = mirrored.re + (double complex)I * mirrored.im;
            /* What comes later has died away for less long. */
            const double younger =
                pow(10.0, 3.0 * (r_image - r) / SOUND_SPEED_M_S / partial->t60_s);
            const double complex reflected =
                younger * d_image * (q.re + (double complex)I * q.im) * exp(-neper_m * r_image) *
                cexp(-(double complex)I * omega * (r_image - r) / SOUND_SPEED_M_S);
            const double want = cabs(d * exp(-neper_m * r) + reflected) / cabs(d);
            const size_t n = RATE_HZ / 4;
            const double got = cabs(tone_of(over_grass + 2000, n, partial->freq_hz)) /
                               cabs(tone_of(free_air + 2000, n, partial->freq_hz));
            if (!(fabs(got / want - 1.0) < 0.003)) {
                fail_msg("height %zu, partial %zu: %.4f instead of %.4f", h, i + 1, got, want);
            }
        }
        free(over_grass);
        free(free_air);
        small_set_finish(&small);
    }
}

static void describe_room(bool is_ideal)
{
    small_set_describe(&small.set, 3);
    small.set.striker.is_ideal_contact = is_ideal;
    small.set.room = (struct wp_set_room){
        .kind = WP_ROOM_OF_SIZE, .size_m = {6.0, 7.0, 3.0}, .decay_s = 0.5, .humidity_01 = 0.5};
    small_set_solve(&small);
}

/* 4 pi c T / (13.8 V) is the diffuse field's part of the mean square over that at 1 m in free air
 * of the same power, rho c W / 4 pi (Kuttruff); the direct sound's flight takes some off, see
 * tests/reference/test_room_decay.c. */
static double diffuse_pa2(const struct wp_tube *tube, size_t i, double velocity)
{
    const double rho_c = 1.2041 * SOUND_SPEED_M_S; /* 20 C, ISO 2533:1975 */
    const double t_s = small.set.room.decay_s;
    const double per_m = 4.0 * M_PI * SOUND_SPEED_M_S * t_s / (13.8155 * 6.0 * 7.0 * 3.0) *
                         exp(-13.8155 * hypot(3.0, 0.4) / (SOUND_SPEED_M_S * t_s));
    const double power_w = wp_tube_power(tube, &tube->partials[i]) * velocity * velocity;
    return rho_c * power_w / (4.0 * M_PI) * per_m;
}

/* Direct and diffuse energy of slow partials add up, over both ears, whatever the contact. */
static void partials_have_the_level_of_direct_and_diffuse_sound(void **state)
{
    (void)state;
    for (int is_ideal = 0; is_ideal < 2; is_ideal++) {
        describe_room(is_ideal != 0);
        const struct wp_tube *tube = &small.chime->tubes[0];
        const struct wp_strike strike = blow_at(0.0, 0, 60.0);
        float *in_room = hear(&strike, WP_STEREO, WP_KERNEL_BLOCKS, 2 * RATE_HZ, 4096);
        small.set.room.kind = WP_ROOM_FREE;
        float *free_air = hear(&strike, WP_STEREO, WP_KERNEL_BLOCKS, 2 * RATE_HZ, 4096);
        struct wp_contact contact;
        wp_contact_solve(&contact, &small.striker, tube, strike.height_m, strike.speed_m_s);
        for (size_t i = 0; i < 2; i++) {
            const double hz = tube->partials[i].freq_hz;
            double room_pa2 = 0.0;
            double free_pa2 = 0.0;
            static float one[RATE_HZ / 2];
            for (size_t ear = 0; ear < 2; ear++) {
                for (size_t k = 0; k < RATE_HZ / 2; k++) {
                    one[k] = in_room[2 * (RATE_HZ + k) + ear];
                }
                const double room = WP_FULL_SCALE_PA * cabs(tone_of(one, RATE_HZ / 2, hz));
                for (size_t k = 0; k < RATE_HZ / 2; k++) {
                    one[k] = free_air[2 * (RATE_HZ + k) + ear];
                }
                const double freely = WP_FULL_SCALE_PA * cabs(tone_of(one, RATE_HZ / 2, hz));
                room_pa2 += 0.25 * room * room;
                free_pa2 += 0.25 * freely * freely;
            }
            const double xi = 1.0 - strike.height_m / tube->spec.length_m;
            const double velocity = wp_shape_at(&tube->partials[i].shape, xi) * strike.impulse_n_s *
                                    wp_contact_spectrum(&contact, hz) / tube->mass_kg *
                                    pow(10.0, -3.0 * 1.25 / tube->partials[i].t60_s);
            const double want = free_pa2 + diffuse_pa2(tube, i, velocity);
            const double off_db = 10.0 * log10(room_pa2 / want);
            if (!(fabs(off_db) < 0.5)) {
                fail_msg("contact %d, partial %zu is off by %.2f dB", is_ideal, i + 1, off_db);
            }
        }
        free(in_room);
        free(free_air);
        small_set_finish(&small);
    }
}

static void room_sounds_alike_in_pieces_of_any_size(void **state)
{
    (void)state;
    static const size_t pieces[] = {1, 255, 896, 4096, 5000};
    enum { N = 40000 };
    describe_room(false);
    const struct wp_strike strike = blow_at(0.0123, 1, 60.0);
    for (size_t k = 0; k < 2; k++) {
        float *whole = hear(&strike, WP_STEREO, kernels[k], N, N);
        for (size_t i = 0; i < sizeof pieces / sizeof pieces[0]; i++) {
            float *split = hear(&strike, WP_STEREO, kernels[k], N, pieces[i]);
            assert_memory_equal(whole, split, 2 * N * sizeof *whole);
            free(split);
        }
        free(whole);
    }
    small_set_finish(&small);
}

/* -112 dB of the peak, as in free air: the two also take blocks of other sizes into the room. */
static void kernels_agree_in_a_room(void **state)
{
    (void)state;
    enum { N = 48000 };
    describe_room(false);
    const struct wp_strike strike = blow_at(0.0123, 1, 60.0);
    float *tile = hear(&strike, WP_STEREO, WP_KERNEL_TILE, N, N);
    float *blocks = hear(&strike, WP_STEREO, WP_KERNEL_BLOCKS, N, N);
    double peak = 0.0;
    double worst = 0.0;
    for (size_t i = 0; i < 2 * N; i++) {
        peak = fmax(peak, fabs((double)tile[i]));
        worst = fmax(worst, fabs((double)tile[i] - (double)blocks[i]));
    }
    assert_true(peak > 0.0 && worst < pow(10.0, -112.0 / 20.0) * peak);
    free(tile);
    free(blocks);
    small_set_finish(&small);
}

static void stems_hold_the_room_of_their_tube(void **state)
{
    (void)state;
    enum { N = 30000 };
    static float mix[2 * N];
    static float tracks[3][2 * N];
    static struct wp_strike items[3];
    describe_room(false);
    for (size_t i = 0; i < 3; i++) {
        items[i] = blow_at(0.01 + 0.05 * (double)i, i, 60.0);
    }
    list = (struct wp_strike_list){items, 3};
    struct wp_peal *peal = peal_of(WP_STEREO, WP_KERNEL_BLOCKS, true);
    float *const stems[3] = {tracks[0], tracks[1], tracks[2]};
    wp_peal_render_stems(peal, mix, stems, N);
    wp_peal_destroy(peal);
    for (size_t i = 0; i < 2 * N; i++) {
        assert_true(tracks[0][i] + tracks[1][i] + tracks[2][i] == mix[i]);
    }
    float *alone = hear(&items[1], WP_STEREO, WP_KERNEL_BLOCKS, N, N);
    double peak = 0.0;
    double worst = 0.0;
    for (size_t i = 0; i < 2 * N; i++) {
        peak = fmax(peak, fabs((double)alone[i]));
        worst = fmax(worst, fabs((double)alone[i] - (double)tracks[1][i]));
    }
    assert_true(worst < 1e-5 * peak);
    free(alone);
    small_set_finish(&small);
}

static void loudspeakers_hear_neither_ground_nor_room(void **state)
{
    (void)state;
    enum { N = 10000 };
    describe_room(false);
    const struct wp_strike strike = blow_at(0.0123, 1, 60.0);
    float *in_room = hear(&strike, WP_TUBES, WP_KERNEL_TILE, N, N);
    small.set.room.kind = WP_ROOM_OUTDOORS;
    float *over_ground = hear(&strike, WP_TUBES, WP_KERNEL_TILE, N, N);
    small.set.room.kind = WP_ROOM_FREE;
    float *free_air = hear(&strike, WP_TUBES, WP_KERNEL_TILE, N, N);
    assert_memory_equal(in_room, free_air, 3 * N * sizeof *free_air);
    assert_memory_equal(over_ground, free_air, 3 * N * sizeof *free_air);
    free(in_room);
    free(over_ground);
    free(free_air);
    small_set_finish(&small);
}

/* By 80 dB in 4/3 of the time for 60 dB. */
static void room_rings_out_after_the_tubes(void **state)
{
    (void)state;
    describe_room(false);
    list = (struct wp_strike_list){NULL, 0};
    struct wp_peal *peal = peal_of(WP_MONO, WP_KERNEL_BLOCKS, false);
    const double in_room_s = wp_peal_ring_out_s(peal, 80.0);
    wp_peal_destroy(peal);
    small.set.room.kind = WP_ROOM_FREE;
    peal = peal_of(WP_MONO, WP_KERNEL_BLOCKS, false);
    const double free_s = wp_peal_ring_out_s(peal, 80.0);
    wp_peal_destroy(peal);
    assert_near(in_room_s - free_s, 0.5 * 80.0 / 60.0, 0.02);
    small_set_finish(&small);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(reflection_arrives_on_the_right_frame),
        cmocka_unit_test(reflection_interferes_with_the_direct_sound),
        cmocka_unit_test(partials_have_the_level_of_direct_and_diffuse_sound),
        cmocka_unit_test(room_sounds_alike_in_pieces_of_any_size),
        cmocka_unit_test(kernels_agree_in_a_room),
        cmocka_unit_test(stems_hold_the_room_of_their_tube),
        cmocka_unit_test(loudspeakers_hear_neither_ground_nor_room),
        cmocka_unit_test(room_rings_out_after_the_tubes),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
