/* SPDX-License-Identifier: MIT */
/* windpeal tubes: the table, the JSON, and set files that are wrong. */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include <cmocka.h>

#include "claims.h"

static void table_has_a_line_a_tube(void **state)
{
    (void)state;
    struct program_run run;
    RUN(&run, "tubes", PROGRAM_SET);
    claim_exit(&run, 0);
    claim_holds(run.out, "\n   1  A4 ");
    claim_holds(run.out, "\n   4  E5 ");
    claim_holds(run.out, "+-17 cents"); /* of aluminium 6063-T6 */
    assert_null(strstr(run.out, "+-43 cents"));
    claim_holds(run.out, "Hanging load");
    claim_holds(run.out, "Local codes");
    assert_null(strstr(run.out, "\033["));
    program_run_finish(&run);
}

static void inches_are_fractions(void **state)
{
    (void)state;
    struct program_run run;
    RUN(&run, "tubes", PROGRAM_SET, "--units", "inch", "--rule", "1/32 in", "--tolerance");
    claim_exit(&run, 0);
    claim_holds(run.out, " in ");
    claim_holds(run.out, "0.012 in"); /* ANSI H35.2: extruded, 1 to 2 in */
    claim_holds(run.out, "cents");
    assert_null(strstr(run.out, " mm"));
    program_run_finish(&run);
}

static json_t *tubes_json(const char *option, const char *value)
{
    struct program_run run;
    RUN(&run, "tubes", PROGRAM_SET, "--json", option, value);
    claim_exit(&run, 0);
    json_t *root = program_json(&run);
    program_run_finish(&run);
    return root;
}

/* Names of the fields that scripts rely on. */
static void json_has_every_field(void **state)
{
    (void)state;
    static const char *const numbers[] = {"number",   "length_m", "cut_length_m",
                                          "mass_kg",  "wall_m",   "outer_diameter_m",
                                          "first_hz", "heard_hz", "ovalling_from_hz"};
    static const char *const losses[] = {"material", "thermoelastic", "viscous", "radiation",
                                         "support"};
    json_t *root = tubes_json(NULL, NULL);
    assert_true(json_is_array(json_object_get(root, "warnings")));
    assert_true(claim_number(root, "warnings_left_out") == 0.0);
    const json_t *tubes = json_object_get(root, "tubes");
    assert_int_equal(json_array_size(tubes), 4);
    const json_t *tube = json_array_get(tubes, 0);
    for (size_t i = 0; i < sizeof numbers / sizeof numbers[0]; i++) {
        claim_number(tube, numbers[i]);
    }
    assert_string_equal(json_string_value(json_object_get(tube, "note")), "A4");
    assert_string_equal(json_string_value(json_object_get(tube, "heard_from")), "first partial");
    assert_int_equal(json_array_size(json_object_get(tube, "support_m")), 2);
    const json_t *partials = json_object_get(tube, "partials");
    assert_true(json_array_size(partials) >= 12);
    const json_t *first = json_array_get(partials, 0);
    assert_string_equal(json_string_value(json_object_get(first, "family")), "bending");
    assert_true(claim_number(first, "n") == 1.0);
    assert_true(claim_number(first, "hz") > 0.0 && claim_number(first, "t60_s") > 0.0);
    claim_number(first, "split_cents");
    assert_non_null(json_object_get(first, "level_db"));
    const double power_w = json_number_value(json_object_get(first, "power_w"));
    const double diffuse_db = json_number_value(json_object_get(first, "diffuse_db"));
    assert_true(power_w > 1e-12 && power_w < 1e-2);
    assert_true(fabs(diffuse_db - (10.0 * log10(power_w * 0.4) + 120.0)) < 0.01);
    for (size_t i = 0; i < sizeof losses / sizeof losses[0]; i++) {
        claim_number(json_object_get(first, "loss"), losses[i]);
    }
    json_decref(root);
}

