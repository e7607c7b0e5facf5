/* SPDX-License-Identifier: MIT */
/* Every allocation of everything that allocates fails in turn: a status, no crash, no leak. */

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#include "../wind_station.h"
#include "scratch_folder.h"
#include "synth/bank.h"
#include "windpeal/chime.h"
#include "windpeal/level.h"
#include "windpeal/peal.h"
#include "windpeal/set.h"
#include "windpeal/sound_file.h"
#include "windpeal/stage.h"
#include "windpeal/weather.h"

/* The linker turns the library's calls of malloc into calls of __wrap_malloc, and so on. */
void *__real_malloc(size_t size);
void *__real_calloc(size_t n, size_t size);
void *__real_realloc(void *block, size_t size);
char *__real_strdup(const char *text);
void *__real_aligned_alloc(size_t alignment, size_t size);
void *__wrap_malloc(size_t size);
void *__wrap_calloc(size_t n, size_t size);
void *__wrap_realloc(void *block, size_t size);
char *__wrap_strdup(const char *text);
void *__wrap_aligned_alloc(size_t alignment, size_t size);

/* Allocations that still succeed before one fails; -1: all do. */
static long *countdown(void)
{
    static long n_left = -1;
    return &n_left;
}

static int is_failing(void)
{
    long *n_left = countdown();
    return *n_left >= 0 && (*n_left)-- == 0;
}

void *__wrap_malloc(size_t size)
{
    return is_failing() ? NULL : __real_malloc(size);
}

void *__wrap_calloc(size_t n, size_t size)
{
    return is_failing() ? NULL : __real_calloc(n, size);
}

void *__wrap_realloc(void *block, size_t size)
{
    return is_failing() ? NULL : __real_realloc(block, size);
}

char *__wrap_strdup(const char *text)
{
    return is_failing() ? NULL : __real_strdup(text);
}

void *__wrap_aligned_alloc(size_t alignment, size_t size)
{
    return is_failing() ? NULL : __real_aligned_alloc(alignment, size);
}

/* Makes one object and frees it again. The address sanitizer finds what is left. */
typedef enum wp_status maker(void *const *state);

static void assert_each_failure_is_reported(maker *make, void *const *state)
{
    enum { ALLOCATIONS_MAX = 200 };
    for (long n = 0; n < ALLOCATIONS_MAX; n++) {
        *countdown() = n;
        const enum wp_status status = make(state);
        const long n_left = *countdown();
        *countdown() = -1;
        if (n_left >= 0) {
            assert_int_equal(status, WP_OK);
            assert_true(n > 0);
            return;
        }
        assert_int_equal(status, WP_E_NO_MEMORY);
    }
    fail_msg("more allocations than expected");
}

static enum wp_status make_sound_file(void *const *state)
{
    char path[SCRATCH_PATH_MAX];
    struct wp_sound_file *file = NULL;
    const struct wp_sound_file_config config = {
        .path = scratch_path(state, "a.wav", path),
        .n_channels = 2,
        .rate_hz = 48000,
        .format = WP_PCM_24,
        .n_frames = 10,
        .title = "title",
        .date = "2026-04-11",
        .comment = "comment",
    };
    const enum wp_status status = wp_sound_file_create(&file, &config, NULL);
    assert_int_equal(file == NULL, status != WP_OK);
    wp_sound_file_destroy(file);
    assert_false(scratch_has(state, "a.wav.part"));
    return status;
}

static void sound_file(void **state)
{
    assert_each_failure_is_reported(make_sound_file, state);
}

static enum wp_status make_meter(void *const *state)
{
    (void)state;
    struct wp_meter *meter = NULL;
    const enum wp_status status = wp_meter_create(&meter, 2, 2, 48000);
    assert_int_equal(meter == NULL, status != WP_OK);
    wp_meter_destroy(meter);
    return status;
}

static void meter(void **state)
{
    assert_each_failure_is_reported(make_meter, state);
}

static enum wp_status make_a_bank(bool is_blockwise)
{
    struct wp_bank *bank = NULL;
    const struct wp_bank_partial partials[] = {{440.0, 1.0}, {1213.0, 0.5}};
    const struct wp_bank_voice voices[] = {{partials, 2}, {partials, 1}};
    const struct wp_bank_config config = {.rate_hz = 48000,
                                          .n_ears = 2,
                                          .voices = voices,
                                          .n_voices = 2,
                                          .is_blockwise = is_blockwise};
    const enum wp_status status = wp_bank_create(&bank, &config);
    assert_int_equal(bank == NULL, status != WP_OK);
    wp_bank_destroy(bank);
    return status;
}

static enum wp_status make_bank(void *const *state)
{
    (void)state;
    return make_a_bank(false);
}

static enum wp_status make_blockwise_bank(void *const *state)
{
    (void)state;
    return make_a_bank(true);
}

static void bank(void **state)
{
    assert_each_failure_is_reported(make_bank, state);
    assert_each_failure_is_reported(make_blockwise_bank, state);
}

static enum wp_status make_wind(void *const *state)
{
    (void)state;
    struct station station;
    struct wp_wind *made = NULL;
    station_init(&station, 3, 600.0, 5.0, (double)NAN);
    const struct wp_wind_config config = station_config(&station, 1);
    const enum wp_status status = wp_wind_create(&made, &config);
    assert_int_equal(made == NULL, status != WP_OK);
    wp_wind_destroy(made);
    return status;
}

static void wind(void **state)
{
    assert_each_failure_is_reported(make_wind, state);
}

