/* SPDX-License-Identifier: MIT */
/* Claims about fades, gain and soft limit between peals and a loudspeaker. */

#include "peal_fixture.h"

#include <math.h>
#include <string.h>

#include "windpeal/player.h"

enum { RATE_HZ = 48000, FADE_FRAMES = 4800, N_FRAMES = 24000 };

static const struct wp_strike early[] = {{0.0, 0, 0.5, 20.0, 0.03, 0.01}};
static const struct wp_strike other[] = {{0.0, 2, 0.5, 20.0, 0.03, 0.01}};
static const struct wp_strike_list early_list = {(struct wp_strike *)early, 1};
static const struct wp_strike_list other_list = {(struct wp_strike *)other, 1};

static struct wp_peal_config config_of(const struct wp_strike_list *list)
{
    return (struct wp_peal_config){.strikes = list, .rate_hz = RATE_HZ, .channels = WP_MONO};
}

static struct wp_peal *peal_of(const struct wp_strike_list *list)
{
    const struct wp_peal_config config = config_of(list);
    return small_set_peal(&config);
}

static struct wp_player *player_of(double gain)
{
    const struct wp_player_config config = {
        .rate_hz = RATE_HZ, .n_channels = 1, .gain = gain, .fade_s = 0.1};
    struct wp_player *player;
    assert_int_equal(wp_player_create(&player, &config), WP_OK);
    return player;
}

static float *plain(const struct wp_strike_list *list)
{
    const struct wp_peal_config config = config_of(list);
    return small_set_frames(&config, N_FRAMES, N_FRAMES);
}

/* Largest sample of some frames. */
static float peak(const float *frames, size_t n_frames)
{
    float most = 0.0f;
    for (size_t i = 0; i < n_frames; i++) {
        most = fmaxf(most, fabsf(frames[i]));
    }
    return most;
}

static void after_the_fade_frames_are_the_peals_own(void **state)
{
    (void)state;
    static float frames[N_FRAMES];
    float *wanted = plain(&early_list);
    struct wp_player *player = player_of(1.0);
    struct wp_peal *peal = peal_of(&early_list);
    assert_true(wp_player_play(player, peal));
    for (size_t done = 0; done < N_FRAMES; done += 1000) {
        wp_player_render(player, frames + done, 1000);
    }
    assert_true(peak(frames, 100) < 0.01f * peak(wanted, 100));
    assert_memory_equal(frames + FADE_FRAMES, wanted + FADE_FRAMES,
                        (N_FRAMES - FADE_FRAMES) * sizeof *frames);
    assert_true(peak(wanted + FADE_FRAMES, FADE_FRAMES) > 0.0f);
    wp_player_destroy(player);
    wp_peal_destroy(peal);
    free(wanted);
}

static void a_change_fades_from_one_peal_to_the_other(void **state)
{
    (void)state;
    static float frames[N_FRAMES];
    float *one = plain(&early_list);
    float *two = plain(&other_list);
    struct wp_player *player = player_of(1.0);
    struct wp_peal *first = peal_of(&early_list);
    struct wp_peal *second = peal_of(&other_list);
    wp_player_play(player, first);
    wp_player_render(player, frames, 9600);
    assert_null(wp_player_retire(player));
    assert_true(wp_player_play(player, second));
    assert_false(wp_player_play(player, first));
    wp_player_render(player, frames + 9600, N_FRAMES - 9600);
    /* Halfway both have half their amplitude: a raised cosine at its middle. */
    const size_t middle = 9600 + FADE_FRAMES / 2 - 1;
    assert_near(frames[middle], 0.5 * (double)one[middle] + 0.5 * (double)two[middle - 9600], 1e-9);
    assert_memory_equal(frames + 9600 + FADE_FRAMES, two + FADE_FRAMES,
                        (N_FRAMES - 9600 - FADE_FRAMES) * sizeof *frames);
    assert_ptr_equal(wp_player_retire(player), first);
    assert_null(wp_player_retire(player));
    assert_ptr_equal(wp_player_peal(player), second);
    wp_player_destroy(player);
    wp_peal_destroy(first);
    wp_peal_destroy(second);
    free(one);
    free(two);
}

