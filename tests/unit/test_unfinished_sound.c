/* SPDX-License-Identifier: MIT */
/* What stays of sound files that were not finished: after a kill, on a full disk. */
#include "windpeal/sound_file.h"

#include <setjmp.h>
#include <signal.h>
#include <sndfile.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <sys/resource.h>
#include <sys/stat.h>
#include <sys/wait.h>
#include <unistd.h>

#include <cmocka.h>

#include "scratch_folder.h"
#include "sound_file_fixture.h"

/* A child writes 2.5 s of 10 in small calls and is killed without a chance to clean up. */
static void be_killed_while_writing(const char *path)
{
    struct wp_sound_file *file;
    struct wp_sound_file_config config = stereo_24(path);
    config.n_frames = 10 * RATE;
    float *frames = make_tones(RATE / 10, 2);
    if (wp_sound_file_create(&file, &config, NULL)) {
        _exit(1);
    }
    for (int i = 0; i < 25; i++) {
        if (wp_sound_file_write(file, frames, RATE / 10)) {
            _exit(1);
        }
    }
    raise(SIGKILL);
}

static void a_killed_process_leaves_a_playable_part(void **state)
{
    const char *const names[] = {"a.wav", "a.rf64", "a.flac"};
    for (size_t i = 0; i < 3; i++) {
        char path[SCRATCH_PATH_MAX];
        char part_name[16];
        int how = 0;
        const pid_t child = fork();
        assert_true(child >= 0);
        if (child == 0) {
            be_killed_while_writing(scratch_path(state, names[i], path));
            _exit(1);
        }
        assert_int_equal(waitpid(child, &how, 0), child);
        assert_true(WIFSIGNALED(how) && WTERMSIG(how) == SIGKILL);
        assert_false(scratch_has(state, names[i]));
        snprintf(part_name, sizeof part_name, "%s.part", names[i]);
        SF_INFO info = {0};
        SNDFILE *file = sf_open(scratch_path(state, part_name, path), SFM_READ, &info);
        assert_non_null(file);
        float *got = malloc(10 * RATE * 2 * sizeof *got);
        assert_non_null(got);
        assert_in_range(sf_readf_float(file, got, 10 * RATE), 3 * RATE / 2, 5 * RATE / 2);
        assert_int_equal(sf_error(file), SF_ERR_NO_ERROR);
        free(got);
        sf_close(file);
    }
}

/* What a kill loses of what calls have brought. */
static void the_header_is_less_than_half_a_second_behind_what_was_written(void **state)
{
    static const struct {
        int rate_hz, n_channels;
        enum wp_sample_format format;
    } forms[] = {{48000, 2, WP_PCM_24}, {8000, 1, WP_PCM_16}, {96000, 6, WP_FLOAT_32}};
    for (size_t i = 0; i < sizeof forms / sizeof *forms; i++) {
        char path[SCRATCH_PATH_MAX];
        struct wp_sound_file *file;
        struct wp_sound_file_config config = stereo_24(scratch_path(state, "a.wav", path));
        config.rate_hz = forms[i].rate_hz;
        config.n_channels = forms[i].n_channels;
        config.format = forms[i].format;
        config.n_frames = 4 * (uint64_t)config.rate_hz;
        const sf_count_t n_call = config.rate_hz / 7;
        float *frames = make_tones((size_t)n_call, config.n_channels);
        assert_int_equal(wp_sound_file_create(&file, &config, NULL), WP_OK);
        for (sf_count_t n = n_call; n < (sf_count_t)config.n_frames; n += n_call) {
            SF_INFO info = {0};
            assert_int_equal(wp_sound_file_write(file, frames, (size_t)n_call), WP_OK);
            SNDFILE *reader = sf_open(scratch_path(state, "a.wav.part", path), SFM_READ, &info);
            assert_non_null(reader);
            assert_true(info.frames <= n && n - info.frames < config.rate_hz / 2);
            sf_close(reader);
        }
        wp_sound_file_destroy(file);
        free(frames);
    }
}

/* Of a file that did not get its name. */
static SNDFILE *open_part(void **state, const char *name, SF_INFO *info)
{
    char path[SCRATCH_PATH_MAX];
    char part_name[16];
    assert_false(scratch_has(state, name));
    snprintf(part_name, sizeof part_name, "%s.part", name);
    SNDFILE *reader = sf_open(scratch_path(state, part_name, path), SFM_READ, info);
    assert_non_null(reader);
    return reader;
}

