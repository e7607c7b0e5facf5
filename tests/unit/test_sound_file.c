/* SPDX-License-Identifier: MIT */
/* Sound files read back with libsndfile: every format, tags, room looked for, streams. */
#include "windpeal/sound_file.h"

#include <fcntl.h>
#include <math.h>
#include <setjmp.h>
#include <sndfile.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>
#include <sys/stat.h>
#include <sys/statvfs.h>
#include <sys/wait.h>

#include <cmocka.h>

#include "scratch_folder.h"
#include "sound_file_fixture.h"

enum { CHANNELS_MOST = 6 };

/* Writes n_frames of the tones in calls of n_call frames and commits. */
static void write_whole(const struct wp_sound_file_config *config, size_t n_call)
{
    float *frames = make_tones(N_FRAMES, config->n_channels);
    struct wp_sound_file *file;
    assert_int_equal(wp_sound_file_create(&file, config, NULL), WP_OK);
    for (size_t i = 0; i < N_FRAMES; i += n_call) {
        const size_t n_now = n_call < N_FRAMES - i ? n_call : N_FRAMES - i;
        const float *first = frames + i * (size_t)config->n_channels;
        assert_int_equal(wp_sound_file_write(file, first, n_now), WP_OK);
    }
    assert_int_equal(wp_sound_file_commit(file), WP_OK);
    assert_int_equal(wp_sound_file_clipped(file), 0);
    wp_sound_file_destroy(file);
    free(frames);
}

/* Reads N_FRAMES with libsndfile and compares them with the tones. */
static void assert_holds_tones(const char *path, int format, int n_channels, double tolerance)
{
    SF_INFO info = {0};
    SNDFILE *file = sf_open(path, SFM_READ, &info);
    assert_non_null(file);
    assert_int_equal(info.format, format);
    assert_int_equal(info.channels, n_channels);
    assert_int_equal(info.samplerate, RATE);
    assert_int_equal(info.frames, N_FRAMES);
    float *want = make_tones(N_FRAMES, n_channels);
    float *got = calloc(N_FRAMES * CHANNELS_MOST, sizeof *got);
    assert_non_null(got);
    assert_int_equal(sf_readf_float(file, got, N_FRAMES), N_FRAMES);
    double largest = 0.0;
    for (size_t i = 0; i < N_FRAMES * (size_t)n_channels; i++) {
        largest = fmax(largest, fabs((double)got[i] - (double)want[i]));
    }
    assert_true(largest <= tolerance);
    free(want);
    free(got);
    sf_close(file);
}

struct form {
    const char *name;
    enum wp_sample_format format;
    int n_channels;
    int sndfile_format;
    double tolerance; /* of full scale: dither and rounding reach 1.5 steps */
};

static void every_format_reads_back_as_it_was_written(void **state)
{
    const double step_16 = 1.0 / 32768.0;
    const double step_24 = 1.0 / 8388608.0;
    const struct form forms[] = {
        {"16.wav", WP_PCM_16, 2, SF_FORMAT_WAV | SF_FORMAT_PCM_16, 1.5 * step_16},
        {"24.wav", WP_PCM_24, 2, SF_FORMAT_WAV | SF_FORMAT_PCM_24, 1.5 * step_24},
        {"mono.WAV", WP_PCM_24, 1, SF_FORMAT_WAV | SF_FORMAT_PCM_24, 1.5 * step_24},
        {"float.wav", WP_FLOAT_32, 2, SF_FORMAT_WAV | SF_FORMAT_FLOAT, 0.0},
        {"many.wav", WP_PCM_24, 6, SF_FORMAT_WAVEX | SF_FORMAT_PCM_24, 1.5 * step_24},
        {"manyf.wav", WP_FLOAT_32, 6, SF_FORMAT_WAVEX | SF_FORMAT_FLOAT, 0.0},
        {"16.rf64", WP_PCM_16, 1, SF_FORMAT_RF64 | SF_FORMAT_PCM_16, 1.5 * step_16},
        {"24.rf64", WP_PCM_24, 2, SF_FORMAT_RF64 | SF_FORMAT_PCM_24, 1.5 * step_24},
        {"float.rf64", WP_FLOAT_32, 2, SF_FORMAT_RF64 | SF_FORMAT_FLOAT, 0.0},
        {"16.flac", WP_PCM_16, 2, SF_FORMAT_FLAC | SF_FORMAT_PCM_16, 1.5 * step_16},
        {"24.flac", WP_PCM_24, 6, SF_FORMAT_FLAC | SF_FORMAT_PCM_24, 1.5 * step_24},
    };
    for (size_t i = 0; i < sizeof forms / sizeof *forms; i++) {
        char path[SCRATCH_PATH_MAX];
        struct wp_sound_file_config config = stereo_24(scratch_path(state, forms[i].name, path));
        config.format = forms[i].format;
        config.n_channels = forms[i].n_channels;
        write_whole(&config, 1000);
        assert_holds_tones(path, forms[i].sndfile_format, forms[i].n_channels, forms[i].tolerance);
    }
}