/* Scientific pitch: A4 is 440 Hz (ISO 16:1975), C5 three equal-tempered semitones above it. */
static void lengths_sound_their_notes(void **state)
{
    (void)state;
    json_t *root = tubes_json(NULL, NULL);
    const json_t *tubes = json_object_get(root, "tubes");
    const double a4_hz = claim_number(json_array_get(tubes, 0), "first_hz");
    const double c5_hz = claim_number(json_array_get(tubes, 1), "first_hz");
    assert_true(fabs(a4_hz / 440.0 - 1.0) < 1e-4);
    assert_true(fabs(c5_hz / (440.0 * pow(2.0, 3.0 / 12.0)) - 1.0) < 1e-4);
    json_decref(root);
}

static void rule_rounds_the_cut_and_not_the_length(void **state)
{
    (void)state;
    json_t *root = tubes_json("--rule", "5 mm");
    const json_t *tube = json_array_get(json_object_get(root, "tubes"), 0);
    const double cut_m = claim_number(tube, "cut_length_m");
    assert_true(fabs(cut_m / 0.005 - round(cut_m / 0.005)) < 1e-6);
    assert_true(fabs(cut_m - claim_number(tube, "length_m")) <= 0.0025 + 1e-9);
    assert_true(fabs(cut_m - claim_number(tube, "length_m")) > 0.0);
    json_decref(root);
}

/* The set of the folder with one text replaced; the file is called bad.yaml. */
static void write_bad_set(const char *old, const char *new)
{
    char *text = program_read_file(PROGRAM_SET, NULL);
    const char *at = strstr(text, old);
    assert_non_null(at);
    const size_t size = strlen(text) + strlen(new) + 1;
    char *bad = malloc(size);
    assert_non_null(bad);
    snprintf(bad, size, "%.*s%s%s", (int)(at - text), text, new, at + strlen(old));
    program_write_file("bad.yaml", bad);
    free(bad);
    free(text);
}

/* Replaces one text of the set and expects one line with the place and the parts. */
static void claim_bad_set(const char *old, const char *new, const char *const parts[])
{
    write_bad_set(old, new);
    claim_fails(2, WORDS("tubes", "bad.yaml"), parts);
}

static void mistakes_are_found_at_their_place(void **state)
{
    (void)state;
    claim_bad_set("  mass:", "  mas:", WORDS("bad.yaml:12:3: ", "'mas'", "did you mean 'mass'?"));
    claim_bad_set("32 mm", "32", WORDS("bad.yaml:4:19: ", "32"));
    claim_bad_set("32 mm", "32 kg", WORDS("bad.yaml:4:19: ", "32 kg"));
    claim_bad_set("1.6 mm", "17 mm", WORDS("bad.yaml:5:9: ", "17", "radius"));
    claim_bad_set("[A4,", "[H4,", WORDS("bad.yaml:6:11: ", "H4"));
    claim_bad_set("[A4,", "[C10,", WORDS("bad.yaml:6:11: ", "C10"));
    claim_bad_set("aluminium 6063-T6", "alumnium 6063-T6", WORDS("bad.yaml:3:13: ", "aluminium"));
}

static void all_mistakes_come_in_one_run(void **state)
{
    (void)state;
    program_write_file("bad.yaml", "name: Two mistakes\n"
                                   "tubes:\n"
                                   "  outer_diameter: 32\n"
                                   "  wall: 1.6 mm\n"
                                   "  notes: [A4, C5]\n"
                                   "strikers:\n"
                                   "  mass: 60 g\n");
    struct program_run run;
    RUN(&run, "tubes", "bad.yaml", "--json");
    claim_exit(&run, 2);
    claim_holds(run.err, "bad.yaml:3:19: ");
    claim_holds(run.err, "bad.yaml:6:1: ");
    json_t *root = program_json(&run);
    const json_t *error = json_object_get(root, "error");
    assert_string_equal(json_string_value(json_object_get(error, "file")), "bad.yaml");
    assert_true(claim_number(error, "line") > 0.0);
    assert_true(claim_number(error, "column") > 0.0);
    assert_int_equal(json_array_size(json_object_get(root, "errors")), 2);
    json_decref(root);
    program_run_finish(&run);
}