static void without_a_commit_all_frames_stay_playable_in_the_part(void **state)
{
    const char *const names[] = {"a.wav", "a.flac"};
    for (size_t i = 0; i < 2; i++) {
        char path[SCRATCH_PATH_MAX];
        SF_INFO info = {0};
        struct wp_sound_file *file;
        const struct wp_sound_file_config config = stereo_24(scratch_path(state, names[i], path));
        float *frames = make_tones(777, 2);
        assert_int_equal(wp_sound_file_create(&file, &config, NULL), WP_OK);
        assert_int_equal(wp_sound_file_write(file, frames, 777), WP_OK);
        wp_sound_file_destroy(file);
        free(frames);
        SNDFILE *reader = open_part(state, names[i], &info);
        assert_int_equal(info.frames, 777);
        sf_close(reader);
    }
}

/* Bytes that a file takes on its disk beyond what it holds. */
static long long unused_bytes(const char *path)
{
    struct stat info;
    assert_int_equal(stat(path, &info), 0);
    return (long long)info.st_blocks * 512 - (long long)info.st_size;
}

/* 100 MB are announced; the disk's blocks are taken to be no larger than 64 KiB. */
static void room_that_stays_unused_is_given_back(void **state)
{
    const char *const names[] = {"a.wav", "b.wav.part"};
    char path[SCRATCH_PATH_MAX];
    char part[SCRATCH_PATH_MAX + 8];
    float *frames = make_tones(N_FRAMES, 2);
    for (size_t i = 0; i < 2; i++) {
        struct wp_sound_file *file;
        struct wp_sound_file_config config =
            stereo_24(scratch_path(state, i == 0 ? "a.wav" : "b.wav", path));
        config.n_frames = 100000000 / 6;
        snprintf(part, sizeof part, "%s.part", path);
        assert_int_equal(wp_sound_file_create(&file, &config, NULL), WP_OK);
        assert_true(unused_bytes(part) <= 65536);
        assert_int_equal(wp_sound_file_write(file, frames, N_FRAMES), WP_OK);
        assert_true(unused_bytes(part) <= (16 << 20) + 65536);
        if (i == 0) {
            assert_int_equal(wp_sound_file_commit(file), WP_OK);
        }
        wp_sound_file_destroy(file);
        assert_true(unused_bytes(scratch_path(state, names[i], path)) <= 65536);
    }
    free(frames);
}

static void without_any_frame_nothing_stays(void **state)
{
    char path[SCRATCH_PATH_MAX];
    struct wp_sound_file *file;
    const struct wp_sound_file_config config = stereo_24(scratch_path(state, "a.wav", path));
    assert_int_equal(wp_sound_file_create(&file, &config, NULL), WP_OK);
    wp_sound_file_destroy(file);
    assert_false(scratch_has(state, "a.wav"));
    assert_false(scratch_has(state, "a.wav.part"));
}

/* Files may have max_bytes from now on; returns what they might have before. */
static struct rlimit limit_files(rlim_t max_bytes)
{
    struct rlimit old;
    assert_int_equal(getrlimit(RLIMIT_FSIZE, &old), 0);
    const struct rlimit small = {.rlim_cur = max_bytes, .rlim_max = old.rlim_max};
    assert_int_equal(setrlimit(RLIMIT_FSIZE, &small), 0);
    return old;
}

/* Writes noise, which FLAC cannot shrink, under a size limit of 100 kB. */
static enum wp_status fill_up(struct wp_sound_file *file)
{
    float noise[2 * 1000];
    uint32_t random = 1;
    enum wp_status status = WP_OK;
    void (*old_handler)(int) = signal(SIGXFSZ, SIG_IGN);
    const struct rlimit old = limit_files(100000);
    for (size_t k = 0; k < N_FRAMES / 1000 && !status; k++) {
        for (size_t i = 0; i < sizeof noise / sizeof *noise; i++) {
            random = random * 1664525u + 1013904223u;
            noise[i] = (float)random * 0x1p-32f - 0.5f;
        }
        status = wp_sound_file_write(file, noise, 1000);
    }
    const enum wp_status again = wp_sound_file_write(file, noise, 1);
    const enum wp_status commit = wp_sound_file_commit(file);
    wp_sound_file_destroy(file);
    setrlimit(RLIMIT_FSIZE, &old);
    signal(SIGXFSZ, old_handler);
    assert_int_equal(again, status);
    assert_int_equal(commit, status);
    return status;
}

