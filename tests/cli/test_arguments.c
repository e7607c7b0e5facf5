/* SPDX-License-Identifier: MIT */
/* Command lines: help, unknown words, values, JSON errors. */
#include <setjmp.h>
#include <stdarg.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

#include "claims.h"

static void no_words_give_short_help(void **state)
{
    (void)state;
    struct program_run run;
    program_run(&run, WORDS(NULL));
    claim_exit(&run, 2);
    assert_string_equal(run.out, "");
    claim_holds(run.err, "usage: windpeal COMMAND");
    program_run_finish(&run);
}

static void version_and_help_succeed(void **state)
{
    (void)state;
    struct program_run run;
    RUN(&run, "--version");
    claim_exit(&run, 0);
    assert_int_equal(strncmp(run.out, "windpeal ", 9), 0);
    assert_int_equal(program_count_lines(run.out), 1);
    program_run_finish(&run);
    RUN(&run, "--help");
    claim_exit(&run, 0);
    claim_holds(run.out, "render");
    claim_holds(run.out, "strikes");
    program_run_finish(&run);
}

static void every_command_has_help_with_examples(void **state)
{
    (void)state;
    static const char *const commands[] = {"render", "tubes", "wind", "strikes"};
    for (size_t i = 0; i < 4; i++) {
        struct program_run run;
        RUN(&run, commands[i], "--help");
        claim_exit(&run, 0);
        claim_holds(run.out, "examples:");
        claim_holds(run.out, "--json");
        assert_string_equal(run.err, "");
        program_run_finish(&run);
    }
}

static void misspelt_command_names_the_nearest(void **state)
{
    (void)state;
    claim_fails(2, WORDS("rendr", PROGRAM_SET), WORDS("rendr", "did you mean render?"));
    claim_fails(2, WORDS("xylophone"), WORDS("xylophone", "--help"));
}

static void misspelt_option_names_the_nearest(void **state)
{
    (void)state;
    claim_fails(2, WORDS("tubes", PROGRAM_SET, "--partial"),
                WORDS("--partial", "did you mean --partials?"));
    claim_fails(2, WORDS("tubes", PROGRAM_SET, "--qqqqqq"),
                WORDS("tubes has no option", "windpeal tubes --help"));
    claim_fails(2, WORDS("tubes", PROGRAM_SET, "-z"), WORDS("tubes has no option -z"));
}

static void options_belong_to_commands(void **state)
{
    (void)state;
    claim_fails(2, WORDS("tubes", PROGRAM_SET, "--rate", "48000"), WORDS("no option --rate"));
    claim_fails(2, WORDS("wind", PROGRAM_WEATHER, "--each"), WORDS("no option --each"));
}

static void later_commands_and_options_say_so(void **state)
{
    (void)state;
    static const char *const later[] = {"sheet", "tap", "preview"};
    for (size_t i = 0; i < 3; i++) {
        claim_fails(2, WORDS(later[i], PROGRAM_SET), WORDS(later[i], "not in this version"));
    }
}

