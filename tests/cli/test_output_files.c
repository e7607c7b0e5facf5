/* SPDX-License-Identifier: MIT */
/* What happens to output files when something goes wrong. */
#define _GNU_SOURCE /* pseudo terminals */
#include <fcntl.h>
#include <setjmp.h>
#include <signal.h>
#include <stdarg.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/resource.h>
#include <sys/stat.h>
#include <time.h>
#include <unistd.h>

#include <cmocka.h>

#include "claims.h"
#include "sound.h"

static void existing_output_is_refused(void **state)
{
    (void)state;
    static const char *const commands[][8] = {
        {"render", PROGRAM_SET, PROGRAM_WEATHER, "-o", "there.wav", "--duration", "1 s", NULL},
        {"strikes", PROGRAM_SET, PROGRAM_WEATHER, "-o", "there.csv", NULL},
        {"wind", PROGRAM_WEATHER, "-o", "there.csv", NULL},
    };
    program_write_file("there.wav", "mine");
    program_write_file("there.csv", "mine");
    for (size_t i = 0; i < 3; i++) {
        claim_fails(2, commands[i], WORDS("there", "exists", "--overwrite"));
    }
    char *text = program_read_file("there.wav", NULL);
    assert_string_equal(text, "mine");
    free(text);
    text = program_read_file("there.csv", NULL);
    assert_string_equal(text, "mine");
    free(text);
}

static void overwrite_replaces(void **state)
{
    (void)state;
    struct program_run run;
    program_write_file("there.csv", "mine");
    RUN(&run, "strikes", PROGRAM_SET, PROGRAM_WEATHER, "-o", "there.csv", "--overwrite");
    claim_exit(&run, 0);
    char *text = program_read_file("there.csv", NULL);
    assert_int_equal(strncmp(text, "t_s,", 4), 0);
    free(text);
    program_run_finish(&run);
}

static void folder_that_cannot_be_written_is_the_systems_fault(void **state)
{
    (void)state;
    claim_fails(1, WORDS("strikes", PROGRAM_SET, PROGRAM_WEATHER, "-o", "none/list.csv"),
                WORDS("none/list.csv"));
    claim_fails(1, WORDS("render", PROGRAM_SET, PROGRAM_WEATHER, "-o", "none/out.wav"),
                WORDS("none/out.wav"));
    if (geteuid() == 0) {
        return; /* permissions do not hold for the superuser */
    }
    assert_int_equal(mkdir("locked", 0500), 0);
    claim_fails(1, WORDS("render", PROGRAM_SET, PROGRAM_WEATHER, "-o", "locked/out.wav"),
                WORDS("locked/out.wav"));
}

static void ending_decides_on_the_format(void **state)
{
    (void)state;
    claim_fails(2, WORDS("render", PROGRAM_SET, PROGRAM_WEATHER, "-o", "out.mp3"),
                WORDS("out.mp3", ".wav"));
    claim_fails(2, WORDS("strikes", PROGRAM_SET, PROGRAM_WEATHER, "-o", "list.wav"),
                WORDS("list.wav", ".csv"));
    assert_false(program_has_file("list.wav"));
    claim_fails(2, WORDS("wind", PROGRAM_WEATHER, "-o", "wind.flac"), WORDS("wind.flac", ".csv"));
}

/* The master of a fresh pseudo terminal. */
static int open_terminal(void)
{
    const int terminal = posix_openpt(O_RDWR | O_NOCTTY);
    assert_true(terminal >= 0);
    assert_int_equal(grantpt(terminal), 0);
    assert_int_equal(unlockpt(terminal), 0);
    return terminal;
}

/* A day takes minutes to meter, which a refusal must not wait for. */
static void sound_for_a_terminal_is_refused_at_once(void **state)
{
    (void)state;
    char command[4400];
    const int terminal = open_terminal();
    snprintf(command, sizeof command,
             "timeout 20 '%s' render %s --wind '9 m/s' --duration '24 h' -o - > %s 2> terminal.err",
             getenv("WINDPEAL_PROGRAM"), PROGRAM_SET, ptsname(terminal));
    assert_int_equal(system(command), 2 << 8);
    close(terminal);
    char *told = program_read_file("terminal.err", NULL);
    claim_holds(told, "is a terminal; expected a file or a pipe");
    free(told);
}