static void tags_read_back(void **state)
{
    const char *const names[] = {"a.wav", "a.rf64", "a.flac"};
    for (size_t i = 0; i < 3; i++) {
        char path[SCRATCH_PATH_MAX];
        SF_INFO info = {0};
        const struct wp_sound_file_config config = stereo_24(scratch_path(state, names[i], path));
        write_whole(&config, N_FRAMES);
        SNDFILE *file = sf_open(path, SFM_READ, &info);
        assert_non_null(file);
        assert_string_equal(sf_get_string(file, SF_STR_TITLE), "Orchard six");
        assert_string_equal(sf_get_string(file, SF_STR_DATE), "2026-04-11T14:00:00Z");
        assert_string_equal(sf_get_string(file, SF_STR_COMMENT), "seed 42");
        assert_memory_equal(sf_get_string(file, SF_STR_SOFTWARE), "windpeal ", 9);
        sf_close(file);
    }
}

static void the_broadcast_extension_reads_back(void **state)
{
    char path[SCRATCH_PATH_MAX];
    SF_INFO info = {0};
    SF_BROADCAST_INFO bext;
    const struct wp_sound_file_config config = stereo_24(scratch_path(state, "a.wav", path));
    write_whole(&config, N_FRAMES);
    SNDFILE *file = sf_open(path, SFM_READ, &info);
    assert_non_null(file);
    assert_int_equal(sf_command(file, SFC_GET_BROADCAST_INFO, &bext, sizeof bext), SF_TRUE);
    assert_string_equal(bext.description, "Orchard six");
    assert_memory_equal(bext.origination_date, "2026-04-11", 10);
    assert_memory_equal(bext.origination_time, "14:00:00", 8);
    sf_close(file);
}

static void assert_same_bytes(void *const *state, const char *a, const char *b, bool is_same)
{
    size_t sizes[2] = {0, 0};
    char *bytes[2] = {scratch_read(state, a, &sizes[0]), scratch_read(state, b, &sizes[1])};
    assert_non_null(bytes[0]);
    assert_non_null(bytes[1]);
    assert_int_equal(sizes[0], sizes[1]);
    assert_int_equal(memcmp(bytes[0], bytes[1], sizes[0]) == 0, is_same);
    free(bytes[0]);
    free(bytes[1]);
}

static void the_split_into_calls_changes_no_byte(void **state)
{
    const char *const endings[] = {"wav", "flac", "rf64"};
    for (size_t i = 0; i < 3; i++) {
        const size_t calls[] = {N_FRAMES, 1, 479};
        char names[3][32];
        for (size_t k = 0; k < 3; k++) {
            char path[SCRATCH_PATH_MAX];
            snprintf(names[k], sizeof names[k], "%zu.%s", calls[k], endings[i]);
            const struct wp_sound_file_config config =
                stereo_24(scratch_path(state, names[k], path));
            write_whole(&config, calls[k]);
        }
        assert_same_bytes(state, names[0], names[1], true);
        assert_same_bytes(state, names[0], names[2], true);
    }
}

static void another_seed_gives_other_samples_except_in_float(void **state)
{
    const enum wp_sample_format formats[] = {WP_PCM_16, WP_PCM_24, WP_FLOAT_32};
    for (size_t i = 0; i < 3; i++) {
        char path[SCRATCH_PATH_MAX];
        struct wp_sound_file_config config = stereo_24(scratch_path(state, "a.wav", path));
        config.is_overwriting = true;
        config.format = formats[i];
        write_whole(&config, N_FRAMES);
        config.path = scratch_path(state, "b.wav", path);
        config.dither_seed++;
        write_whole(&config, N_FRAMES);
        assert_same_bytes(state, "a.wav", "b.wav", formats[i] == WP_FLOAT_32);
    }
}

