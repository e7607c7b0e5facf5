/* SPDX-License-Identifier: MIT */
/* Claims about what strikers take from ringing tubes in the sound of a peal. */

#include "peal_fixture.h"

#include "../wind_station.h"
#include "striker/muting.h"

enum { RATE_HZ = 48000, N_FRAMES = 24000 };

/* A tube of its own, whose partial 1 is the one that is looked at, and a felt striker. */
static int prepare_set(void **state)
{
    (void)state;
    small_set_describe(&small.set, 3);
    small.set.layout.ring_radius_m = 0.055; /* so close that the striker cannot pass */
    (void)snprintf(small.set.striker.material.name, sizeof small.set.striker.material.name, "felt");
    small_set_solve(&small);
    return 0;
}

static float *render(const struct wp_strike *rows, size_t n_rows, enum wp_kernel kernel,
                     size_t piece)
{
    static struct wp_strike items[16];
    const struct wp_strike_list list = {items, n_rows};
    const struct wp_peal_config config = {
        .strikes = &list,
        .rate_hz = RATE_HZ,
        .channels = WP_MONO,
        .kernel = kernel,
    };
    memcpy(items, rows, n_rows * sizeof *rows);
    return small_set_frames(&config, N_FRAMES, piece);
}

/* Amplitude of the tube's partial 1 in 40 ms about a time, by correlation under a Hann window. */
static double level_at(const float *frames, double t_s)
{
    enum { HALF = 960 };
    const double hz = small.chime->tubes[0].partials[0].freq_hz;
    double real = 0.0;
    double imaginary = 0.0;
    for (int i = -HALF; i < HALF; i++) {
        const size_t frame = (size_t)(t_s * RATE_HZ + i);
        const double window = 0.5 + 0.5 * cos(M_PI * i / HALF);
        const double phase = 2.0 * M_PI * hz * (double)frame / RATE_HZ;
        real += window * (double)frames[frame] * cos(phase);
        imaginary += window * (double)frames[frame] * sin(phase);
    }
    return hypot(real, imaginary);
}

/* How much lower partial 1 is with the rows than after the first of them alone. */
static double drop_db(const struct wp_strike *rows, size_t n_rows, double t_s)
{
    float *alone = render(rows, 1, WP_KERNEL_TILE, N_FRAMES);
    float *all = render(rows, n_rows, WP_KERNEL_TILE, N_FRAMES);
    const double db = 20.0 * log10(level_at(alone, t_s) / level_at(all, t_s));
    free(alone);
    free(all);
    return db;
}

/* A blow whose impulse the list says to be nothing only takes. */
static void blow_takes_its_share_of_what_rings(void **state)
{
    (void)state;
    const struct wp_strike rows[] = {{0.0, 0, 0.5, 20.0, 0.03, 0.02},
                                     {0.1, 0, 0.4, 20.0, 0.03, 1e-12}};
    struct wp_contact contact;
    static struct wp_muting_work work;
    double kept[WP_PARTIALS_MAX];
    const struct wp_tube *tube = &small.chime->tubes[0];
    wp_contact_solve(&contact, &small.striker, tube, 0.03, 0.4);
    wp_muting_blow(&contact, &small.striker, tube, 0.03, &work, kept);
    assert_true(kept[0] < 0.6);
    assert_near(drop_db(rows, 2, 0.05), 0.0, 1e-6);
    assert_near(drop_db(rows, 2, 0.2), -10.0 * log10(kept[0]), 0.02);
}

/* 8.686 dB a neper. Leaving at 0.3 s, the striker takes no more from there on. */
static void resting_striker_adds_its_decay_until_it_leaves(void **state)
{
    (void)state;
    const struct wp_strike rows[] = {{0.0, 0, 0.5, 20.0, 0.03, 0.02},
                                     {0.1, 0, 0.0, 20.0, 0.03, 0.0},
                                     {0.3, 0, -0.01, 20.0, 0.03, 0.0}};
    const struct wp_tube *tube = &small.chime->tubes[0];
    double added[WP_PARTIALS_MAX];
    wp_muting_rest(&small.striker, tube, 0.03, wp_muting_force(&small.striker), added);
    const double db_per_s = 20.0 / log(10.0) * added[0];
    assert_true(db_per_s > 5.0);
    assert_near(drop_db(rows, 3, 0.07), 0.0, 1e-6);
    assert_near(drop_db(rows, 3, 0.2), 0.1 * db_per_s, 0.01);
    assert_near(drop_db(rows, 3, 0.33), 0.2 * db_per_s, 0.01);
    assert_near(drop_db(rows, 3, 0.45), 0.2 * db_per_s, 0.01);
}

static void other_tubes_ring_on(void **state)
{
    (void)state;
    const struct wp_strike rows[] = {{0.0, 0, 0.5, 20.0, 0.03, 0.02},
                                     {0.1, 1, 0.4, 140.0, 0.03, 1e-12},
                                     {0.2, 1, 0.0, 140.0, 0.03, 0.0}};
    assert_near(drop_db(rows, 3, 0.4), 0.0, 1e-6);
}

static void ideal_contact_takes_nothing(void **state)
{
    (void)state;
    const struct wp_strike rows[] = {{0.0, 0, 0.5, 20.0, 0.03, 0.02},
                                     {0.1, 0, 0.4, 20.0, 0.03, 1e-12},
                                     {0.2, 0, 0.0, 20.0, 0.03, 0.0}};
    small.set.striker.is_ideal_contact = 1;
    assert_near(drop_db(rows, 3, 0.4), 0.0, 1e-6);
    small.set.striker.is_ideal_contact = 0;
}