static void muted_peals_go_on_unheard(void **state)
{
    (void)state;
    static float frames[N_FRAMES];
    float *wanted = plain(&early_list);
    struct wp_player *player = player_of(1.0);
    struct wp_peal *peal = peal_of(&early_list);
    wp_player_play(player, peal);
    wp_player_mute(player, true);
    wp_player_render(player, frames, 12000);
    assert_near(peak(frames + FADE_FRAMES, 12000 - FADE_FRAMES), 0.0, 0.0);
    wp_player_mute(player, false);
    wp_player_render(player, frames + 12000, 12000);
    assert_memory_equal(frames + 12000 + FADE_FRAMES, wanted + 12000 + FADE_FRAMES,
                        (12000 - FADE_FRAMES) * sizeof *frames);
    wp_player_destroy(player);
    wp_peal_destroy(peal);
    free(wanted);
}

static void silence_comes_softly_and_retires_the_peal(void **state)
{
    (void)state;
    static float frames[N_FRAMES];
    struct wp_player *player = player_of(1.0);
    struct wp_peal *peal = peal_of(&early_list);
    wp_player_play(player, peal);
    wp_player_render(player, frames, 9600);
    assert_false(wp_player_is_silent(player));
    wp_player_play(player, NULL);
    wp_player_render(player, frames, FADE_FRAMES + 128);
    assert_true(wp_player_is_silent(player));
    assert_true(peak(frames + FADE_FRAMES - 48, 48) < 0.001f * peak(frames, 480));
    assert_near(peak(frames + FADE_FRAMES, 128), 0.0, 0.0);
    assert_ptr_equal(wp_player_retire(player), peal);
    wp_player_destroy(player);
    wp_peal_destroy(peal);
}

static void nothing_passes_full_scale_and_what_is_bent_is_counted(void **state)
{
    (void)state;
    static float frames[N_FRAMES];
    float *wanted = plain(&early_list);
    const double gain = 3.0 / (double)peak(wanted + FADE_FRAMES, N_FRAMES - FADE_FRAMES);
    struct wp_player *player = player_of(gain);
    struct wp_peal *peal = peal_of(&early_list);
    struct wp_player_level level;
    wp_player_play(player, peal);
    wp_player_render(player, frames, FADE_FRAMES);
    wp_player_level(player, &level);
    wp_player_render(player, frames + FADE_FRAMES, N_FRAMES - FADE_FRAMES);
    wp_player_level(player, &level);
    uint64_t n_above = 0;
    for (size_t i = FADE_FRAMES; i < N_FRAMES; i++) {
        const double x = fabs((double)((float)gain * wanted[i]));
        const double a = (double)WP_PLAYER_LINEAR;
        const double y = x <= a ? x : a + (1.0 - a) * tanh((x - a) / (1.0 - a));
        assert_near(fabs((double)frames[i]), y, 1e-6);
        n_above += x > a ? 1 : 0;
    }
    assert_true(n_above > 1000);
    assert_int_equal(level.n_bent, n_above);
    assert_true(level.peak <= 1.0);
    assert_near(level.peak, (double)peak(frames + FADE_FRAMES, N_FRAMES - FADE_FRAMES), 0.0);
    wp_player_destroy(player);
    wp_peal_destroy(peal);
    free(wanted);
}

static void impossible_players_are_refused(void **state)
{
    (void)state;
    const struct wp_player_config configs[] = {
        {0, 1, 1.0, 0.1}, {48000, 0, 1.0, 0.1}, {48000, 1, -1.0, 0.1}, {48000, 1, 1.0, 0.0}};
    for (size_t i = 0; i < sizeof configs / sizeof configs[0]; i++) {
        struct wp_player *player;
        assert_int_equal(wp_player_create(&player, &configs[i]), WP_E_RANGE);
        assert_null(player);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(after_the_fade_frames_are_the_peals_own),
        cmocka_unit_test(a_change_fades_from_one_peal_to_the_other),
        cmocka_unit_test(muted_peals_go_on_unheard),
        cmocka_unit_test(silence_comes_softly_and_retires_the_peal),
        cmocka_unit_test(nothing_passes_full_scale_and_what_is_bent_is_counted),
        cmocka_unit_test(impossible_players_are_refused),
    };
    return cmocka_run_group_tests(tests, small_set_prepare, small_set_leave);
}