/* 20 dB are a factor of 10 by definition; eight samples of 0.2 then do not fit. */
static void gain_applies_and_what_does_not_fit_is_counted(void **state)
{
    const enum wp_sample_format formats[] = {WP_PCM_16, WP_PCM_24, WP_FLOAT_32};
    const float frames[] = {0.2f,  -0.2f, 0.2f,  -0.2f, 0.2f,  -0.2f, 0.2f,   -0.2f,
                            0.05f, 0.05f, 0.05f, 0.05f, 0.05f, 0.05f, -0.05f, -0.05f};
    const float limits[] = {1.0f, 1.0f, 2.0f};
    for (size_t i = 0; i < 3; i++) {
        char path[SCRATCH_PATH_MAX];
        struct wp_sound_file *file;
        SF_INFO info = {0};
        float got[16] = {0.0f};
        struct wp_sound_file_config config = stereo_24(scratch_path(state, "a.wav", path));
        config.is_overwriting = true;
        config.format = formats[i];
        config.n_frames = 8;
        config.gain_db = 20.0;
        assert_int_equal(wp_sound_file_create(&file, &config, NULL), WP_OK);
        assert_int_equal(wp_sound_file_write(file, frames, 8), WP_OK);
        assert_int_equal(wp_sound_file_commit(file), WP_OK);
        assert_int_equal(wp_sound_file_clipped(file), 8);
        wp_sound_file_destroy(file);
        SNDFILE *reader = sf_open(path, SFM_READ, &info);
        assert_int_equal(sf_readf_float(reader, got, 8), 8);
        sf_close(reader);
        assert_true(fabsf(got[0] - limits[i]) < 1e-4f);
        assert_true(fabsf(got[1] + limits[i]) < 1e-4f);
        assert_true(fabsf(got[8] - 0.5f) < 1e-4f);
        assert_true(fabsf(got[15] + 0.5f) < 1e-4f);
    }
}

/* The status of creating the file; its finding must agree. Nothing may be left. */
static enum wp_status refusal(void *const *state, const char *name, enum wp_sample_format format,
                              int n_channels, int rate_hz)
{
    char path[SCRATCH_PATH_MAX];
    char part[SCRATCH_PATH_MAX + 8];
    struct wp_diags diags;
    struct wp_sound_file *file = NULL;
    struct wp_sound_file_config config = stereo_24(scratch_path(state, name, path));
    config.format = format;
    config.n_channels = n_channels;
    config.rate_hz = rate_hz;
    wp_diags_init(&diags);
    const enum wp_status status = wp_sound_file_create(&file, &config, &diags);
    assert_null(file);
    assert_int_equal(diags.n_errors, 1);
    assert_int_equal(diags.items[0].status, status);
    snprintf(part, sizeof part, "%s.part", path);
    assert_int_not_equal(access(path, F_OK), 0);
    assert_int_not_equal(access(part, F_OK), 0);
    return status;
}

static void what_cannot_be_written_is_refused_beforehand(void **state)
{
    assert_int_equal(refusal(state, "a.mp3", WP_PCM_24, 2, RATE), WP_E_UNKNOWN_NAME);
    assert_int_equal(refusal(state, "a", WP_PCM_24, 2, RATE), WP_E_UNKNOWN_NAME);
    assert_int_equal(refusal(state, ".wav", WP_PCM_24, 2, RATE), WP_E_UNKNOWN_NAME);
    assert_int_equal(refusal(state, "a.wav/b", WP_PCM_24, 2, RATE), WP_E_UNKNOWN_NAME);
    assert_int_equal(refusal(state, "a.flac", WP_FLOAT_32, 2, RATE), WP_E_CONFLICT);
    assert_int_equal(refusal(state, "a.flac", WP_PCM_24, 9, RATE), WP_E_RANGE);
    assert_int_equal(refusal(state, "a.wav", WP_PCM_24, 0, RATE), WP_E_RANGE);
    assert_int_equal(refusal(state, "a.wav", WP_PCM_24, 2, 0), WP_E_RANGE);
    assert_int_equal(refusal(state, "nowhere/a.wav", WP_PCM_24, 2, RATE), WP_E_IO);
}

/* No disk holds 2^46 frames of 6 bytes, 420 TB. */
static void a_disk_too_small_leaves_nothing(void **state)
{
    char path[SCRATCH_PATH_MAX];
    struct wp_diags diags;
    struct wp_sound_file *file;
    struct wp_sound_file_config config = stereo_24(scratch_path(state, "a.wav", path));
    config.n_frames = UINT64_C(1) << 46;
    wp_diags_init(&diags);
    assert_int_equal(wp_sound_file_create(&file, &config, &diags), WP_E_NO_SPACE);
    assert_int_equal(diags.n_errors, 1);
    assert_false(scratch_has(state, "a.wav.part"));
}

