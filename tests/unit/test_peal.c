/* SPDX-License-Identifier: MIT */
/* The line from strikes to frames. */

#include "peal_fixture.h"

#include "../wind_station.h"

enum { RATE_HZ = 48000, N_FRAMES = 6000 };

static enum wp_kernel kernel; /* every claim is checked with either */

/* Strikes at awkward places: fractions of a frame, block borders, two at once. */
static const struct wp_strike STRIKES[] = {
    {0.0, 0, 0.3, 20.0, 0.03, 0.005},         {0.01234567, 1, 0.5, 120.0, 0.03, 0.008},
    {0.05333333, 2, 0.2, 300.0, 0.03, 0.004}, {0.05333333, 0, 0.9, 20.0, 0.02, 0.015},
    {0.05334, 1, 0.1, 77.0, 0.04, 0.002},     {0.0959, 2, 0.4, 190.0, 0.03, 0.006},
};

enum { N_STRIKES = sizeof STRIKES / sizeof STRIKES[0] };

/* With a copy of the strikes, for one peal at a time. */
static struct wp_peal_config config_of(const struct wp_strike *strikes, size_t n_strikes,
                                       enum wp_channels channels)
{
    static struct wp_strike_list list;
    static struct wp_strike items[2000];
    assert_true(n_strikes <= sizeof items / sizeof items[0]);
    for (size_t i = 0; i < n_strikes; i++) {
        items[i] = strikes[i];
    }
    list = (struct wp_strike_list){items, n_strikes};
    return (struct wp_peal_config){
        .strikes = &list,
        .rate_hz = RATE_HZ,
        .channels = channels,
        .kernel = kernel,
        .has_stems = channels != WP_TUBES,
    };
}

static struct wp_peal *peal_of(const struct wp_strike *strikes, size_t n_strikes,
                               enum wp_channels channels)
{
    const struct wp_peal_config config = config_of(strikes, n_strikes, channels);
    return small_set_peal(&config);
}

static float *render(const struct wp_strike *strikes, size_t n_strikes, enum wp_channels channels,
                     size_t piece)
{
    const struct wp_peal_config config = config_of(strikes, n_strikes, channels);
    return small_set_frames(&config, N_FRAMES, piece);
}

static int prepare_set(void **state)
{
    (void)state;
    small_set_describe(&small.set, 3);
    small.set.tubes[1].ovality_01 = 0.004;
    small_set_solve(&small);
    return 0;
}

static int prepare_blocks(void **state)
{
    kernel = WP_KERNEL_BLOCKS;
    return prepare_set(state);
}

static void block_size_does_not_change_a_bit(void **state)
{
    (void)state;
    float *whole = render(STRIKES, N_STRIKES, WP_STEREO, N_FRAMES);
    const size_t pieces[] = {1, 7, 64, 255, 256, 257, 1000, 1023, 1024, 1025, 2049};
    for (size_t i = 0; i < sizeof pieces / sizeof pieces[0]; i++) {
        float *split = render(STRIKES, N_STRIKES, WP_STEREO, pieces[i]);
        assert_memory_equal(whole, split, 2 * N_FRAMES * sizeof *whole);
        free(split);
    }
    free(whole);
}

static void stems_sum_to_the_mix(void **state)
{
    (void)state;
    static float mix[2 * N_FRAMES];
    static float tracks[3][2 * N_FRAMES];
    float *whole = render(STRIKES, N_STRIKES, WP_STEREO, N_FRAMES);
    struct wp_peal *peal = peal_of(STRIKES, N_STRIKES, WP_STEREO);
    for (size_t done = 0; done < N_FRAMES; done += 500) {
        float *stems[3] = {tracks[0] + 2 * done, tracks[1] + 2 * done, tracks[2] + 2 * done};
        wp_peal_render_stems(peal, mix + 2 * done, stems, 500);
    }
    wp_peal_destroy(peal);
    assert_memory_equal(whole, mix, sizeof mix);
    size_t n_sounding = 0;
    for (size_t i = 0; i < 2 * N_FRAMES; i++) {
        assert_true(tracks[0][i] + tracks[1][i] + tracks[2][i] == mix[i]);
        n_sounding += tracks[1][i] != 0.0f;
    }
    assert_true(n_sounding > N_FRAMES);
    free(whole);
}