static enum wp_status make_weather(void *const *state)
{
    (void)state;
    static const char text[] = "time,wind speed (m/s)\n"
                               "2026-04-11T14:00:00Z,4.0\n"
                               "2026-04-11T14:10:00Z,5.0\n";
    struct wp_weather made;
    struct wp_weather_config config;
    wp_weather_config_default(&config);
    const enum wp_status status =
        wp_weather_parse(&made, "text", text, sizeof text - 1, &config, NULL);
    wp_weather_finish(&made);
    return status;
}

static void weather(void **state)
{
    assert_each_failure_is_reported(make_weather, state);
}

/* A state between lines, and a list of what was wrong. */
static enum wp_status make_reports(void *const *state)
{
    (void)state;
    static const char text[] = "2026/11/25 06:00\n"
                               "METAR EDXB 250600Z 24010MPS 9999=\n"
                               "METAR EDXB 250630Z P99KT 9999=\n";
    struct wp_weather made;
    const enum wp_status status =
        wp_weather_parse(&made, "text", text, sizeof text - 1, NULL, NULL);
    wp_weather_finish(&made);
    return status;
}

static void reports(void **state)
{
    assert_each_failure_is_reported(make_reports, state);
}

static const char set_text[] = "tubes:\n"
                               "  material: aluminium 6063-T6\n"
                               "  outer_diameter: 32 mm\n"
                               "  wall: 1.6 mm\n"
                               "  lengths: [900 mm, 800 mm]\n";

static enum wp_status make_set(void *const *state)
{
    (void)state;
    struct wp_set made;
    return wp_set_parse(&made, "text", set_text, sizeof set_text - 1, NULL);
}

static void set(void **state)
{
    assert_each_failure_is_reported(make_set, state);
}

static enum wp_status make_chime(void *const *state)
{
    (void)state;
    struct wp_set parsed;
    struct wp_chime *made = NULL;
    struct wp_chime_config config;
    const long n_left = *countdown();
    *countdown() = -1;
    assert_int_equal(wp_set_parse(&parsed, "text", set_text, sizeof set_text - 1, NULL), WP_OK);
    *countdown() = n_left;
    wp_chime_config_default(&config);
    const enum wp_status status = wp_chime_create(&made, &parsed, &config, NULL);
    assert_int_equal(made == NULL, status != WP_OK);
    wp_chime_destroy(made);
    return status;
}

static void chime(void **state)
{
    assert_each_failure_is_reported(make_chime, state);
}

static enum wp_status make_peal_in(enum wp_room_kind room)
{
    struct wp_set parsed;
    struct wp_chime *solved = NULL;
    struct wp_chime_config chime_config;
    struct wp_peal *made = NULL;
    struct station station;
    const long n_left = *countdown();
    *countdown() = -1;
    assert_int_equal(wp_set_parse(&parsed, "text", set_text, sizeof set_text - 1, NULL), WP_OK);
    parsed.room = (struct wp_set_room){
        .kind = room, .size_m = {6.0, 7.0, 5.0}, .decay_s = 0.4, .humidity_01 = 0.5};
    wp_chime_config_default(&chime_config);
    assert_int_equal(wp_chime_create(&solved, &parsed, &chime_config, NULL), WP_OK);
    station_init(&station, 3, 600.0, 5.0, (double)NAN);
    const struct wp_wind_config wind_config = station_config(&station, 1);
    *countdown() = n_left;
    const struct wp_peal_config config = {
        .set = &parsed,
        .chime = solved,
        .wind = &wind_config,
        .duration_s = 60.0,
        .seed = 1,
        .rate_hz = 48000,
        .channels = WP_STEREO,
        .has_shown_wind = true,
    };
    const enum wp_status status = wp_peal_create(&made, &config, NULL);
    assert_int_equal(made == NULL, status != WP_OK);
    wp_peal_destroy(made);
    wp_chime_destroy(solved);
    return status;
}

static enum wp_status make_peal(void *const *state)
{
    (void)state;
    return make_peal_in(WP_ROOM_FREE);
}

static enum wp_status make_peal_in_a_room(void *const *state)
{
    (void)state;
    return make_peal_in(WP_ROOM_OF_SIZE);
}

static void peal(void **state)
{
    assert_each_failure_is_reported(make_peal, state);
    assert_each_failure_is_reported(make_peal_in_a_room, state);
}

/* A player within a stage. */
static enum wp_status make_stage(void *const *state)
{
    (void)state;
    struct wp_stage *made = NULL;
    const struct wp_stage_config config = {
        .player = {.rate_hz = 48000, .n_channels = 2, .gain = 1.0, .fade_s = 0.3},
    };
    const enum wp_status status = wp_stage_create(&made, &config);
    assert_int_equal(made == NULL, status != WP_OK);
    wp_stage_destroy(made);
    return status;
}

static void stage(void **state)
{
    assert_each_failure_is_reported(make_stage, state);
}

static enum wp_status make_session(void *const *state)
{
    static const char text[] = "# windpeal session from 2026-11-25T13:30:00Z\n"
                               "t_s,mean_m_s,gust_m_s,from_deg,temperature_c,pressure_pa\n"
                               "0.7,3.1,,200,,\n";
    struct wp_weather made;
    (void)state;
    const enum wp_status status = wp_weather_parse(&made, "log", text, sizeof text - 1, NULL, NULL);
    wp_weather_finish(&made);
    return status;
}

static void session(void **state)
{
    assert_each_failure_is_reported(make_session, state);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_setup_teardown(sound_file, scratch_create, scratch_remove),
        cmocka_unit_test(meter),
        cmocka_unit_test(bank),
        cmocka_unit_test(wind),
        cmocka_unit_test(weather),
        cmocka_unit_test(reports),
        cmocka_unit_test(set),
        cmocka_unit_test(chime),
        cmocka_unit_test(peal),
        cmocka_unit_test(stage),
        cmocka_unit_test(session),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