static void a_full_disk_gives_no_file_but_a_playable_part(void **state)
{
    const char *const names[] = {"a.wav", "a.flac"};
    for (size_t i = 0; i < 2; i++) {
        char path[SCRATCH_PATH_MAX];
        SF_INFO info = {0};
        struct wp_sound_file *file;
        const struct wp_sound_file_config config = stereo_24(scratch_path(state, names[i], path));
        assert_int_equal(wp_sound_file_create(&file, &config, NULL), WP_OK);
        assert_int_equal(fill_up(file), WP_E_NO_SPACE);
        SNDFILE *reader = open_part(state, names[i], &info);
        float *got = calloc(N_FRAMES * 2, sizeof *got);
        assert_non_null(got);
        /* 100 kB hold 16,666 frames of 6 bytes. */
        assert_in_range(sf_readf_float(reader, got, N_FRAMES), 8000, 16666);
        free(got);
        sf_close(reader);
    }
}

static void a_disk_without_room_for_a_frame_leaves_nothing(void **state)
{
    char path[SCRATCH_PATH_MAX];
    struct wp_sound_file *file;
    struct stat header;
    const struct wp_sound_file_config config = stereo_24(scratch_path(state, "a.wav", path));
    float *frames = make_tones(N_FRAMES, 2);
    assert_int_equal(wp_sound_file_create(&file, &config, NULL), WP_OK);
    assert_int_equal(stat(scratch_path(state, "a.wav.part", path), &header), 0);
    void (*old_handler)(int) = signal(SIGXFSZ, SIG_IGN);
    const struct rlimit old = limit_files((rlim_t)header.st_size);
    wp_sound_file_write(file, frames, N_FRAMES);
    const enum wp_status commit = wp_sound_file_commit(file);
    wp_sound_file_destroy(file);
    setrlimit(RLIMIT_FSIZE, &old);
    signal(SIGXFSZ, old_handler);
    free(frames);
    assert_int_equal(commit, WP_E_NO_SPACE);
    assert_false(scratch_has(state, "a.wav"));
    assert_false(scratch_has(state, "a.wav.part"));
}

static void a_disk_without_room_for_the_header_leaves_nothing(void **state)
{
    char path[SCRATCH_PATH_MAX];
    struct wp_sound_file *file;
    struct wp_sound_file_config config = stereo_24(scratch_path(state, "a.wav", path));
    config.n_frames = 1;
    void (*old_handler)(int) = signal(SIGXFSZ, SIG_IGN);
    const struct rlimit old = limit_files(20);
    const enum wp_status status = wp_sound_file_create(&file, &config, NULL);
    setrlimit(RLIMIT_FSIZE, &old);
    signal(SIGXFSZ, old_handler);
    assert_int_equal(status, WP_E_NO_SPACE);
    assert_null(file);
    assert_false(scratch_has(state, "a.wav"));
    assert_false(scratch_has(state, "a.wav.part"));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_setup_teardown(a_killed_process_leaves_a_playable_part, scratch_create,
                                        scratch_remove),
        cmocka_unit_test_setup_teardown(
            the_header_is_less_than_half_a_second_behind_what_was_written, scratch_create,
            scratch_remove),
        cmocka_unit_test_setup_teardown(without_a_commit_all_frames_stay_playable_in_the_part,
                                        scratch_create, scratch_remove),
        cmocka_unit_test_setup_teardown(room_that_stays_unused_is_given_back, scratch_create,
                                        scratch_remove),
        cmocka_unit_test_setup_teardown(without_any_frame_nothing_stays, scratch_create,
                                        scratch_remove),
        cmocka_unit_test_setup_teardown(a_full_disk_gives_no_file_but_a_playable_part,
                                        scratch_create, scratch_remove),
        cmocka_unit_test_setup_teardown(a_disk_without_room_for_a_frame_leaves_nothing,
                                        scratch_create, scratch_remove),
        cmocka_unit_test_setup_teardown(a_disk_without_room_for_the_header_leaves_nothing,
                                        scratch_create, scratch_remove),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