/* Each tube has a loudspeaker of its own, which stands where the tube hangs. */
static void one_channel_a_tube_does_not_know_where_the_listener_stands(void **state)
{
    (void)state;
    const double bearing_deg = small.set.listener_bearing_deg;
    float *here = render(STRIKES, N_STRIKES, WP_TUBES, 333);
    float *mono = render(STRIKES, N_STRIKES, WP_MONO, 333);
    small.set.listener_bearing_deg = bearing_deg + 70.0;
    float *there = render(STRIKES, N_STRIKES, WP_TUBES, 333);
    float *other_mono = render(STRIKES, N_STRIKES, WP_MONO, 333);
    small.set.listener_bearing_deg = bearing_deg;
    assert_memory_equal(here, there, 3 * N_FRAMES * sizeof *here);
    assert_memory_not_equal(mono, other_mono, N_FRAMES * sizeof *mono);
    free(here);
    free(mono);
    free(there);
    free(other_mono);
}

static void every_tube_sounds_in_its_own_channel(void **state)
{
    (void)state;
    const struct wp_strike second = blow_at(0.01, 1, 0.0);
    float *frames = render(&second, 1, WP_TUBES, 500);
    double size[3] = {0.0};
    for (size_t i = 0; i < 3 * N_FRAMES; i++) {
        size[i % 3] += fabs((double)frames[i]);
    }
    assert_true(size[0] == 0.0 && size[1] > 0.0 && size[2] == 0.0);
    free(frames);
}

/* Ideal contacts: real ones also take from what rings. */
static void strikes_superpose(void **state)
{
    (void)state;
    small.set.striker.is_ideal_contact = 1;
    float *all = render(STRIKES, N_STRIKES, WP_MONO, N_FRAMES);
    static double sum[N_FRAMES];
    for (size_t i = 0; i < N_FRAMES; i++) {
        sum[i] = 0.0;
    }
    double peak = 0.0;
    for (size_t s = 0; s < N_STRIKES; s++) {
        float *one = render(&STRIKES[s], 1, WP_MONO, N_FRAMES);
        for (size_t i = 0; i < N_FRAMES; i++) {
            sum[i] += (double)one[i];
            peak = fmax(peak, fabs((double)one[i]));
        }
        free(one);
    }
    for (size_t i = 0; i < N_FRAMES; i++) {
        assert_near(all[i], sum[i], 1e-6 * peak);
    }
    free(all);
    small.set.striker.is_ideal_contact = 0;
}

/* Far more strikes than wait for one block: none is lost, all sound in their places. */
static void crowd_of_strikes_is_not_thinned(void **state)
{
    (void)state;
    static struct wp_strike crowd[1500];
    small.set.striker.is_ideal_contact = 1;
    struct wp_strike strong = blow_at(0.02, 0, 20.0);
    for (size_t i = 0; i < 1500; i++) {
        crowd[i] = strong;
        crowd[i].impulse_n_s = strong.impulse_n_s / 1500.0;
    }
    float *many = render(crowd, 1500, WP_MONO, N_FRAMES);
    float *one = render(&strong, 1, WP_MONO, N_FRAMES);
    double peak = 0.0;
    for (size_t i = 0; i < N_FRAMES; i++) {
        peak = fmax(peak, fabs((double)one[i]));
    }
    /* 1500 / 128 blocks of 256 frames later everybody has joined. */
    for (size_t i = 960 + 13 * 256; i < N_FRAMES; i++) {
        assert_near(many[i], one[i], 1e-4 * peak);
    }
    small.set.striker.is_ideal_contact = 0;
    free(many);
    free(one);
}

