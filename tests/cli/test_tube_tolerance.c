/* SPDX-License-Identifier: MIT */
/* windpeal tubes --tolerance and --sample. */
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

static void tolerance_table_names_its_standards(void **state)
{
    (void)state;
    struct program_run run;
    RUN(&run, "tubes", PROGRAM_SET, "--tolerance");
    claim_exit(&run, 0);
    claim_holds(run.out, "How far the pitch moves");
    claim_holds(run.out, "ASTM B221 and B241 (ANSI H35.2)");
    claim_holds(run.out, "EN 754-7");
    claim_holds(run.out, "from memory");
    claim_holds(run.out, "Stiffness of aluminium 6063-T6");
    claim_holds(run.out, "+-2 %");
    program_run_finish(&run);
    RUN(&run, "tubes", PROGRAM_SET);
    assert_null(strstr(run.out, "How far the pitch moves"));
    program_run_finish(&run);
}

/* Of what the four tubes (aluminium, 32 mm x 1.6 mm) move by: ln f goes with half of ln E. */
static void tolerance_json_has_every_slope(void **state)
{
    (void)state;
    static const char *const slopes[] = {"wall_tenth_mm", "diameter_tenth_mm", "length_mm",
                                         "stiffness_percent", "kelvin"};
    struct program_run run;
    RUN(&run, "tubes", PROGRAM_SET, "--tolerance", "--json");
    claim_exit(&run, 0);
    json_t *root = program_json(&run);
    program_run_finish(&run);
    const json_t *tolerances = json_object_get(root, "tolerance");
    assert_int_equal(json_array_size(tolerances), 4);
    const json_t *tube = json_array_get(tolerances, 3);
    assert_true(claim_number(tube, "number") == 4.0);
    const json_t *per = json_object_get(tube, "cents_per");
    for (size_t i = 0; i < sizeof slopes / sizeof slopes[0]; i++) {
        assert_true(fabs(claim_number(per, slopes[i])) > 0.1);
    }
    assert_true(fabs(claim_number(per, "stiffness_percent") - 8.656) < 0.001);
    const json_t *stock = json_array_get(json_object_get(tube, "stock"), 0);
    assert_true(claim_number(stock, "together_cents") > claim_number(stock, "stiffness_cents"));
    assert_true(json_is_false(json_object_get(stock, "from_memory")));
    assert_true(claim_number(json_object_get(tube, "material_uncertainty"), "stiffness") == 0.02);
    json_decref(root);
}

static void sample_writes_sets_that_render(void **state)
{
    (void)state;
    struct program_run run;
    RUN(&run, "tubes", PROGRAM_SET, "--sample", "3", "--out-dir", "bought");
    claim_exit(&run, 0);
    claim_holds(run.out, "bought/four-sample-03.yaml");
    claim_holds(run.out, "Pitch against the sheet");
    program_run_finish(&run);
    RUN(&run, "render", "bought/four-sample-02.yaml", "--each", "-o", "two.wav");
    claim_exit(&run, 0);
    claim_holds(run.out, "Four of a kind, sample 2");
    program_run_finish(&run);
    assert_true(program_has_file("two.wav"));
    assert_false(program_has_file("bought/four-sample-01.yaml.part"));
}

