/* SPDX-License-Identifier: MIT */
/* windpeal strikes --pulses: what a controller is given compiles and gives the same kicks. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#include "claims.h"

static const char coils_set[] = "name: Kicked\n"
                                "tubes:\n"
                                "  material: aluminium 6063-T6\n"
                                "  outer_diameter: 1 in\n"
                                "  wall: 1.65 mm\n"
                                "  notes: [E4, G4, A4, B4]\n"
                                "layout: {ring: {radius: 60 mm}}\n"
                                "drive: {coils: {slowest: 17.3 s, calm_below: 0.7 m/s}}\n";

/* Reads the table of kicks on standard input and compares it with the header; prints the rows. */
static const char controller[] =
    "#include <stdio.h>\n"
    "#include <string.h>\n"
    "#include \"kicks.h\"\n"
    "static unsigned long thousandths(const char *text)\n"
    "{\n"
    "    unsigned long whole = 0, part = 0;\n"
    "    return sscanf(text, \"%lu.%3lu\", &whole, &part) == 2 ? 1000 * whole + part : 0;\n"
    "}\n"
    "int main(void)\n"
    "{\n"
    "    char line[512], mean[32], now[32], delay[32], length[32];\n"
    "    unsigned long whole, duty;\n"
    "    int n = 0;\n"
    "    while (fgets(line, sizeof line, stdin)) {\n"
    "        if (sscanf(line, \"%*[0-9.],1,%lu.%4lu,%31[^,],%31[^,],%31[^,],%31[^,]\", &whole,\n"
    "                   &duty, length, mean, now, delay) != 6)\n"
    "            continue;\n"
    "        duty = ((10000 * whole + duty) * 4096 + 5000) / 10000;\n"
    "        if (duty != kick_duty_4096((uint32_t)thousandths(now)) ||\n"
    "            thousandths(delay) != kick_delay_ms((uint32_t)thousandths(mean)) ||\n"
    "            thousandths(length) != KICK_LENGTH_MS) {\n"
    "            printf(\"%s\", line);\n"
    "            return 1;\n"
    "        }\n"
    "        n++;\n"
    "    }\n"
    "    printf(\"%d\\n\", n);\n"
    "    return kick_duty_4096(0) != 0;\n"
    "}\n";

static int enter(void **state)
{
    const int result = program_enter_folder(state);
    program_write_file("coils.yaml", coils_set);
    return result;
}

static void header_gives_the_kicks_of_the_table(void **state)
{
    (void)state;
    struct program_run run;
    RUN(&run, "strikes", "coils.yaml", PROGRAM_WEATHER, "--pulses", "kicks.csv", "--json");
    claim_exit(&run, 0);
    json_t *root = program_json(&run);
    const double n_kicks = claim_number(root, "kicks");
    assert_true(n_kicks > 20.0);
    assert_true(claim_number(root, "tubes_per_kick") > 0.0);
    json_decref(root);
    program_run_finish(&run);
    RUN(&run, "strikes", "coils.yaml", PROGRAM_WEATHER, "--pulses", "kicks.h");
    claim_exit(&run, 0);
    program_run_finish(&run);
    program_write_file("controller.c", controller);
    char command[1024];
    snprintf(command, sizeof command,
             "%s -std=c99 -Wall -Wextra -Werror -pedantic -o controller controller.c && "
             "./controller < kicks.csv > count.txt",
             getenv("WINDPEAL_CC"));
    assert_int_equal(system(command), 0);
    char *count = program_read_file("count.txt", NULL);
    assert_true(strtod(count, NULL) == n_kicks);
    free(count);
}

static void header_has_no_floating_point(void **state)
{
    (void)state;
    struct program_run run;
    RUN(&run, "strikes", "coils.yaml", PROGRAM_WEATHER, "--pulses", "whole.h");
    claim_exit(&run, 0);
    char *text = program_read_file("whole.h", NULL);
    const char *code = strstr(text, "*/");
    assert_non_null(code);
    assert_null(strstr(code, "float"));
    assert_null(strstr(code, "double"));
    for (const char *dot = strchr(code, '.'); dot; dot = strchr(dot + 1, '.')) {
        assert_false(dot[-1] >= '0' && dot[-1] <= '9' && dot[1] >= '0' && dot[1] <= '9');
    }
    free(text);
    program_run_finish(&run);
}

static void builders_are_cautioned(void **state)
{
    (void)state;
    static const char *const words[] = {"coil heat", "supply", "strong magnets", "eye level"};
    static const char *const paths[] = {"warned.csv", "warned.h"};
    for (size_t k = 0; k < 2; k++) {
        struct program_run run;
        RUN(&run, "strikes", "coils.yaml", PROGRAM_WEATHER, "--pulses", paths[k]);
        claim_exit(&run, 0);
        char *text = program_read_file(paths[k], NULL);
        for (size_t i = 0; i < 4; i++) {
            claim_holds(run.err, words[i]);
            claim_holds(text, words[i]);
        }
        free(text);
        program_run_finish(&run);
    }
}

/* What a sweep's row says of kicks is what the set with that value gives; a sail has none. */
static void sweep_of_coils_tells_tubes_a_kick(void **state)
{
    (void)state;
    struct program_run swept;
    struct program_run alone;
    RUN(&swept, "strikes", "coils.yaml", PROGRAM_WEATHER, "--vary", "striker.diameter=50..70 mm",
        "--steps", "2", "--json");
    claim_exit(&swept, 0);
    json_t *rows = program_json(&swept);
    RUN(&alone, "strikes", "coils.yaml", PROGRAM_WEATHER, "--json"); /* 70 mm is the default */
    claim_exit(&alone, 0);
    json_t *report = program_json(&alone);
    const json_t *row = json_array_get(json_object_get(rows, "settings"), 1);
    assert_true(claim_number(row, "tubes_per_kick") == claim_number(report, "tubes_per_kick"));
    json_decref(report);
    json_decref(rows);
    program_run_finish(&alone);
    program_run_finish(&swept);
    RUN(&swept, "strikes", "coils.yaml", PROGRAM_WEATHER, "--vary", "striker.diameter=50..70 mm",
        "--steps", "2");
    claim_holds(swept.out, "tubes a kick\n");
    program_run_finish(&swept);
    RUN(&swept, "strikes", PROGRAM_SET, PROGRAM_WEATHER, "--vary", "striker.diameter=40..50 mm",
        "--steps", "2");
    claim_exit(&swept, 0);
    assert_null(strstr(swept.out, "kick"));
    program_run_finish(&swept);
}

static void pulses_that_cannot_be_are_refused(void **state)
{
    (void)state;
    claim_fails(2, WORDS("strikes", PROGRAM_SET, PROGRAM_WEATHER, "--pulses", "none.csv"),
                WORDS("--pulses", "coils"));
    assert_false(program_has_file("none.csv"));
    claim_fails(2, WORDS("strikes", "coils.yaml", PROGRAM_WEATHER, "--pulses", "-"),
                WORDS("--pulses", ".csv or .h"));
    claim_fails(2, WORDS("strikes", "coils.yaml", PROGRAM_WEATHER, "--pulses", "kicks.txt"),
                WORDS("kicks.txt", ".csv"));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(header_gives_the_kicks_of_the_table),
        cmocka_unit_test(header_has_no_floating_point),
        cmocka_unit_test(builders_are_cautioned),
        cmocka_unit_test(sweep_of_coils_tells_tubes_a_kick),
        cmocka_unit_test(pulses_that_cannot_be_are_refused),
    };
    return cmocka_run_group_tests(tests, enter, program_leave_folder);
}