static void silence_before_and_without_strikes(void **state)
{
    (void)state;
    const struct wp_strike late = blow_at(0.05, 1, 20.0);
    float *frames = render(&late, 1, WP_STEREO, N_FRAMES);
    float *none = render(NULL, 0, WP_STEREO, N_FRAMES);
    /* The ears are at most 0.0875 m nearer than the head's middle: 13 frames. */
    for (size_t i = 0; i < 2 * (2400 - 13); i++) {
        assert_true(frames[i] == 0.0f);
    }
    for (size_t i = 0; i < 2 * N_FRAMES; i++) {
        assert_true(none[i] == 0.0f);
    }
    free(frames);
    free(none);
}

static void strikes_end_with_the_duration(void **state)
{
    (void)state;
    struct wp_strike items[2] = {blow_at(0.01, 0, 20.0), blow_at(0.05, 1, 20.0)};
    const struct wp_strike_list list = {items, 2};
    struct wp_peal_config config = {
        .set = &small.set,
        .chime = small.chime,
        .strikes = &list,
        .duration_s = 0.05,
        .rate_hz = RATE_HZ,
        .channels = WP_TUBES,
    };
    static float frames[3 * N_FRAMES];
    struct wp_diags diags;
    struct wp_peal *peal;
    struct wp_variety variety;
    wp_diags_init(&diags);
    assert_int_equal(wp_peal_create(&peal, &config, &diags), WP_OK);
    wp_peal_render(peal, frames, N_FRAMES);
    wp_peal_variety(peal, &variety);
    wp_peal_destroy(peal);
    assert_int_equal(variety.n_strikes, 1);
    assert_near(variety.duration_s, 0.05, 1e-12);
    for (size_t i = 0; i < N_FRAMES; i++) {
        assert_true(frames[3 * i + 1] == 0.0f);
    }
}

static void ring_out_follows_the_slowest_partial(void **state)
{
    (void)state;
    struct wp_peal *peal = peal_of(NULL, 0, WP_MONO);
    double slowest_s = 0.0;
    for (size_t t = 0; t < 3; t++) {
        for (size_t i = 0; i < small.chime->tubes[t].n_partials; i++) {
            slowest_s = fmax(slowest_s, small.chime->tubes[t].partials[i].t60_s);
        }
    }
    assert_near(wp_peal_ring_out_s(peal, 60.0), slowest_s, 1e-12);
    assert_near(wp_peal_ring_out_s(peal, 80.0), slowest_s * 80.0 / 60.0, 1e-9);
    wp_peal_destroy(peal);
}

static void tube_straight_ahead_is_heard_alike_by_both_ears(void **state)
{
    (void)state;
    struct small_set one;
    memset(&one, 0, sizeof one);
    small_set_describe(&one.set, 1); /* the first tube of a ring stands north */
    one.set.listener_bearing_deg = 0.0;
    small_set_solve(&one);
    struct wp_strike items[1] = {blow_at(0.01, 0, 0.0)};
    const struct wp_strike_list list = {items, 1};
    const struct wp_peal_config config = {
        .set = &one.set,
        .chime = one.chime,
        .strikes = &list,
        .duration_s = 1.0,
        .rate_hz = RATE_HZ,
        .channels = WP_STEREO,
    };
    static float frames[2 * N_FRAMES];
    struct wp_diags diags;
    struct wp_peal *peal;
    wp_diags_init(&diags);
    assert_int_equal(wp_peal_create(&peal, &config, &diags), WP_OK);
    wp_peal_render(peal, frames, N_FRAMES);
    wp_peal_destroy(peal);
    double peak = 0.0;
    for (size_t i = 0; i < N_FRAMES; i++) {
        peak = fmax(peak, fabs((double)frames[2 * i]));
        assert_near(frames[2 * i], frames[2 * i + 1], 1e-6 * peak);
    }
    assert_true(peak > 0.0);
    small_set_finish(&one);
}

enum { WINDY_S = 4, N_WINDY = 5 * RATE_HZ };