static void bare_name_is_a_preset(void **state)
{
    (void)state;
    struct program_run run;
    char *text = program_read_file(PROGRAM_SET, NULL);
    mkdir("presets", 0700);
    program_write_file("presets/orchard.yaml", text);
    free(text);
    RUN(&run, "tubes", "orchard");
    claim_exit(&run, 0);
    claim_holds(run.out, "Four of a kind");
    program_run_finish(&run);
    claim_fails(2, WORDS("tubes", "orchart"), WORDS("orchart", "did you mean orchard?"));
    claim_fails(2, WORDS("tubes", "missing.yaml"), WORDS("missing.yaml", "check the name"));
    claim_fails(2, WORDS("tubes", "bells"),
                WORDS("bells", "presets: ", "orchard", "the path of a set file will do as well"));
    RUN(&run, "tubes", "--help");
    claim_exit(&run, 0);
    claim_holds(run.out, "Presets: ");
    claim_holds(run.out, "orchard");
    program_run_finish(&run);
    unlink("presets/orchard.yaml");
    rmdir("presets");
}

/* As U+266F is three bytes of UTF-8 and one column. */
static void musical_signs_do_not_shift_the_table(void **state)
{
    (void)state;
    struct program_run run;
    program_write_file("signs.yaml", "tubes: {outer_diameter: 20 mm, wall: 1.2 mm, "
                                     "notes: [A#4, A\xE2\x99\xAF"
                                     "4]}\n");
    RUN(&run, "tubes", "signs.yaml", "--tolerance");
    claim_exit(&run, 0);
    const char *table = run.out;
    for (int i = 0; i < 2; i++) { /* the tubes, then how far their pitches move */
        const char *first = strstr(table, "\n   1  A#4");
        assert_non_null(first);
        const char *second = strstr(first, "\n   2  A\xE2\x99\xAF");
        assert_non_null(second);
        assert_int_equal(strcspn(second + 1, "\n"), strcspn(first + 1, "\n") + 2);
        table = second;
    }
    program_run_finish(&run);
}

static void heard_pitch_is_spelt_as_the_note(void **state)
{
    (void)state;
    struct program_run run;
    program_write_file("flats.yaml",
                       "tubes: {outer_diameter: 20 mm, wall: 1.2 mm, notes: [Bb4, 'Eb5 -14']}\n");
    RUN(&run, "tubes", "flats.yaml");
    claim_exit(&run, 0);
    assert_non_null(strstr(run.out, " Hz Bb4 "));
    assert_non_null(strstr(run.out, " Hz Eb5 -14"));
    assert_null(strchr(run.out, '#'));
    program_run_finish(&run);
}

/* The length follows from the note, so this is known only when the tubes are solved. */
static void strike_above_a_tuned_tube_is_found_at_its_key(void **state)
{
    (void)state;
    program_write_file("high.yaml", "tubes: {outer_diameter: 20 mm, wall: 1.2 mm, notes: [G4]}\n"
                                    "striker:\n  strike_height: 2 m\n");
    claim_fails(2, WORDS("tubes", "high.yaml"),
                WORDS("high.yaml:3:18: the striker passes above tube 1"));
}

static void full_standard_output_is_an_error(void **state)
{
    (void)state;
    struct program_run run;
    char command[4300];
    snprintf(command, sizeof command, "'%s' tubes %s > /dev/full 2> full.err",
             getenv("WINDPEAL_PROGRAM"), PROGRAM_SET);
    const int result = system(command);
    run.err = program_read_file("full.err", NULL);
    assert_int_equal(result, 1 << 8);
    claim_holds(run.err, "standard output");
    free(run.err);
    snprintf(command, sizeof command, "'%s' tubes %s --json > /dev/full 2> full.err",
             getenv("WINDPEAL_PROGRAM"), PROGRAM_SET);
    assert_int_equal(system(command), 1 << 8);
    run.err = program_read_file("full.err", NULL);
    claim_holds(run.err, "No space left");
    free(run.err);
}

/* Rubber on metal tubes gives no tone (common practice, no source); hardwood does. */
static void striker_that_muffles_is_told(void **state)
{
    (void)state;
    struct program_run run;
    write_bad_set("hardwood", "soft rubber");
    RUN(&run, "tubes", "bad.yaml");
    claim_exit(&run, 0);
    claim_holds(run.out, "Note on tube 1: the striker is too soft");
    program_run_finish(&run);
    RUN(&run, "tubes", PROGRAM_SET);
    claim_exit(&run, 0);
    assert_null(strstr(run.out, "too soft"));
    program_run_finish(&run);
}

