/* SPDX-License-Identifier: MIT */
#ifndef WINDPEAL_TESTS_CLI_CLAIMS_H
#define WINDPEAL_TESTS_CLI_CLAIMS_H

#include "program.h"

/* Claims about runs of the program. Each fails the running test and shows what was printed. */

/* The exit code is as expected. */
void claim_exit(const struct program_run *run, int exit_code);

/* The text holds the part. */
void claim_holds(const char *text, const char *part);

/*
 * The command line fails with the exit code, says so in one line of "windpeal: ..." on stderr that
 * holds every part (up to NULL), and prints nothing on stdout.
 */
void claim_fails(int exit_code, const char *const words[], const char *const parts[]);

/* Lists of words for the function above. */
#define WORDS(...) ((const char *const[]){__VA_ARGS__, NULL})

/* A number of an object; fails when there is none. */
double claim_number(const json_t *object, const char *key);

#endif
