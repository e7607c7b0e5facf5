/* SPDX-License-Identifier: MIT */
/* windpeal render: what is in the sound files. */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>
#include <ebur128.h>

#include "claims.h"
#include "sound.h"

#define SHORT "--duration", "12 s", "--overwrite"

/* Renders with words behind set and weather; returns the report. */
static json_t *render(const char *const options[])
{
    const char *words[32] = {"render", PROGRAM_SET, PROGRAM_WEATHER, "--json"};
    size_t n = 4;
    for (size_t i = 0; options[i]; i++) {
        words[n++] = options[i];
    }
    struct program_run run;
    program_run(&run, words);
    claim_exit(&run, 0);
    json_t *root = program_json(&run);
    program_run_finish(&run);
    return root;
}

static void file_is_as_long_as_asked(void **state)
{
    (void)state;
    struct sound sound;
    json_t *root = render(WORDS("-o", "a.wav", SHORT));
    sound_load(&sound, "a.wav");
    assert_int_equal(sound.info.frames, 12 * 48000);
    assert_int_equal(sound.info.samplerate, 48000);
    assert_int_equal(sound.info.channels, 2);
    assert_int_equal(sound.info.format & SF_FORMAT_SUBMASK, SF_FORMAT_PCM_24);
    assert_true(claim_number(root, "frames") == 12.0 * 48000.0);
    assert_true(claim_number(root, "rate_hz") == 48000.0);
    assert_true(claim_number(root, "channels") == 2.0);
    assert_true(claim_number(root, "seed") == 1.0);
    assert_true(claim_number(root, "clipped") == 0.0);
    assert_true(claim_number(root, "strikes") > 0.0);
    assert_true(claim_number(root, "times_real_time") > 0.0);
    assert_false(program_has_file("a.wav.part"));
    sound_finish(&sound);
    json_decref(root);
}

static void tags_tell_set_seed_and_weather(void **state)
{
    (void)state;
    struct sound sound;
    json_decref(render(WORDS("-o", "a.wav", SHORT, "--start", "14:05", "--seed", "5")));
    sound_load(&sound, "a.wav");
    assert_string_equal(sound.title, "Four of a kind");
    assert_string_equal(sound.date, "2026-04-11T14:05:00Z");
    claim_holds(sound.comment, "seed: 5");
    claim_holds(sound.comment, "Four of a kind");
    sound_finish(&sound);
}

static void same_seed_same_bytes(void **state)
{
    (void)state;
    struct sound one;
    struct sound other;
    json_decref(render(WORDS("-o", "one.wav", SHORT)));
    json_decref(render(WORDS("-o", "again.wav", SHORT)));
    json_decref(render(WORDS("-o", "other.wav", SHORT, "--seed", "2")));
    assert_true(sound_has_same_bytes("one.wav", "again.wav"));
    sound_load(&one, "one.wav");
    sound_load(&other, "other.wav");
    assert_false(sound_is_same(&one, &other));
    sound_finish(&one);
    sound_finish(&other);
}

static void list_of_strikes_plays_back(void **state)
{
    (void)state;
    struct sound wind;
    struct sound list;
    struct program_run run;
    json_decref(render(WORDS("-o", "wind.wav", SHORT, "--level", "calibrated")));
    RUN(&run, "strikes", PROGRAM_SET, PROGRAM_WEATHER, "-o", "list.csv", SHORT);
    claim_exit(&run, 0);
    program_run_finish(&run);
    RUN(&run, "render", PROGRAM_SET, "--strikes", "list.csv", "-o", "list.wav", SHORT, "--level",
        "calibrated");
    claim_exit(&run, 0);
    program_run_finish(&run);
    sound_load(&wind, "wind.wav");
    sound_load(&list, "list.wav");
    assert_true(sound_peak(&wind, 0.0, 12.0) > 0.0);
    assert_true(sound_is_same(&wind, &list));
    sound_finish(&wind);
    sound_finish(&list);
}

static void weather_fades_at_its_end(void **state)
{
    (void)state;
    struct sound sound;
    json_decref(render(WORDS("-o", "a.wav", SHORT, "--level", "calibrated", "--bits", "float")));
    sound_load(&sound, "a.wav");
    assert_true(sound_peak(&sound, 11.99, 12.0) < 1e-3 * sound_peak(&sound, 0.0, 10.0));
    sound_finish(&sound);
}

/* Plays a list of two strikes for a time, calibrated, as floating point. */
static void play_list(struct sound *sound, const char *path, const char *duration)
{
    struct program_run run;
    program_write_file("two.csv", "t_s,tube,speed_m_s\n0.5,1,0.5\n9.0,2,0.5\n");
    RUN(&run, "render", PROGRAM_SET, "--strikes", "two.csv", "-o", path, "--overwrite", "--level",
        "calibrated", "--bits", "float", "--duration", duration);
    claim_exit(&run, 0);
    program_run_finish(&run);
    sound_load(sound, path);
}