/* One file of a third of the free space fits, two fit beside each other, four do not. */
static void companions_need_room_as_well(void **state)
{
    char path[SCRATCH_PATH_MAX];
    char folder[SCRATCH_PATH_MAX];
    struct wp_sound_file *file;
    struct wp_diags diags;
    struct statvfs disk;
    struct wp_sound_file_config config = stereo_24(scratch_path(state, "a.wav", path));
    assert_int_equal(statvfs(scratch_path(state, "", folder), &disk), 0);
    config.n_frames = (uint64_t)disk.f_bavail * disk.f_frsize / 3 / 6;
    config.n_companions = 1;
    assert_int_equal(wp_sound_file_create(&file, &config, NULL), WP_OK);
    wp_sound_file_destroy(file);
    config.n_companions = 3;
    wp_diags_init(&diags);
    assert_int_equal(wp_sound_file_create(&file, &config, &diags), WP_E_NO_SPACE);
    assert_non_null(strstr(diags.items[0].message, "4 files"));
    assert_false(scratch_has(state, "a.wav.part"));
}

/* What is complete may be closed for good, but has no name yet. */
static void a_complete_file_waits_for_its_name(void **state)
{
    const char *const names[] = {"a.wav", "a.flac"};
    for (size_t i = 0; i < 2; i++) {
        char path[SCRATCH_PATH_MAX];
        struct wp_sound_file *file;
        const struct wp_sound_file_config config = stereo_24(scratch_path(state, names[i], path));
        float *frames = make_tones(N_FRAMES, 2);
        SF_INFO info = {0};
        assert_int_equal(wp_sound_file_create(&file, &config, NULL), WP_OK);
        assert_int_equal(wp_sound_file_write(file, frames, N_FRAMES), WP_OK);
        assert_int_equal(wp_sound_file_complete(file), WP_OK);
        assert_false(scratch_has(state, names[i]));
        assert_int_equal(wp_sound_file_commit(file), WP_OK);
        wp_sound_file_destroy(file);
        SNDFILE *reader = sf_open(path, SFM_READ, &info);
        assert_non_null(reader);
        assert_int_equal(info.frames, N_FRAMES);
        sf_close(reader);
        free(frames);
    }
}

/* Sizes past 4 GiB choose RF64 from the announced number of frames; the interrupted file then
 * speaks of what it holds. Skipped where the disk has no 5 GB. */
static void more_than_4_gib_become_rf64(void **state)
{
    char path[SCRATCH_PATH_MAX];
    struct wp_sound_file *file;
    SF_INFO info = {0};
    struct wp_sound_file_config config = stereo_24(scratch_path(state, "a.wav", path));
    config.n_frames = UINT64_C(5000000000) / 6;
    if (wp_sound_file_create(&file, &config, NULL) == WP_E_NO_SPACE) {
        skip();
    }
    float *frames = make_tones(N_FRAMES, 2);
    assert_int_equal(wp_sound_file_write(file, frames, N_FRAMES), WP_OK);
    wp_sound_file_destroy(file);
    free(frames);
    SNDFILE *reader = sf_open(scratch_path(state, "a.wav.part", path), SFM_READ, &info);
    assert_non_null(reader);
    assert_int_equal(info.format, SF_FORMAT_RF64 | SF_FORMAT_PCM_24);
    assert_int_equal(info.frames, N_FRAMES);
    sf_close(reader);
}

/* Runs a child whose standard output is the file or device; returns its status. */
static enum wp_status write_to_stdout(const char *target, uint64_t n_announced, size_t n_written)
{
    int how = 0;
    const pid_t child = fork();
    assert_true(child >= 0);
    if (child == 0) {
        struct wp_sound_file *file;
        struct wp_sound_file_config config = stereo_24("-");
        config.n_frames = n_announced;
        float *frames = make_tones(n_written, 2);
        const int descriptor = open(target, O_WRONLY | O_CREAT | O_TRUNC, 0600);
        if (descriptor < 0 || dup2(descriptor, STDOUT_FILENO) < 0) {
            _exit(255);
        }
        enum wp_status status = wp_sound_file_create(&file, &config, NULL);
        if (!status) {
            status = wp_sound_file_write(file, frames, n_written);
        }
        if (!status && n_written == n_announced) {
            status = wp_sound_file_commit(file);
        }
        _exit((int)status);
    }
    assert_int_equal(waitpid(child, &how, 0), child);
    assert_true(WIFEXITED(how));
    return (enum wp_status)WEXITSTATUS(how);
}

