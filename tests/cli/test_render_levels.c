/* SPDX-License-Identifier: MIT */
/* windpeal render: the levels at the listener, and what is said about them. */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#include "../fourier.h"
#include "claims.h"
#include "sound.h"

/* Weighting A as a factor: IEC 61672-1, annex E, its poles rounded as most texts print them. */
static double a_weight(double freq_hz)
{
    const double f2 = freq_hz * freq_hz;
    return pow(10.0, 2.0 / 20.0) * 12194.0 * 12194.0 * f2 * f2 /
           ((f2 + 20.6 * 20.6) * sqrt((f2 + 107.7 * 107.7) * (f2 + 737.9 * 737.9)) *
            (f2 + 12194.0 * 12194.0));
}

/* The A-weighted pressure of one channel, weighted as a spectrum of the whole. */
static double complex *weigh(const struct sound *sound, size_t channel, size_t n)
{
    double complex *values = calloc(n, sizeof *values);
    assert_non_null(values);
    for (size_t i = 0; i < (size_t)sound->info.frames; i++) {
        values[i] = 20.0 * sound->samples[i * (size_t)sound->info.channels + channel];
    }
    fourier(values, n, -1.0);
    for (size_t k = 0; k < n; k++) {
        const size_t bin = k < n / 2 ? k : n - k;
        values[k] *= a_weight((double)bin * sound->info.samplerate / (double)n) / (double)n;
    }
    fourier(values, n, 1.0);
    return values;
}

/* LAeq and LAFmax of a calibrated file, the mean of two ears' powers: no filter is run. */
static void measure(const struct sound *sound, double *laeq_db, double *lafmax_db)
{
    const size_t n = 1 << 20; /* with seconds of silence behind, so that nothing wraps around */
    const size_t n_frames = (size_t)sound->info.frames;
    assert_true(n_frames + 48000 < n && sound->info.channels == 2);
    double complex *left = weigh(sound, 0, n);
    double complex *right = weigh(sound, 1, n);
    double energy = 0.0;
    double fast = 0.0;
    double fast_most = 0.0;
    for (size_t i = 0; i < n_frames; i++) {
        const double power = 0.5 * (pow(creal(left[i]), 2.0) + pow(creal(right[i]), 2.0));
        energy += power;
        fast += (power - fast) / (0.125 * sound->info.samplerate);
        fast_most = fmax(fast_most, fast);
    }
    *laeq_db = 10.0 * log10(energy / (double)n_frames / pow(20e-6, 2.0));
    *lafmax_db = 10.0 * log10(fast_most / pow(20e-6, 2.0));
    free(left);
    free(right);
}

/* Twelve seconds at a level; returns the report. */
static json_t *render(const char *level)
{
    struct program_run run;
    RUN(&run, "render", PROGRAM_SET, PROGRAM_WEATHER, "-o", "a.wav", "--duration", "12 s",
        "--overwrite", "--bits", "float", "--level", level, "--json");
    claim_exit(&run, 0);
    json_t *root = program_json(&run);
    program_run_finish(&run);
    return root;
}

/* The digital filter is 0.15 dB off the formula at 12.5 kHz, less where a chime sounds. */
static void told_levels_are_those_of_the_calibrated_file(void **state)
{
    (void)state;
    struct sound sound;
    double laeq_db = 0.0;
    double lafmax_db = 0.0;
    json_t *root = render("calibrated");
    sound_load(&sound, "a.wav");
    measure(&sound, &laeq_db, &lafmax_db);
    assert_true(fabs(claim_number(root, "laeq_db") - laeq_db) < 0.1);
    assert_true(fabs(claim_number(root, "lafmax_db") - lafmax_db) < 0.1);
    sound_finish(&sound);
    json_decref(root);
}

/* The gain of the file is no business of the listener beside the set. */
static void every_profile_tells_the_same_levels(void **state)
{
    (void)state;
    static const char *const levels[] = {"web", "broadcast"};
    json_t *calibrated = render("calibrated");
    for (size_t i = 0; i < 2; i++) {
        json_t *root = render(levels[i]);
        assert_true(claim_number(root, "laeq_db") == claim_number(calibrated, "laeq_db"));
        assert_true(claim_number(root, "lafmax_db") == claim_number(calibrated, "lafmax_db"));
        json_decref(root);
    }
    json_decref(calibrated);
}

static void verdict_goes_with_the_levels(void **state)
{
    (void)state;
    json_t *root = render("calibrated");
    const json_t *verdict = json_object_get(root, "verdict");
    const double lafmax_db = claim_number(root, "lafmax_db");
    const char *heard = json_string_value(json_object_get(verdict, "audibility"));
    assert_non_null(heard);
    assert_true((lafmax_db >= 60.0) ==
                (strstr(heard, "over talk") != NULL || strstr(heard, "drowns") != NULL));
    claim_holds(json_string_value(json_object_get(verdict, "text")), "Heard at 3.0 m");
    /* 3 m to the side and 0.4 m up, the default. */
    const double distance_m = claim_number(verdict, "distance_m");
    assert_true(fabs(distance_m - hypot(3.0, 0.4)) < 1e-9);
    const double excess_db =
        fmax(claim_number(root, "laeq_db") - 40.0, lafmax_db - 60.0); /* WHO, 2009 and 1999 */
    assert_true(fabs(20.0 * log10(claim_number(verdict, "night_guideline_m") / distance_m) -
                     excess_db) < 1e-6);
    json_decref(root);
}