/* A raised cosine of 2 seconds is at one half after 1 second. */
static void fade_leaves_what_comes_before_alone(void **state)
{
    (void)state;
    struct sound faded;
    struct sound longer;
    play_list(&faded, "faded.wav", "12 s");
    play_list(&longer, "longer.wav", "20 s");
    assert_memory_equal(faded.samples, longer.samples, 10 * 48000 * 2 * sizeof(double));
    double sum = 0.0;
    double longer_sum = 0.0;
    for (size_t i = 10995 * 96; i < 11005 * 96; i++) {
        sum += fabs(faded.samples[i]);
        longer_sum += fabs(longer.samples[i]);
    }
    assert_true(longer_sum > 0.0 && fabs(sum / longer_sum - 0.5) < 0.01);
    sound_finish(&faded);
    sound_finish(&longer);
}

static void each_tube_rings_once_and_then_all(void **state)
{
    (void)state;
    struct program_run run;
    RUN(&run, "render", PROGRAM_SET, "--each", "-o", "each.wav", "--overwrite", "--json");
    claim_exit(&run, 0);
    json_t *root = program_json(&run);
    assert_true(claim_number(root, "strikes") == 8.0);
    assert_true(program_has_file("each.wav"));
    json_decref(root);
    program_run_finish(&run);
}

/* Targets: -16 and -23 LUFS (EBU R 128), true peak never above -1 dBTP. */
static void level_is_bound_by_target_or_peak(void **state)
{
    (void)state;
    static const struct {
        const char *name;
        double target_lufs;
    } profiles[] = {{"web", -16.0}, {"broadcast", -23.0}};
    for (size_t i = 0; i < 2; i++) {
        json_t *root = render(WORDS("-o", "a.wav", SHORT, "--level", profiles[i].name));
        const double lufs = claim_number(root, "integrated_lufs");
        const double peak_dbtp = claim_number(root, "true_peak_dbtp");
        const char *bound = json_string_value(json_object_get(root, "bound_by"));
        assert_non_null(bound);
        assert_true(peak_dbtp < -0.99 && lufs < profiles[i].target_lufs + 0.01);
        if (strcmp(bound, "target") == 0) {
            assert_true(fabs(lufs - profiles[i].target_lufs) < 0.01);
        } else {
            assert_true(fabs(peak_dbtp + 1.0) < 0.01);
        }
        json_decref(root);
    }
}

/* Loudness and true peak of the written file by libebur128 alone. */
static void measure(const char *path, double *lufs, double *peak_dbtp)
{
    struct sound sound;
    double highest = 0.0;
    sound_load(&sound, path);
    ebur128_state *meter = ebur128_init(2, 48000, EBUR128_MODE_I | EBUR128_MODE_TRUE_PEAK);
    assert_non_null(meter);
    ebur128_add_frames_double(meter, sound.samples, (size_t)sound.info.frames);
    assert_int_equal(ebur128_loudness_global(meter, lufs), EBUR128_SUCCESS);
    for (unsigned int channel = 0; channel < 2; channel++) {
        double value = 0.0;
        assert_int_equal(ebur128_true_peak(meter, channel, &value), EBUR128_SUCCESS);
        highest = fmax(highest, value);
    }
    *peak_dbtp = 20.0 * log10(highest);
    ebur128_destroy(&meter);
    sound_finish(&sound);
}

static void told_loudness_and_peak_are_those_of_the_file(void **state)
{
    (void)state;
    static const char *const levels[] = {"web", "broadcast"};
    for (size_t i = 0; i < 2; i++) {
        json_t *root = render(WORDS("-o", "a.wav", SHORT, "--level", levels[i]));
        double lufs = 0.0;
        double peak_dbtp = 0.0;
        measure("a.wav", &lufs, &peak_dbtp);
        assert_true(fabs(lufs - claim_number(root, "integrated_lufs")) < 0.05);
        assert_true(fabs(peak_dbtp - claim_number(root, "true_peak_dbtp")) < 0.01);
        assert_true(peak_dbtp < -0.99);
        json_decref(root);
    }
}

static void calibrated_level_has_no_gain(void **state)
{
    (void)state;
    json_t *root = render(WORDS("-o", "a.wav", SHORT, "--level", "calibrated"));
    assert_true(claim_number(root, "gain_db") == 0.0);
    assert_true(json_is_null(json_object_get(root, "bound_by")));
    assert_true(claim_number(root, "lafmax_db") >= claim_number(root, "laeq_db"));
    json_decref(root);
}

static void silence_has_no_loudness(void **state)
{
    (void)state;
    struct program_run run;
    RUN(&run, "render", PROGRAM_SET, "--wind", "0 m/s", "-o", "calm.wav", SHORT, "--json");
    claim_exit(&run, 0);
    json_t *root = program_json(&run);
    assert_true(claim_number(root, "strikes") == 0.0);
    assert_true(json_is_null(json_object_get(root, "integrated_lufs")));
    json_decref(root);
    program_run_finish(&run);
}

