/* SPDX-License-Identifier: MIT */
/* The bash completion, asked as bash asks it. */
#include <setjmp.h>
#include <stdarg.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>

#include <cmocka.h>

#include "claims.h"

/* What completes the last of the words, blanks between. WINDPEAL_COMPLETION is the script. */
static void complete(const char *words, int last, char *answer, size_t answer_size)
{
    char command[4300];
    snprintf(command, sizeof command,
             "bash -c 'source \"$WINDPEAL_COMPLETION\"; COMP_WORDS=(%s); COMP_CWORD=%d; _windpeal; "
             "echo \"${COMPREPLY[*]}\"' > answer.txt",
             words, last);
    assert_int_equal(system(command), 0);
    char *text = program_read_file("answer.txt", NULL);
    snprintf(answer, answer_size, "%s", text);
    free(text);
}

static void commands_complete(void **state)
{
    (void)state;
    char answer[512];
    complete("windpeal ren", 1, answer, sizeof answer);
    assert_string_equal(answer, "render\n");
    complete("windpeal pl", 1, answer, sizeof answer);
    assert_string_equal(answer, "play\n");
    complete("windpeal she", 1, answer, sizeof answer);
    assert_string_equal(answer, "\n");
}

static void options_complete_by_command(void **state)
{
    (void)state;
    char answer[512];
    complete("windpeal tubes --ru", 2, answer, sizeof answer);
    assert_string_equal(answer, "--rule\n");
    complete("windpeal render --ru", 2, answer, sizeof answer);
    assert_string_equal(answer, "\n");
}

static void choices_and_files_complete(void **state)
{
    (void)state;
    char answer[512];
    complete("windpeal render --level b", 3, answer, sizeof answer);
    assert_string_equal(answer, "broadcast\n");
    complete("windpeal render --level = b", 4, answer, sizeof answer);
    assert_string_equal(answer, "broadcast\n");
    complete("windpeal tubes fou", 2, answer, sizeof answer);
    assert_string_equal(answer, PROGRAM_SET "\n");
}

/* Presets stand where a set does, weather samples where weather does, files everywhere. */
static void presets_and_samples_complete_in_their_place(void **state)
{
    (void)state;
    char answer[512];
    assert_int_equal(mkdir("presets", 0700), 0);
    assert_int_equal(mkdir("weather-samples", 0700), 0);
    program_write_file("presets/fountain-yard.yaml", "");
    program_write_file("weather-samples/foul-night.csv", "");
    program_write_file("weather-samples/foul-night.txt", "");
    complete("windpeal tubes fou", 2, answer, sizeof answer);
    assert_string_equal(answer, "fountain-yard " PROGRAM_SET "\n");
    complete("windpeal wind fou", 2, answer, sizeof answer);
    assert_string_equal(answer, "foul-night " PROGRAM_SET "\n");
    complete("windpeal render -o a.wav --seed = 3 --each fou", 8, answer, sizeof answer);
    assert_string_equal(answer, "fountain-yard " PROGRAM_SET "\n");
    complete("windpeal play " PROGRAM_SET " --loop --gain -6 fou", 6, answer, sizeof answer);
    assert_string_equal(answer, "foul-night " PROGRAM_SET "\n");
    complete("windpeal render a b fou", 4, answer, sizeof answer);
    assert_string_equal(answer, PROGRAM_SET "\n");
    complete("windpeal render --seed fou", 3, answer, sizeof answer);
    assert_string_equal(answer, "\n");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(commands_complete),
        cmocka_unit_test(options_complete_by_command),
        cmocka_unit_test(choices_and_files_complete),
        cmocka_unit_test(presets_and_samples_complete_in_their_place),
    };
    return cmocka_run_group_tests(tests, program_enter_folder, program_leave_folder);
}