/* What a run prints for people. */
static char *report(const char *const options[])
{
    const char *words[24] = {"render", PROGRAM_SET, "-o", "b.wav", "--overwrite"};
    struct program_run run;
    for (size_t i = 0; options[i]; i++) {
        words[5 + i] = options[i];
    }
    program_run(&run, words);
    claim_exit(&run, 0);
    free(run.err);
    return run.out;
}

static void report_says_what_levels_mean(void **state)
{
    (void)state;
    char *text = report(WORDS("--each"));
    claim_holds(text, "LAeq ");
    claim_holds(text, "Heard at 3.0 m");
    claim_holds(text, "Hearing: ");
    claim_holds(text, "Neighbours: ");
    claim_holds(text, "local rules decide");
    claim_holds(text, "Start playback quietly");
    free(text);
}

/* Behind walls no distance can be told from the level at one place. */
static void room_is_told_apart_from_the_open(void **state)
{
    (void)state;
    struct program_run run;
    program_write_file("hall.yaml",
                       "tubes: {outer_diameter: 32 mm, wall: 1.6 mm, notes: [A4, C5, D5]}\n"
                       "listener: {distance: 1.5 m}\n"
                       "room: {size: [6 m, 5 m, 3 m], decay: 0.5 s}\n");
    RUN(&run, "render", "hall.yaml", "--each", "-o", "hall.wav", "--overwrite");
    claim_exit(&run, 0);
    claim_holds(run.out, "in a room the level hardly falls with distance");
    assert_null(strstr(run.out, "doubling of the distance"));
    program_run_finish(&run);
    RUN(&run, "render", "hall.yaml", "--each", "-o", "hall.wav", "--overwrite", "--json");
    claim_exit(&run, 0);
    json_t *root = program_json(&run);
    const json_t *verdict = json_object_get(root, "verdict");
    assert_true(json_is_null(json_object_get(verdict, "night_guideline_m")));
    assert_true(claim_number(verdict, "distance_m") > 1.5);
    json_decref(root);
    program_run_finish(&run);
}

static void silence_is_told_without_levels(void **state)
{
    (void)state;
    char *text = report(WORDS("--wind", "0 m/s", "--duration", "3 s"));
    claim_holds(text, "Nothing sounds");
    assert_null(strstr(text, "nan"));
    assert_null(strstr(text, "Neighbours"));
    free(text);
}

/* One hard strike after soft ones keeps the file from -16 LUFS. */
static void peak_bound_file_says_by_how_much_and_what_helps(void **state)
{
    (void)state;
    program_write_file("one.csv", "t_s,tube,speed_m_s\n0.5,1,0.02\n3,2,0.02\n5,3,1\n");
    char *text = report(WORDS("--strikes", "one.csv", "--channels", "mono"));
    claim_holds(text, "LU short of -16 LUFS");
    claim_holds(text, "limiter in an audio editor");
    free(text);
}

static void calibrated_file_warns_of_its_strikes(void **state)
{
    (void)state;
    char *text = report(WORDS("--each", "--level", "calibrated", "--bits", "16"));
    claim_holds(text, "full scale is a sound pressure of 20 Pa");
    claim_holds(text, "do not turn it up");
    claim_holds(text, "--bits float");
    /* 20 Pa / 100 / sqrt 2 over 20 uPa. */
    assert_true(fabs(20.0 * log10(20.0 * 0.01 / sqrt(2.0) / 20e-6) - 77.0) < 0.05);
    claim_holds(text, "77 dB");
    free(text);
}

static void loudspeakers_are_told_their_tubes(void **state)
{
    (void)state;
    char *text = report(WORDS("--each", "--channels", "tubes"));
    claim_holds(text, "place of tube 1");
    free(text);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(told_levels_are_those_of_the_calibrated_file),
        cmocka_unit_test(every_profile_tells_the_same_levels),
        cmocka_unit_test(verdict_goes_with_the_levels),
        cmocka_unit_test(report_says_what_levels_mean),
        cmocka_unit_test(room_is_told_apart_from_the_open),
        cmocka_unit_test(silence_is_told_without_levels),
        cmocka_unit_test(peak_bound_file_says_by_how_much_and_what_helps),
        cmocka_unit_test(calibrated_file_warns_of_its_strikes),
        cmocka_unit_test(loudspeakers_are_told_their_tubes),
    };
    return cmocka_run_group_tests(tests, program_enter_folder, program_leave_folder);
}