static void progress_shows_on_a_terminal_only(void **state)
{
    (void)state;
    char command[4400];
    char shown[4096] = {0};
    const int terminal = open_terminal();
    static const char words[] = "timeout 3 '%s' render %s --wind '9 m/s' --duration '20 min' "
                                "--level calibrated -o - > /dev/null 2> %s";
    snprintf(command, sizeof command, words, getenv("WINDPEAL_PROGRAM"), PROGRAM_SET,
             ptsname(terminal));
    assert_int_not_equal(system(command), -1);
    assert_true(read(terminal, shown, sizeof shown - 1) > 0);
    close(terminal);
    claim_holds(shown, "rendering: ");
    claim_holds(shown, " left");
    snprintf(command, sizeof command, words, getenv("WINDPEAL_PROGRAM"), PROGRAM_SET, "plain.err");
    assert_int_not_equal(system(command), -1);
    char *plain = program_read_file("plain.err", NULL);
    assert_null(strstr(plain, "rendering: "));
    free(plain);
}

/* /dev/full takes no byte: full(4) of the Linux manual. */
static void full_device_is_the_systems_fault(void **state)
{
    (void)state;
    claim_fails(1, WORDS("strikes", PROGRAM_SET, PROGRAM_WEATHER, "-o", "/dev/full"),
                WORDS("/dev/full", "No space left"));
    claim_fails(1, WORDS("wind", PROGRAM_WEATHER, "-o", "/dev/full"),
                WORDS("/dev/full", "No space left"));
    struct stat facts;
    assert_int_equal(stat("/dev/full", &facts), 0);
    assert_true(S_ISCHR(facts.st_mode));
}

/* A limit on the size of files stands in for a disk that fills up in the middle. */
static void disk_that_fills_up_leaves_no_result(void **state)
{
    (void)state;
    struct rlimit before;
    assert_int_equal(getrlimit(RLIMIT_FSIZE, &before), 0);
    const struct rlimit small = {.rlim_cur = 20000, .rlim_max = before.rlim_max};
    assert_int_equal(setrlimit(RLIMIT_FSIZE, &small), 0);
    claim_fails(1, WORDS("wind", PROGRAM_WEATHER, "-o", "full.csv"), WORDS("full.csv"));
    claim_fails(1, WORDS("render", PROGRAM_SET, PROGRAM_WEATHER, "-o", "full.wav"),
                WORDS("full.wav"));
    claim_fails(1, WORDS("render", PROGRAM_SET, PROGRAM_WEATHER, "-o", "full.flac"),
                WORDS("full.flac"));
    assert_int_equal(setrlimit(RLIMIT_FSIZE, &before), 0);
    assert_false(program_has_file("full.csv"));
    assert_false(program_has_file("full.csv.part"));
    assert_false(program_has_file("full.wav"));
    assert_false(program_has_file("full.flac"));
}

static void failed_input_leaves_no_output(void **state)
{
    (void)state;
    claim_fails(2, WORDS("render", PROGRAM_SET, "none.csv", "-o", "fail.wav"), WORDS("none.csv"));
    claim_fails(2, WORDS("strikes", "none.yaml", PROGRAM_WEATHER, "-o", "fail.csv"),
                WORDS("none.yaml"));
    assert_false(program_has_file("fail.wav"));
    assert_false(program_has_file("fail.wav.part"));
    assert_false(program_has_file("fail.csv"));
    assert_false(program_has_file("fail.csv.part"));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(existing_output_is_refused),
        cmocka_unit_test(overwrite_replaces),
        cmocka_unit_test(folder_that_cannot_be_written_is_the_systems_fault),
        cmocka_unit_test(ending_decides_on_the_format),
        cmocka_unit_test(sound_for_a_terminal_is_refused_at_once),
        cmocka_unit_test(progress_shows_on_a_terminal_only),
        cmocka_unit_test(full_device_is_the_systems_fault),
        cmocka_unit_test(disk_that_fills_up_leaves_no_result),
        cmocka_unit_test(failed_input_leaves_no_output),
    };
    return cmocka_run_group_tests(tests, program_enter_folder, program_leave_folder);
}