static void values_are_checked(void **state)
{
    (void)state;
    claim_fails(2, WORDS("render", PROGRAM_SET, PROGRAM_WEATHER, "-o", "a.wav", "--rate", "48001"),
                WORDS("48001", "44100|48000|88200|96000"));
    claim_fails(2, WORDS("render", PROGRAM_SET, PROGRAM_WEATHER, "-o", "a.wav", "--level", "wed"),
                WORDS("did you mean web?"));
    claim_fails(2, WORDS("tubes", PROGRAM_SET, "--rule", "0.5"), WORDS("--rule", "0.5"));
    claim_fails(2, WORDS("tubes", PROGRAM_SET, "--rule", "0.5 kg"), WORDS("--rule", "0.5 kg"));
    claim_fails(2, WORDS("wind", "--wind", "5"), WORDS("'5'; expected a speed", "write the unit"));
    claim_fails(2, WORDS("tubes", PROGRAM_SET, "--rule", "1 m"), WORDS("0.01 mm to 50 mm"));
    claim_fails(2, WORDS("wind", "--beaufort", "3", "--duration", "9999 d"), WORDS("to 366 d"));
    claim_fails(2, WORDS("--partials", "tubes"), WORDS("the command stands first"));
    claim_fails(2, WORDS("wind", "--wind", "500 m/s"), WORDS("--wind", "out of range", "75"));
    claim_fails(2, WORDS("wind", "--beaufort", "13"), WORDS("--beaufort", "out of range"));
    claim_fails(2, WORDS("wind", "--beaufort", "4.5"), WORDS("--beaufort", "whole number"));
    claim_fails(2, WORDS("strikes", PROGRAM_SET, "--seed", "-1"), WORDS("--seed", "whole number"));
    claim_fails(2, WORDS("wind", "--wind"), WORDS("--wind needs a value"));
    claim_fails(2, WORDS("wind", "--json=yes", PROGRAM_WEATHER), WORDS("--json takes no value"));
    claim_fails(2, WORDS("wind", "--wind", "5 m/s", "--wind", "6 m/s"), WORDS("given twice"));
}

static void operands_are_counted(void **state)
{
    (void)state;
    claim_fails(2, WORDS("tubes"), WORDS("tubes needs a set"));
    claim_fails(2, WORDS("tubes", PROGRAM_SET, "other.yaml"), WORDS("other.yaml", "too many"));
}

static void value_may_follow_an_equals_sign(void **state)
{
    (void)state;
    struct program_run apart;
    struct program_run joined;
    RUN(&apart, "tubes", PROGRAM_SET, "--rule", "1 mm");
    RUN(&joined, "tubes", "--rule=1 mm", PROGRAM_SET);
    claim_exit(&apart, 0);
    assert_string_equal(apart.out, joined.out);
    program_run_finish(&apart);
    program_run_finish(&joined);
}

static void wrong_command_line_answers_in_json(void **state)
{
    (void)state;
    struct program_run run;
    RUN(&run, "tubes", PROGRAM_SET, "--partial", "--json");
    claim_exit(&run, 2);
    json_t *root = program_json(&run);
    const json_t *error = json_object_get(root, "error");
    claim_holds(json_string_value(json_object_get(error, "message")), "--partial");
    claim_holds(json_string_value(json_object_get(error, "hint")), "--partials");
    assert_true(json_is_string(json_object_get(error, "code")));
    assert_true(json_is_null(json_object_get(error, "file")));
    assert_true(json_is_null(json_object_get(error, "line")));
    assert_true(json_is_null(json_object_get(error, "column")));
    json_decref(root);
    program_run_finish(&run);
}

static void standard_output_is_not_shared_with_json(void **state)
{
    (void)state;
    struct program_run run;
    RUN(&run, "strikes", PROGRAM_SET, PROGRAM_WEATHER, "-o", "-", "--json");
    claim_exit(&run, 2);
    claim_holds(run.err, "-o -");
    json_decref(program_json(&run));
    program_run_finish(&run);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(no_words_give_short_help),
        cmocka_unit_test(version_and_help_succeed),
        cmocka_unit_test(every_command_has_help_with_examples),
        cmocka_unit_test(misspelt_command_names_the_nearest),
        cmocka_unit_test(misspelt_option_names_the_nearest),
        cmocka_unit_test(options_belong_to_commands),
        cmocka_unit_test(later_commands_and_options_say_so),
        cmocka_unit_test(values_are_checked),
        cmocka_unit_test(operands_are_counted),
        cmocka_unit_test(value_may_follow_an_equals_sign),
        cmocka_unit_test(wrong_command_line_answers_in_json),
        cmocka_unit_test(standard_output_is_not_shared_with_json),
    };
    return cmocka_run_group_tests(tests, program_enter_folder, program_leave_folder);
}