static float *render_config(const struct wp_peal_config *config, struct wp_variety *variety)
{
    float *frames = calloc(2 * N_WINDY, sizeof *frames);
    struct wp_diags diags;
    struct wp_peal *peal;
    assert_non_null(frames);
    wp_diags_init(&diags);
    assert_int_equal(wp_peal_create(&peal, config, &diags), WP_OK);
    for (size_t done = 0; done < N_WINDY; done += 1000) {
        wp_peal_render(peal, frames + 2 * done, 1000);
    }
    wp_peal_variety(peal, variety);
    wp_peal_destroy(peal);
    return frames;
}

static float *render_wind(const struct wp_wind_config *wind, struct wp_variety *variety)
{
    const struct wp_peal_config config = {
        .set = &small.set,
        .chime = small.chime,
        .wind = wind,
        .duration_s = WINDY_S,
        .seed = wind->seed,
        .rate_hz = RATE_HZ,
        .channels = WP_STEREO,
    };
    return render_config(&config, variety);
}

static void one_seed_gives_one_sound(void **state)
{
    (void)state;
    struct station station;
    struct wp_variety variety;
    station_init(&station, 10, 60.0, 8.0, 12.0);
    struct wp_wind_config wind = station_config(&station, 7);
    float *first = render_wind(&wind, &variety);
    float *again = render_wind(&wind, &variety);
    assert_true(variety.n_strikes > 0 && variety.duration_s == (double)WINDY_S);
    assert_memory_equal(first, again, 2 * N_WINDY * sizeof *first);
    wind.seed = 8;
    float *other = render_wind(&wind, &variety);
    assert_true(memcmp(first, other, 2 * N_WINDY * sizeof *first) != 0);
    free(first);
    free(again);
    free(other);
}

/* The list that the drive alone makes of the same wind, all asked for at once, played back. */
static void wind_and_its_strike_list_sound_the_same(void **state)
{
    (void)state;
    struct station station;
    struct wp_variety variety;
    struct wp_strike items[200];
    struct wp_strike_list list = {items, 0};
    struct wp_drive *drive;
    station_init(&station, 10, 60.0, 8.0, 12.0);
    struct wp_wind_config wind = station_config(&station, 7);
    wind.is_as_given = false;
    wind.height_m = 2.0;
    float *direct = render_wind(&wind, &variety);
    struct wp_wind *generated = station_wind(&wind);
    const struct wp_drive_config drive_config = {&small.context, generated, wind.step_s, 7, NULL};
    assert_int_equal(wp_drive_create(&drive, &drive_config), WP_OK);
    while (list.n_items < 200 && wp_drive_next(drive, WINDY_S, &items[list.n_items])) {
        wp_strike_complete(&items[list.n_items], &small.context);
        list.n_items++;
    }
    wp_drive_destroy(drive);
    wp_wind_destroy(generated);
    const struct wp_peal_config config = {
        .set = &small.set,
        .chime = small.chime,
        .strikes = &list,
        .duration_s = WINDY_S,
        .rate_hz = RATE_HZ,
        .channels = WP_STEREO,
    };
    assert_int_equal(variety.n_strikes, list.n_items);
    float *listed = render_config(&config, &variety);
    assert_int_equal(variety.n_strikes, list.n_items);
    assert_memory_equal(direct, listed, 2 * N_WINDY * sizeof *direct);
    free(direct);
    free(listed);
}

/* Rendering flushes subnormal numbers to zero; strikes must not feel it, nor the caller. */
static void caller_keeps_subnormal_numbers(void **state)
{
    (void)state;
    volatile double tiny = 1e-310;
    float *frames = render(STRIKES, N_STRIKES, WP_MONO, N_FRAMES);
    assert_true(tiny * 0.5 > 0.0);
    free(frames);
}