/* The set is A4, C5, D5, E5 by first partial: equal-tempered 300, 200, 200 cents. */
static void intervals_and_roughness_are_told(void **state)
{
    (void)state;
    static const double cents[] = {300.0, 200.0, 200.0};
    json_t *root = tubes_json("--intervals", NULL);
    const json_t *intervals = json_object_get(root, "intervals");
    assert_int_equal(json_array_size(intervals), 3);
    for (size_t i = 0; i < 3; i++) {
        const json_t *interval = json_array_get(intervals, i);
        assert_true(claim_number(interval, "from") == (double)i + 1.0);
        assert_true(claim_number(interval, "to") == (double)i + 2.0);
        assert_true(fabs(claim_number(interval, "cents") - cents[i]) < 0.1);
        const double roughness = claim_number(interval, "roughness");
        assert_true(roughness > 0.0 && claim_number(interval, "roughness_later") >= 0.0);
        const json_t *smoother = json_object_get(interval, "smoother");
        for (size_t n = 0; n < json_array_size(smoother); n++) {
            const json_t *place = json_array_get(smoother, n);
            assert_true(claim_number(place, "roughness") < roughness);
            assert_true(fabs(claim_number(place, "move_cents")) <= 60.0);
        }
    }
    const json_t *roughness = json_object_get(root, "roughness");
    assert_true(claim_number(roughness, "together") > 0.0);
    assert_true(claim_number(roughness, "later_s") == 0.5);
    json_decref(root);
    struct program_run run;
    RUN(&run, "tubes", PROGRAM_SET, "--intervals");
    claim_exit(&run, 0);
    claim_holds(run.out, "Intervals by first partial");
    claim_holds(run.out, "\n1 and 2    A4 C5 ");
    claim_holds(run.out, "\nall ");
    program_run_finish(&run);
}

/* Long tubes: the pitch is that of the notes to 0.1 cents, and said to be an estimate. */
static void lengths_sound_their_heard_pitch(void **state)
{
    (void)state;
    static const double notes_hz[] = {440.0, 523.2511306011972};
    write_bad_set("notes:", "tuned_to: heard pitch\n  notes:");
    struct program_run run;
    RUN(&run, "tubes", "bad.yaml", "--json");
    claim_exit(&run, 0);
    json_t *root = program_json(&run);
    program_run_finish(&run);
    for (size_t i = 0; i < 2; i++) {
        const json_t *tube = json_array_get(json_object_get(root, "tubes"), i);
        const double heard_hz = claim_number(tube, "heard_hz");
        assert_true(fabs(1200.0 * log2(heard_hz / notes_hz[i])) < 0.1);
        assert_true(claim_number(tube, "first_hz") < 0.3 * heard_hz);
        assert_true(claim_number(tube, "heard_uncertainty_cents") == 20.0);
        const double second_hz = claim_number(tube, "heard_second_hz");
        assert_true(second_hz < heard_hz && second_hz > 0.97 * heard_hz);
    }
    json_decref(root);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(table_has_a_line_a_tube),
        cmocka_unit_test(inches_are_fractions),
        cmocka_unit_test(json_has_every_field),
        cmocka_unit_test(lengths_sound_their_notes),
        cmocka_unit_test(rule_rounds_the_cut_and_not_the_length),
        cmocka_unit_test(mistakes_are_found_at_their_place),
        cmocka_unit_test(all_mistakes_come_in_one_run),
        cmocka_unit_test(bare_name_is_a_preset),
        cmocka_unit_test(musical_signs_do_not_shift_the_table),
        cmocka_unit_test(heard_pitch_is_spelt_as_the_note),
        cmocka_unit_test(strike_above_a_tuned_tube_is_found_at_its_key),
        cmocka_unit_test(full_standard_output_is_an_error),
        cmocka_unit_test(striker_that_muffles_is_told),
        cmocka_unit_test(intervals_and_roughness_are_told),
        cmocka_unit_test(lengths_sound_their_heard_pitch),
    };
    return cmocka_run_group_tests(tests, program_enter_folder, program_leave_folder);
}
