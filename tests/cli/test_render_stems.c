/* SPDX-License-Identifier: MIT */
/* windpeal render --stems: one file a tube. */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/resource.h>
#include <sys/stat.h>
#include <unistd.h>

#include <cmocka.h>

#include "claims.h"
#include "sound.h"

enum { N_TUBES = 4 };

static const char *const STEMS[N_TUBES] = {"stems/tube-01-A4.wav", "stems/tube-02-C5.wav",
                                           "stems/tube-03-D5.wav", "stems/tube-04-E5.wav"};

/* The mix and the stems of every tube struck in turn. */
struct rendering {
    struct sound mix;
    struct sound stems[N_TUBES];
};

static void render(struct rendering *rendering, const char *bits, const char *level)
{
    struct program_run run;
    RUN(&run, "render", PROGRAM_SET, "--each", "-o", "mix.wav", "--overwrite", "--stems", "stems",
        "--bits", bits, "--level", level);
    claim_exit(&run, 0);
    program_run_finish(&run);
    sound_load(&rendering->mix, "mix.wav");
    for (int i = 0; i < N_TUBES; i++) {
        sound_load(&rendering->stems[i], STEMS[i]);
        assert_int_equal(rendering->stems[i].info.frames, rendering->mix.info.frames);
        assert_true(sound_peak(&rendering->stems[i], 0.0, 16.0) > 0.0);
    }
}

static void rendering_finish(struct rendering *rendering)
{
    for (int i = 0; i < N_TUBES; i++) {
        sound_finish(&rendering->stems[i]);
    }
    sound_finish(&rendering->mix);
}

/* Largest and root mean square difference between the mix and the sum of the stems. */
static double compare_sum(const struct rendering *rendering, double *rms)
{
    const size_t n = 2 * (size_t)rendering->mix.info.frames;
    double worst = 0.0;
    double power = 0.0;
    for (size_t i = 0; i < n; i++) {
        double sum = 0.0;
        for (int j = 0; j < N_TUBES; j++) {
            sum += rendering->stems[j].samples[i];
        }
        const double difference = sum - rendering->mix.samples[i];
        worst = fmax(worst, fabs(difference));
        power += difference * difference;
    }
    *rms = sqrt(power / (double)n);
    return worst;
}

static void stems_add_up_to_the_mix(void **state)
{
    (void)state;
    struct rendering rendering;
    double rms = 0.0;
    render(&rendering, "float", "web");
    assert_true(sound_peak(&rendering.mix, 0.0, 12.0) > 0.1);
    /* Float samples near full scale are rounded to 2^-24. */
    assert_true(compare_sum(&rendering, &rms) < 1e-6);
    rendering_finish(&rendering);
}

/* Rounding with triangular dither is off by 1.5 steps at most and has a variance of a quarter of a
 * squared step (Lipshitz, Wannamaker & Vanderkooy, J. Audio Eng. Soc. 40 (1992) 355). Five files
 * whose dithers know nothing of each other differ by the root of five quarters. */
static void stems_of_whole_numbers_add_up_within_their_rounding(void **state)
{
    (void)state;
    static const char *const levels[] = {"web", "calibrated"};
    const double step = 0x1p-15;
    for (int i = 0; i < 2; i++) {
        struct rendering rendering;
        double rms = 0.0;
        render(&rendering, "16", levels[i]);
        assert_true(compare_sum(&rendering, &rms) <= 1.5 * (N_TUBES + 1) * step);
        assert_true(fabs(rms / step - sqrt(0.25 * (N_TUBES + 1))) < 0.01);
        rendering_finish(&rendering);
    }
}

static void mono_stems_have_one_channel(void **state)
{
    (void)state;
    struct program_run run;
    struct sound stem;
    RUN(&run, "render", PROGRAM_SET, "--each", "-o", "mono.flac", "--channels", "mono", "--stems",
        "mono", "--rate", "44100");
    claim_exit(&run, 0);
    program_run_finish(&run);
    sound_load(&stem, "mono/tube-04-E5.flac");
    assert_int_equal(stem.info.channels, 1);
    assert_int_equal(stem.info.samplerate, 44100);
    assert_string_equal(stem.title, "Four of a kind, tube 4");
    sound_finish(&stem);
}

/* Signs that a shell or an address would take for their own are written out; a tube of a given
 * length has the note that it sounds. */
static void names_come_from_number_and_note(void **state)
{
    (void)state;
    static const char head[] = "tubes: {outer_diameter: 32 mm, wall: 1.6 mm, ";
    static const struct {
        const char *tubes;
        const char *name;
    } cases[] = {
        {"notes: [C#4, D4]}\n", "named/tube-01-Csharp4.wav"},
        {"notes: ['Bb3 -14', D4]}\n", "named/tube-01-Bb3-14.wav"},
        {"notes: ['F4 +36', D4]}\n", "named/tube-01-F4+36.wav"},
        {"lengths: [600 mm, 500 mm]}\n", "named/tube-01-C5.wav"},
    };
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        struct program_run run;
        char text[256];
        snprintf(text, sizeof text, "%s%s", head, cases[i].tubes);
        program_write_file("named.yaml", text);
        RUN(&run, "render", "named.yaml", "--each", "-o", "named.wav", "--overwrite", "--stems",
            "named", "--duration", "1 s");
        claim_exit(&run, 0);
        assert_true(program_has_file(cases[i].name));
        program_run_finish(&run);
    }
}