/* Level of partial 2 of tube 1 in 8 ms about a time, by correlation under a Hann window. */
static double level_at(const float *frames, double t_s)
{
    const double hz = small.chime->tubes[0].partials[1].freq_hz;
    double real = 0.0;
    double imaginary = 0.0;
    for (int i = -192; i < 192; i++) {
        const size_t frame = (size_t)(t_s * RATE_HZ + i);
        const double window = 0.5 + 0.5 * cos(M_PI * i / 192.0);
        const double phase = 2.0 * M_PI * hz * (double)frame / RATE_HZ;
        real += window * (double)frames[frame] * cos(phase);
        imaginary += window * (double)frames[frame] * sin(phase);
    }
    return hypot(real, imaginary);
}

/*
 * Two equal tones f1 and f2 together vanish 1/(2 (f2 - f1)) after they started alike and are back
 * at twice that time (any text on beats). A blow along the soft direction starts only one of them,
 * one at 45 degrees both alike; the ear stands in the direction of that blow.
 */
static void blow_along_an_axis_does_not_beat_and_one_at_45_degrees_does(void **state)
{
    (void)state;
    small_set_leave(NULL);
    small_set_describe(&small.set, 1);
    small.set.tubes[0].ovality_01 = 0.02;
    small.set.listener_distance_m = 50.0; /* seen from the tube as from the set's middle, */
    small.set.listener_height_m = 40.0;   /* and off the direction in which partials cancel */
    small.set.tubes[0].soft_direction_deg = small.set.listener_bearing_deg + 45.0;
    small_set_solve(&small);
    const double axis_deg = small.set.tubes[0].soft_direction_deg;
    const double *hz = small.chime->tubes[0].partials[1].polarised_hz;
    const double dip_s = 0.5 / (hz[1] - hz[0]);
    const double along_deg[] = {axis_deg, axis_deg + 90.0};
    assert_true(dip_s > 0.015 && dip_s < 0.05);
    for (int i = 0; i < 2; i++) {
        const struct wp_strike strike = {0.0, 0, 0.3, along_deg[i], 0.03, 0.005};
        float *frames = render(&strike, 1, WP_MONO, N_FRAMES);
        const double start = level_at(frames, 0.005);
        assert_true(level_at(frames, dip_s) > 0.9 * start);
        assert_true(level_at(frames, 2.0 * dip_s) > 0.8 * start);
        free(frames);
    }
    const struct wp_strike strike = {0.0, 0, 0.3, axis_deg - 45.0, 0.03, 0.005};
    float *frames = render(&strike, 1, WP_MONO, N_FRAMES);
    const double start = level_at(frames, 0.005);
    assert_true(level_at(frames, dip_s) < 0.1 * start);
    assert_true(level_at(frames, 2.0 * dip_s) > 0.8 * start);
    free(frames);
    small_set_finish(&small);
    prepare_set(NULL);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(block_size_does_not_change_a_bit),
        cmocka_unit_test(stems_sum_to_the_mix),
        cmocka_unit_test(one_channel_a_tube_does_not_know_where_the_listener_stands),
        cmocka_unit_test(every_tube_sounds_in_its_own_channel),
        cmocka_unit_test(strikes_superpose),
        cmocka_unit_test(crowd_of_strikes_is_not_thinned),
        cmocka_unit_test(silence_before_and_without_strikes),
        cmocka_unit_test(strikes_end_with_the_duration),
        cmocka_unit_test(ring_out_follows_the_slowest_partial),
        cmocka_unit_test(one_seed_gives_one_sound),
        cmocka_unit_test(wind_and_its_strike_list_sound_the_same),
        cmocka_unit_test(caller_keeps_subnormal_numbers),
        cmocka_unit_test(blow_along_an_axis_does_not_beat_and_one_at_45_degrees_does),
        cmocka_unit_test(tube_straight_ahead_is_heard_alike_by_both_ears),
    };
    const int n_failed = cmocka_run_group_tests_name("tile", tests, prepare_set, small_set_leave);
    return n_failed + cmocka_run_group_tests_name("blocks", tests, prepare_blocks, small_set_leave);
}
