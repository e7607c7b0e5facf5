/* SPDX-License-Identifier: MIT */
#ifndef WINDPEAL_TESTS_CLI_WATCHING_H
#define WINDPEAL_TESTS_CLI_WATCHING_H

/* Watching a program that runs on: time, scripts, and text that is to come. */

/* Seconds of a steady clock. */
double watching_clock_s(void);

/* Waits. */
void watching_nap(double seconds);

/* Runs a shell script in which $PLAY is the program; returns its exit code, -1 for a signal. */
int watching_script(const char *script);

/* Waits until the file holds the text; fails the running test after most_s and shows the file. */
void watching_for(const char *path, const char *text, double most_s);

#endif