static void sample_keeps_lengths_and_moves_pitches(void **state)
{
    (void)state;
    struct program_run run;
    RUN(&run, "tubes", PROGRAM_SET, "--sample", "1", "--seed", "5", "--out-dir", "one", "--json",
        "--rule", "0.5 mm");
    claim_exit(&run, 0);
    json_t *sheet = program_json(&run);
    program_run_finish(&run);
    const json_t *sample = json_object_get(sheet, "sample");
    assert_int_equal(json_array_size(json_object_get(sample, "files")), 1);
    assert_true(claim_number(sample, "seed") == 5.0);
    RUN(&run, "tubes", "one/four-sample-01.yaml", "--json");
    claim_exit(&run, 0);
    json_t *cut = program_json(&run);
    program_run_finish(&run);
    for (size_t i = 0; i < 4; i++) {
        const json_t *wanted = json_array_get(json_object_get(sheet, "tubes"), i);
        const json_t *got = json_array_get(json_object_get(cut, "tubes"), i);
        const json_t *spread = json_array_get(json_object_get(sample, "tubes"), i);
        const double cents =
            1200.0 * log2(claim_number(got, "first_hz") / claim_number(wanted, "first_hz"));
        assert_true(fabs(claim_number(got, "cut_length_m") - claim_number(wanted, "cut_length_m")) <
                    1e-9);
        assert_true(fabs(cents - claim_number(spread, "mean_cents")) < 0.01);
        assert_true(fabs(cents) > 0.001);
    }
    json_decref(cut);
    json_decref(sheet);
}

static void same_seed_writes_the_same_bytes(void **state)
{
    (void)state;
    struct program_run run;
    RUN(&run, "tubes", PROGRAM_SET, "--sample", "2", "--seed", "9", "--out-dir", "a");
    program_run_finish(&run);
    RUN(&run, "tubes", PROGRAM_SET, "--sample", "2", "--seed", "9", "--out-dir", "b");
    program_run_finish(&run);
    char *a = program_read_file("a/four-sample-02.yaml", NULL);
    char *b = program_read_file("b/four-sample-02.yaml", NULL);
    assert_string_equal(a, b);
    free(a);
    free(b);
}

/* All or nothing: where the second of three stands already, no first and no third appears. */
static void existing_file_stops_all_without_overwrite(void **state)
{
    (void)state;
    mkdir("c", 0700);
    program_write_file("c/four-sample-02.yaml", "mine\n");
    claim_fails(2, WORDS("tubes", PROGRAM_SET, "--sample", "3", "--out-dir", "c"),
                WORDS("c/four-sample-02.yaml", "exists already", "--overwrite"));
    assert_false(program_has_file("c/four-sample-01.yaml"));
    assert_false(program_has_file("c/four-sample-01.yaml.part"));
    assert_false(program_has_file("c/four-sample-03.yaml"));
    char *mine = program_read_file("c/four-sample-02.yaml", NULL);
    assert_string_equal(mine, "mine\n");
    free(mine);
    struct program_run run;
    RUN(&run, "tubes", PROGRAM_SET, "--sample", "3", "--out-dir", "c", "--overwrite");
    claim_exit(&run, 0);
    program_run_finish(&run);
    assert_true(program_has_file("c/four-sample-01.yaml"));
}

static void wrong_sampling_is_refused(void **state)
{
    (void)state;
    claim_fails(2, WORDS("tubes", PROGRAM_SET, "--sample", "0"), WORDS("--sample", "1 to 100"));
    claim_fails(2, WORDS("tubes", PROGRAM_SET, "--sample", "101"), WORDS("--sample", "1 to 100"));
    claim_fails(2, WORDS("tubes", PROGRAM_SET, "--seed", "3"), WORDS("--seed", "--sample"));
    claim_fails(2, WORDS("tubes", PROGRAM_SET, "--out-dir", "x"), WORDS("--out-dir", "--sample"));
    claim_fails(2, WORDS("tubes", PROGRAM_SET, "--tolerence"), WORDS("did you mean --tolerance?"));
    claim_fails(1, WORDS("tubes", PROGRAM_SET, "--sample", "1", "--out-dir", "/dev/null/x"),
                WORDS("/dev/null/x"));
}

