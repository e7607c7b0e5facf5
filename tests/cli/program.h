/* SPDX-License-Identifier: MIT */
#ifndef WINDPEAL_TESTS_CLI_PROGRAM_H
#define WINDPEAL_TESTS_CLI_PROGRAM_H

#include <jansson.h>
#include <stdbool.h>
#include <stddef.h>
#include <sys/types.h>

/*
 * Runs the built program in a folder of its own. The environment variable WINDPEAL_PROGRAM holds
 * its path. Functions fail the running cmocka test when the system does not do its part.
 */

/* What one run printed; free with program_run_finish. */
struct program_run {
    int exit_code; /* -1: killed by a signal */
    char *out;
    char *err;
};

/* cmocka group set-up and tear-down: enter a fresh folder with the files below, remove it. */
int program_enter_folder(void **state);
int program_leave_folder(void **state);

/*
 * The files that program_enter_folder writes: a set of four tubes, and half an hour of weather at
 * one-minute records from 2026-04-11T14:00Z.
 */
#define PROGRAM_SET "four.yaml"
#define PROGRAM_WEATHER "weather.csv"

/* Runs the program with words up to NULL and waits; words[0] is the command. */
void program_run(struct program_run *run, const char *const words[]);

/* The same on one line: RUN(&run, "tubes", "four.yaml"). */
#define RUN(run, ...) program_run((run), (const char *const[]){__VA_ARGS__, NULL})

/* Starts the program without waiting; its output goes to the files NAME.out and NAME.err. */
pid_t program_start(const char *name, const char *const words[]);

/* Waits for a started program; -1: killed by a signal. */
int program_wait(pid_t pid);

/* The same, and reads what it printed. */
void program_collect(struct program_run *run, pid_t pid, const char *name);

/* Frees what a run printed. */
void program_run_finish(struct program_run *run);

/* Standard output as JSON; fails the test when it is none. Free with json_decref. */
json_t *program_json(const struct program_run *run);

/* Writes and reads whole files; a read text is freed by the caller. */
void program_write_file(const char *path, const char *text);
char *program_read_file(const char *path, size_t *size);

/* True when path exists. */
bool program_has_file(const char *path);

/* The lines of a text, newlines counted. */
size_t program_count_lines(const char *text);

#endif