static void standard_output_gets_the_bytes_of_the_file(void **state)
{
    char path[SCRATCH_PATH_MAX];
    const struct wp_sound_file_config config = stereo_24(scratch_path(state, "a.wav", path));
    write_whole(&config, N_FRAMES);
    assert_int_equal(write_to_stdout(scratch_path(state, "stdout", path), N_FRAMES, N_FRAMES),
                     WP_OK);
    assert_same_bytes(state, "a.wav", "stdout", true);
}

/* /dev/full answers every write with ENOSPC (full(4)). */
static void a_full_standard_output_is_reported(void **state)
{
    (void)state;
    if (access("/dev/full", W_OK) != 0) {
        skip();
    }
    assert_int_equal(write_to_stdout("/dev/full", N_FRAMES, N_FRAMES), WP_E_NO_SPACE);
}

/* A day: the header names its 24.9 GB at once, whatever comes after. */
static void a_long_stream_starts_as_rf64(void **state)
{
    char path[SCRATCH_PATH_MAX];
    const uint64_t n_day = UINT64_C(86400) * RATE;
    uint64_t sizes[3];
    size_t size = 0;
    scratch_path(state, "stdout", path);
    if (mkfifo(path, 0600) != 0) {
        skip();
    }
    const pid_t reader = fork();
    assert_true(reader >= 0);
    if (reader == 0) {
        char command[3 * SCRATCH_PATH_MAX];
        snprintf(command, sizeof command, "cat '%s' > '%s.copy'", path, path);
        execl("/bin/sh", "sh", "-c", command, (char *)NULL);
        _exit(1);
    }
    assert_int_equal(write_to_stdout(path, n_day, 100), WP_OK);
    waitpid(reader, NULL, 0);
    char *bytes = scratch_read(state, "stdout.copy", &size);
    assert_non_null(bytes);
    assert_true(size > 600);
    assert_memory_equal(bytes, "RF64\xff\xff\xff\xffWAVEds64", 16);
    memcpy(sizes, bytes + 20, sizeof sizes);
    assert_int_equal(sizes[0], size - 600 - 8 + n_day * 6);
    assert_int_equal(sizes[1], n_day * 6);
    assert_int_equal(sizes[2], n_day);
    free(bytes);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_setup_teardown(every_format_reads_back_as_it_was_written, scratch_create,
                                        scratch_remove),
        cmocka_unit_test_setup_teardown(tags_read_back, scratch_create, scratch_remove),
        cmocka_unit_test_setup_teardown(the_broadcast_extension_reads_back, scratch_create,
                                        scratch_remove),
        cmocka_unit_test_setup_teardown(the_split_into_calls_changes_no_byte, scratch_create,
                                        scratch_remove),
        cmocka_unit_test_setup_teardown(another_seed_gives_other_samples_except_in_float,
                                        scratch_create, scratch_remove),
        cmocka_unit_test_setup_teardown(gain_applies_and_what_does_not_fit_is_counted,
                                        scratch_create, scratch_remove),
        cmocka_unit_test_setup_teardown(what_cannot_be_written_is_refused_beforehand,
                                        scratch_create, scratch_remove),
        cmocka_unit_test_setup_teardown(a_disk_too_small_leaves_nothing, scratch_create,
                                        scratch_remove),
        cmocka_unit_test_setup_teardown(companions_need_room_as_well, scratch_create,
                                        scratch_remove),
        cmocka_unit_test_setup_teardown(a_complete_file_waits_for_its_name, scratch_create,
                                        scratch_remove),
        cmocka_unit_test_setup_teardown(more_than_4_gib_become_rf64, scratch_create,
                                        scratch_remove),
        cmocka_unit_test_setup_teardown(standard_output_gets_the_bytes_of_the_file, scratch_create,
                                        scratch_remove),
        cmocka_unit_test_setup_teardown(a_full_standard_output_is_reported, scratch_create,
                                        scratch_remove),
        cmocka_unit_test_setup_teardown(a_long_stream_starts_as_rf64, scratch_create,
                                        scratch_remove),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