/* Rests within a contact, at block borders and two at once. 5e-6 of the peak is -106 dB; spectra
 * are good to -115 dB of what rings in a block. */
static void neither_pieces_nor_kernels_change_the_damping(void **state)
{
    (void)state;
    static const struct wp_strike rows[] = {
        {0.0, 0, 0.5, 20.0, 0.03, 0.02},           {0.05, 0, 0.1, 25.0, 0.03, 0.003},
        {0.0501, 0, 0.0, 25.0, 0.03, 0.0},         {0.0853333333, 1, 0.3, 140.0, 0.03, 0.01},
        {0.1066, 0, 0.2, 25.0, 0.03, 0.005},       {0.1066, 1, 0.0, 140.0, 0.03, 0.0},
        {0.1706666667, 0, -0.02, 25.0, 0.04, 0.0}, {0.2, 0, 0.3, 25.0, 0.03, 0.01},
        {0.3, 1, -0.02, 140.0, 0.03, 0.0},
    };
    const size_t n = sizeof rows / sizeof rows[0];
    const size_t pieces[] = {1, 255, 1000, 2049};
    float *tiles = render(rows, n, WP_KERNEL_TILE, N_FRAMES);
    float *blocks = render(rows, n, WP_KERNEL_BLOCKS, N_FRAMES);
    double peak = 0.0;
    for (size_t i = 0; i < N_FRAMES; i++) {
        peak = fmax(peak, fabs((double)tiles[i]));
    }
    for (size_t i = 0; i < N_FRAMES; i++) {
        assert_near(tiles[i], blocks[i], 5e-6 * peak);
    }
    for (size_t i = 0; i < sizeof pieces / sizeof pieces[0]; i++) {
        float *split = render(rows, n, WP_KERNEL_TILE, pieces[i]);
        assert_memory_equal(tiles, split, N_FRAMES * sizeof *tiles);
        free(split);
    }
    free(tiles);
    free(blocks);
}

/* 20 s of stereo. */
static float *render_source(const struct wp_wind_config *wind, const struct wp_strike_list *list,
                            struct wp_variety *variety)
{
    const struct wp_peal_config config = {
        .set = &small.set,
        .chime = small.chime,
        .wind = wind,
        .strikes = list,
        .duration_s = 20.0,
        .seed = 7,
        .rate_hz = RATE_HZ,
        .channels = WP_STEREO,
    };
    struct wp_diags diags;
    struct wp_peal *peal;
    wp_diags_init(&diags);
    assert_int_equal(wp_peal_create(&peal, &config, &diags), WP_OK);
    float *frames = calloc(2 * 20 * RATE_HZ, sizeof *frames);
    assert_non_null(frames);
    wp_peal_render(peal, frames, 20 * RATE_HZ);
    wp_peal_variety(peal, variety);
    wp_peal_destroy(peal);
    return frames;
}

/* A sail leans the striker on tubes that are held; its list plays back to the same bits. */
static void leaning_in_the_wind_plays_back_from_its_list(void **state)
{
    (void)state;
    enum { ROWS_MAX = 2000 };
    struct station station;
    struct wp_variety windy;
    struct wp_variety listed;
    struct wp_drive *drive;
    struct wp_strike_list list = {calloc(ROWS_MAX, sizeof *list.items), 0};
    assert_non_null(list.items);
    small.set.drive.kind = WP_DRIVE_SAIL;
    for (size_t i = 0; i < 3; i++) {
        small.chime->tubes[i].spec.is_held_rigid = 1;
    }
    station_init(&station, 10, 60.0, 4.0, 6.0);
    const struct wp_wind_config wind = station_config(&station, 7);
    float *direct = render_source(&wind, NULL, &windy);
    struct wp_wind *generated = station_wind(&wind);
    const struct wp_drive_config config = {&small.context, generated, wind.step_s, 7, NULL};
    assert_int_equal(wp_drive_create(&drive, &config), WP_OK);
    while (list.n_items < ROWS_MAX && wp_drive_next(drive, 20.0, &list.items[list.n_items])) {
        wp_strike_complete(&list.items[list.n_items++], &small.context);
    }
    wp_drive_destroy(drive);
    wp_wind_destroy(generated);
    float *played = render_source(NULL, &list, &listed);
    assert_true(windy.n_rests > 10 && windy.rest_s > 5.0 && windy.n_strikes > 0);
    assert_int_equal(windy.n_rests, listed.n_rests);
    assert_int_equal(windy.n_strikes, listed.n_strikes);
    assert_memory_equal(direct, played, 2 * 20 * RATE_HZ * sizeof *direct);
    free(direct);
    free(played);
    wp_strike_list_finish(&list);
    small.set.drive.kind = WP_DRIVE_STATISTICAL;
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(blow_takes_its_share_of_what_rings),
        cmocka_unit_test(resting_striker_adds_its_decay_until_it_leaves),
        cmocka_unit_test(other_tubes_ring_on),
        cmocka_unit_test(ideal_contact_takes_nothing),
        cmocka_unit_test(neither_pieces_nor_kernels_change_the_damping),
        cmocka_unit_test(leaning_in_the_wind_plays_back_from_its_list),
    };
    return cmocka_run_group_tests(tests, prepare_set, small_set_leave);
}
