/* SPDX-License-Identifier: MIT */
/* Claims about runs of the program. */
#include "claims.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

void claim_exit(const struct program_run *run, int exit_code)
{
    if (run->exit_code != exit_code) {
        print_error("stdout: %s\nstderr: %s\n", run->out, run->err);
    }
    assert_int_equal(run->exit_code, exit_code);
}

void claim_holds(const char *text, const char *part)
{
    if (!strstr(text, part)) {
        print_error("'%s' is not in: %s\n", part, text);
    }
    assert_non_null(strstr(text, part));
}

void claim_fails(int exit_code, const char *const words[], const char *const parts[])
{
    struct program_run run;
    program_run(&run, words);
    claim_exit(&run, exit_code);
    assert_string_equal(run.out, "");
    assert_int_equal(strncmp(run.err, "windpeal: ", 10), 0);
    if (program_count_lines(run.err) != 1) {
        print_error("more than a line: %s\n", run.err);
    }
    assert_int_equal(program_count_lines(run.err), 1);
    for (size_t i = 0; parts[i]; i++) {
        claim_holds(run.err, parts[i]);
    }
    program_run_finish(&run);
}

double claim_number(const json_t *object, const char *key)
{
    const json_t *value = json_object_get(object, key);
    if (!json_is_number(value)) {
        print_error("no number '%s'\n", key);
    }
    assert_true(json_is_number(value));
    return json_number_value(value);
}