static void stems_in_the_way_stop_it_before_anything_is_written(void **state)
{
    (void)state;
    assert_int_equal(mkdir("taken", 0700), 0);
    program_write_file("taken/tube-03-D5.wav", "mine");
    claim_fails(2, WORDS("render", PROGRAM_SET, "--each", "-o", "late.wav", "--stems", "taken"),
                WORDS("taken/tube-03-D5.wav", "--overwrite"));
    claim_fails(
        2,
        WORDS("render", PROGRAM_SET, "--each", "-o", "late.wav", "--stems", "taken", "--dry-run"),
        WORDS("taken/tube-03-D5.wav", "--overwrite"));
    claim_fails(2, WORDS("render", PROGRAM_SET, "--each", "-o", "late.wav", "--stems", PROGRAM_SET),
                WORDS(PROGRAM_SET, "is a file; expected a folder"));
    claim_fails(2, WORDS("render", PROGRAM_SET, "--each", "-o", "late.wav", "--stems", "-"),
                WORDS("--stems", "expected a folder"));
    claim_fails(1, WORDS("render", PROGRAM_SET, "--each", "-o", "late.wav", "--stems", "no/where"),
                WORDS("no/where", "cannot create the folder"));
    assert_false(program_has_file("late.wav"));
    assert_false(program_has_file("late.wav.part"));
    assert_false(program_has_file("taken/tube-01-A4.wav.part"));
}

/* The folder must have room for all files, and is not left behind empty. A sound of a year takes
 * 9 TB, times five. */
static void room_is_looked_for_all_files_together(void **state)
{
    (void)state;
    claim_fails(1,
                WORDS("render", PROGRAM_SET, "--wind", "1 m/s", "--duration", "366 d", "-o",
                      "year.wav", "--stems", "year"),
                WORDS("year.wav", "not enough space", "5 files of"));
    claim_fails(1,
                WORDS("render", PROGRAM_SET, "--wind", "1 m/s", "--duration", "366 d", "-o",
                      "year.wav", "--dry-run"),
                WORDS("year.wav", "not enough space", "the file takes at least"));
    assert_false(program_has_file("year.wav.part"));
    assert_false(program_has_file("year"));
}

/* A size limit stands in for a disk that fills up: the limit admits every file at the beginning,
 * and the long tags are no part of what is announced. */
static void no_file_has_its_name_before_all_are_whole(void **state)
{
    (void)state;
    struct rlimit before;
    assert_int_equal(getrlimit(RLIMIT_FSIZE, &before), 0);
    const struct rlimit small = {.rlim_cur = 48000 * 6, .rlim_max = before.rlim_max};
    assert_int_equal(setrlimit(RLIMIT_FSIZE, &small), 0);
    claim_fails(1,
                WORDS("render", PROGRAM_SET, PROGRAM_WEATHER, "-o", "full.wav", "--duration", "1 s",
                      "--stems", "full"),
                WORDS("full", "no space", "make room"));
    assert_int_equal(setrlimit(RLIMIT_FSIZE, &before), 0);
    assert_false(program_has_file("full.wav"));
    assert_false(program_has_file("full/tube-01-A4.wav"));
    assert_false(program_has_file("full/tube-04-E5.wav"));
}

static void threads_change_no_byte(void **state)
{
    (void)state;
    static const char *const counts[] = {"1", "2", "7"};
    struct program_run run;
    for (size_t i = 0; i < sizeof counts / sizeof counts[0]; i++) {
        char mix[32];
        char folder[32];
        snprintf(mix, sizeof mix, "mix-%s.wav", counts[i]);
        snprintf(folder, sizeof folder, "by-%s", counts[i]);
        RUN(&run, "render", PROGRAM_SET, "--each", "-o", mix, "--stems", folder, "--duration",
            "3 s", "--level", "calibrated", "--threads", counts[i]);
        claim_exit(&run, 0);
        program_run_finish(&run);
        assert_true(sound_has_same_bytes("mix-1.wav", mix));
        for (int j = 0; j < N_TUBES; j++) {
            char one[64];
            char other[64];
            const char *name = strrchr(STEMS[j], '/');
            snprintf(one, sizeof one, "by-1%s", name);
            snprintf(other, sizeof other, "%s%s", folder, name);
            assert_true(sound_has_same_bytes(one, other));
        }
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(stems_add_up_to_the_mix),
        cmocka_unit_test(stems_of_whole_numbers_add_up_within_their_rounding),
        cmocka_unit_test(mono_stems_have_one_channel),
        cmocka_unit_test(names_come_from_number_and_note),
        cmocka_unit_test(stems_in_the_way_stop_it_before_anything_is_written),
        cmocka_unit_test(room_is_looked_for_all_files_together),
        cmocka_unit_test(threads_change_no_byte),
        cmocka_unit_test(no_file_has_its_name_before_all_are_whole),
    };
    return cmocka_run_group_tests(tests, program_enter_folder, program_leave_folder);
}