/* A ring on which the tubes clear the striker by less than stock differs in diameter. */
static void sample_that_cannot_hang_is_told_and_none_is_written(void **state)
{
    (void)state;
    struct program_run run;
    program_write_file("tight.yaml", "tubes: {outer_diameter: 32 mm, wall: 1.6 mm,\n"
                                     "  notes: [A4, C5, D5, E5, G5]}\n"
                                     "layout: {ring: {radius: 51.001 mm}}\n"
                                     "striker: {diameter: 70 mm}\n");
    RUN(&run, "tubes", "tight.yaml");
    claim_exit(&run, 0);
    program_run_finish(&run);
    claim_fails(2, WORDS("tubes", "tight.yaml", "--sample", "20", "--out-dir", "tight"),
                WORDS("tight.yaml:3:", "sample ", "tolerances"));
    assert_false(program_has_file("tight/tight-sample-01.yaml"));
}

/* Half the length of tube 1: its even partials have a node there, and JSON has no infinity. */
static void blow_at_mid_length_leaves_even_partials_silent(void **state)
{
    (void)state;
    struct program_run run;
    program_write_file("middle.yaml", "tubes: {outer_diameter: 32 mm, wall: 1.6 mm,\n"
                                      "  lengths: [600 mm]}\n"
                                      "striker: {strike_height: 300 mm, contact: ideal}\n");
    RUN(&run, "tubes", "middle.yaml", "--json");
    claim_exit(&run, 0);
    json_t *root = program_json(&run);
    program_run_finish(&run);
    const json_t *tube = json_array_get(json_object_get(root, "tubes"), 0);
    const json_t *partials = json_object_get(tube, "partials");
    const double first_db = claim_number(json_array_get(partials, 0), "level_db");
    for (size_t i = 1; i < 8; i += 2) {
        const json_t *level = json_object_get(json_array_get(partials, i), "level_db");
        assert_true(json_is_null(level) || json_number_value(level) < first_db - 100.0);
    }
    json_decref(root);
}

/* The model says what it cannot say, and refuses what cannot be, with its line. */
static void odd_tubes_are_computed_with_a_warning_and_impossible_ones_refused(void **state)
{
    (void)state;
    struct program_run run;
    program_write_file("odd.yaml", "tubes:\n"
                                   "  outer_diameter: 60 mm\n"
                                   "  wall: 1 mm\n"
                                   "  lengths: [300 mm, 900 mm]\n");
    RUN(&run, "tubes", "odd.yaml");
    claim_exit(&run, 0);
    claim_holds(run.out, "Note on tube 1: only 5.0 diameters long");
    claim_holds(run.out, "Note on tube 2: the wall is only 1/60 of the diameter");
    program_run_finish(&run);
    program_write_file("never.yaml", "tubes:\n"
                                     "  outer_diameter: 60 mm\n"
                                     "  wall: 1 mm\n"
                                     "  lengths: [170 mm]\n");
    claim_fails(2, WORDS("tubes", "never.yaml"), WORDS("never.yaml:4:13: ", "3 outer diameters"));
    program_write_file("never.yaml", "tubes:\n"
                                     "  outer_diameter: 60 mm\n"
                                     "  wall: 30 mm\n"
                                     "  lengths: [900 mm]\n");
    claim_fails(2, WORDS("tubes", "never.yaml"), WORDS("never.yaml:3:9: ", "radius", "solid"));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(tolerance_table_names_its_standards),
        cmocka_unit_test(tolerance_json_has_every_slope),
        cmocka_unit_test(sample_writes_sets_that_render),
        cmocka_unit_test(sample_keeps_lengths_and_moves_pitches),
        cmocka_unit_test(same_seed_writes_the_same_bytes),
        cmocka_unit_test(existing_file_stops_all_without_overwrite),
        cmocka_unit_test(wrong_sampling_is_refused),
        cmocka_unit_test(sample_that_cannot_hang_is_told_and_none_is_written),
        cmocka_unit_test(blow_at_mid_length_leaves_even_partials_silent),
        cmocka_unit_test(odd_tubes_are_computed_with_a_warning_and_impossible_ones_refused),
    };
    return cmocka_run_group_tests(tests, program_enter_folder, program_leave_folder);
}