static void formats_and_channels_are_as_asked(void **state)
{
    (void)state;
    static const struct {
        const char *path, *rate, *bits, *channels;
        int rate_hz, format, n_channels;
    } cases[] = {
        {"f.wav", "96000", "float", "mono", 96000, SF_FORMAT_FLOAT, 1},
        {"f.flac", "44100", "16", "tubes", 44100, SF_FORMAT_PCM_16, 4},
        {"f.rf64", "88200", "24", "stereo", 88200, SF_FORMAT_PCM_24, 2},
    };
    for (size_t i = 0; i < 3; i++) {
        struct sound sound;
        json_decref(render(WORDS("-o", cases[i].path, "--duration", "3 s", "--rate", cases[i].rate,
                                 "--bits", cases[i].bits, "--channels", cases[i].channels)));
        sound_load(&sound, cases[i].path);
        assert_int_equal(sound.info.samplerate, cases[i].rate_hz);
        assert_int_equal(sound.info.format & SF_FORMAT_SUBMASK, cases[i].format);
        assert_int_equal(sound.info.channels, cases[i].n_channels);
        assert_int_equal(sound.info.frames, 3 * cases[i].rate_hz);
        sound_finish(&sound);
    }
}

static void dry_run_writes_nothing(void **state)
{
    (void)state;
    json_t *root = render(WORDS("-o", "dry.wav", "--duration", "12 s", "--dry-run"));
    assert_true(claim_number(root, "frames") == 12.0 * 48000.0);
    assert_true(claim_number(root, "sample_bytes") == 12.0 * 48000.0 * 2.0 * 3.0);
    assert_false(program_has_file("dry.wav"));
    assert_false(program_has_file("dry.wav.part"));
    claim_fails(2, WORDS("render", PROGRAM_SET, "--each", "-o", "dry.mp3", "--dry-run"),
                WORDS("dry.mp3", ".wav"));
    claim_fails(1, WORDS("render", PROGRAM_SET, "--each", "-o", "no/dry.wav", "--dry-run"),
                WORDS("no/dry.wav", "make the folder first"));
    program_write_file("dry.wav", "mine");
    claim_fails(2, WORDS("render", PROGRAM_SET, "--each", "-o", "dry.wav", "--dry-run"),
                WORDS("dry.wav", "--overwrite"));
    assert_int_equal(remove("dry.wav"), 0);
    json_decref(root);
}

static void wav_goes_to_standard_output(void **state)
{
    (void)state;
    struct program_run run;
    RUN(&run, "render", PROGRAM_SET, PROGRAM_WEATHER, "-o", "-", "--duration", "2 s");
    claim_exit(&run, 0);
    claim_holds(run.err, "standard output");
    program_run_finish(&run);
    struct sound sound;
    sound_load(&sound, "run.out");
    assert_int_equal(sound.info.frames, 2 * 48000);
    sound_finish(&sound);
}

static void weather_and_lists_exclude_each_other(void **state)
{
    (void)state;
    claim_fails(2, WORDS("render", PROGRAM_SET, PROGRAM_WEATHER, "--each", "-o", "x.wav"),
                WORDS("--each takes no weather"));
    claim_fails(2, WORDS("render", PROGRAM_SET, "--each", "--wind", "5 m/s", "-o", "x.wav"),
                WORDS("--each takes no weather", "--wind"));
    claim_fails(2, WORDS("render", PROGRAM_SET, "--each", "-o", "b.wav", "--missing", "99"),
                WORDS("--each takes no weather", "--missing"));
    claim_fails(2, WORDS("render", PROGRAM_SET, "--each", "--strikes", "l.csv", "-o", "x.wav"),
                WORDS("--each", "--strikes", "exclude"));
    claim_fails(2, WORDS("render", PROGRAM_SET, "-o", "x.wav"), WORDS("no weather given"));
    claim_fails(2, WORDS("render", PROGRAM_SET, PROGRAM_WEATHER), WORDS("-o FILE"));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(file_is_as_long_as_asked),
        cmocka_unit_test(tags_tell_set_seed_and_weather),
        cmocka_unit_test(same_seed_same_bytes),
        cmocka_unit_test(list_of_strikes_plays_back),
        cmocka_unit_test(weather_fades_at_its_end),
        cmocka_unit_test(fade_leaves_what_comes_before_alone),
        cmocka_unit_test(each_tube_rings_once_and_then_all),
        cmocka_unit_test(level_is_bound_by_target_or_peak),
        cmocka_unit_test(told_loudness_and_peak_are_those_of_the_file),
        cmocka_unit_test(calibrated_level_has_no_gain),
        cmocka_unit_test(silence_has_no_loudness),
        cmocka_unit_test(formats_and_channels_are_as_asked),
        cmocka_unit_test(dry_run_writes_nothing),
        cmocka_unit_test(wav_goes_to_standard_output),
        cmocka_unit_test(weather_and_lists_exclude_each_other),
    };
    return cmocka_run_group_tests(tests, program_enter_folder, program_leave_folder);
}
