/* SPDX-License-Identifier: MIT */
/* Impulse responses as they are read from sound files. */

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>
#include <sndfile.h>

#include "../near.h"
#include "scratch_folder.h"
#include "windpeal/impulse.h"

enum { N_FRAMES = 4410 };

/* Two bells of waves, at different places: nothing of them lies above 15 kHz. */
static double sound_at(double t_s, int channel)
{
    const double at_s = t_s - (channel == 0 ? 0.030 : 0.041);
    const double hz = channel == 0 ? 1000.0 : 6000.0;
    return 0.8 * exp(-0.5 * at_s * at_s / (0.0008 * 0.0008)) * cos(2.0 * M_PI * hz * at_s);
}

static void write_sound(void **state, char path[SCRATCH_PATH_MAX], int n_channels, int rate_hz,
                        double gain)
{
    SF_INFO info = {
        .channels = n_channels, .samplerate = rate_hz, .format = SF_FORMAT_WAV | SF_FORMAT_FLOAT};
    SNDFILE *file = sf_open(scratch_path(state, "room.wav", path), SFM_WRITE, &info);
    assert_non_null(file);
    for (int i = 0; i < N_FRAMES; i++) {
        float frame[8];
        for (int channel = 0; channel < n_channels; channel++) {
            frame[channel] = (float)(gain * sound_at((double)i / rate_hz, channel));
        }
        assert_int_equal(sf_writef_float(file, frame, 1), 1);
    }
    sf_close(file);
}

static void frames_come_as_they_are_at_the_same_rate(void **state)
{
    char path[SCRATCH_PATH_MAX];
    struct wp_impulse impulse;
    for (int n_channels = 1; n_channels <= 2; n_channels++) {
        write_sound(state, path, n_channels, 48000, 1.0);
        assert_int_equal(wp_impulse_load(&impulse, path, 48000, NULL), WP_OK);
        assert_int_equal(impulse.n_frames, N_FRAMES);
        assert_int_equal(impulse.n_channels, n_channels);
        assert_int_equal(impulse.rate_hz, 48000);
        for (int i = 0; i < N_FRAMES * n_channels; i++) {
            const double want = sound_at(i / n_channels / 48000.0, i % n_channels);
            assert_true(impulse.frames[i] == (float)want);
        }
        wp_impulse_finish(&impulse);
    }
}

/* The response's transform stays, so a sample is smaller by as much as there are more of them. */
static void another_rate_keeps_the_sound(void **state)
{
    char path[SCRATCH_PATH_MAX];
    const int rates_hz[][2] = {{44100, 48000}, {48000, 44100}, {96000, 48000}, {32000, 88200}};
    for (size_t r = 0; r < sizeof rates_hz / sizeof rates_hz[0]; r++) {
        const int from_hz = rates_hz[r][0];
        const int to_hz = rates_hz[r][1];
        struct wp_impulse impulse;
        write_sound(state, path, 2, from_hz, 1.0);
        assert_int_equal(wp_impulse_load(&impulse, path, to_hz, NULL), WP_OK);
        assert_int_equal(impulse.rate_hz, to_hz);
        assert_true(impulse.n_frames >= (size_t)N_FRAMES * (size_t)to_hz / (size_t)from_hz);
        const double ratio = (double)from_hz / to_hz;
        /* The file ends at 4410 frames, which cuts the second bell at 96 kHz: stop before. */
        const double end_s = fmin(0.06, (double)N_FRAMES / from_hz - 0.001);
        for (size_t i = 0; (double)i / to_hz < end_s && from_hz < 90000; i++) {
            for (int channel = 0; channel < 2; channel++) {
                const double want = ratio * sound_at((double)i / to_hz, channel);
                assert_near((double)impulse.frames[2 * i + (size_t)channel], want, 1e-5);
            }
        }
        wp_impulse_finish(&impulse);
    }
}

static void assert_refused(const char *path, enum wp_status status, const char *message)
{
    struct wp_impulse impulse;
    struct wp_diags diags;
    wp_diags_init(&diags);
    assert_int_equal(wp_impulse_load(&impulse, path, 48000, &diags), status);
    assert_int_equal(diags.n_items, 1);
    assert_string_equal(diags.items[0].file, path);
    assert_non_null(strstr(diags.items[0].message, message));
    wp_impulse_finish(&impulse);
}

static void what_is_no_response_is_refused(void **state)
{
    char path[SCRATCH_PATH_MAX];
    assert_refused(scratch_path(state, "none.wav", path), WP_E_NO_FILE, "No such file");
    scratch_write(state, "text.wav", "hello, this is a text\n");
    assert_refused(scratch_path(state, "text.wav", path), WP_E_SYNTAX, "no sound file");
    write_sound(state, path, 3, 48000, 1.0);
    assert_refused(path, WP_E_RANGE, "3 channels");
    write_sound(state, path, 2, 48000, 0.0);
    assert_refused(path, WP_E_EMPTY, "silent");
    write_sound(state, path, 1, 47999, 1.0);
    assert_refused(path, WP_E_RANGE, "47999 Hz");
    write_sound(state, path, 1, 100, 1.0);
    assert_refused(path, WP_E_RANGE, "100 Hz");
    write_sound(state, path, 1, 48000, (double)INFINITY);
    assert_refused(path, WP_E_SYNTAX, "no numbers");
}

static void long_recordings_are_refused(void **state)
{
    char path[SCRATCH_PATH_MAX];
    SF_INFO info = {.channels = 1, .samplerate = 8000, .format = SF_FORMAT_WAV | SF_FORMAT_PCM_16};
    SNDFILE *file = sf_open(scratch_path(state, "long.wav", path), SFM_WRITE, &info);
    const short frame = 1000;
    for (int i = 0; i < 8000 * 31; i++) {
        sf_writef_short(file, &frame, 1);
    }
    sf_close(file);
    assert_refused(path, WP_E_RANGE, "31 s");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_setup_teardown(frames_come_as_they_are_at_the_same_rate, scratch_create,
                                        scratch_remove),
        cmocka_unit_test_setup_teardown(another_rate_keeps_the_sound, scratch_create,
                                        scratch_remove),
        cmocka_unit_test_setup_teardown(what_is_no_response_is_refused, scratch_create,
                                        scratch_remove),
        cmocka_unit_test_setup_teardown(long_recordings_are_refused, scratch_create,
                                        scratch_remove),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
