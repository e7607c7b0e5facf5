/* SPDX-License-Identifier: MIT */
#ifndef WINDPEAL_APP_TERMINAL_H
#define WINDPEAL_APP_TERMINAL_H

#include <stdbool.h>
#include <stddef.h>
#include <sys/types.h>
#include <termios.h>

/*
 * Keys as they are pressed, from the terminal even while standard input is a pipe. A guard process
 * gives the terminal its settings back when this one is killed.
 */

struct app_terminal {
    int fd; /* of the terminal; -1: there is none, or it is not ours to use */
    struct termios before;
    pid_t guard;
    int leash_fd; /* its other end is the guard's */
};

/* Takes the terminal over when there is one and this process is in its foreground. Forks: call it
 * before threads are started. */
void app_terminal_init(struct app_terminal *terminal);

/* Gives it back; allowed twice. */
void app_terminal_finish(struct app_terminal *terminal);

/* The next key pressed, or '\0'; never waits. */
char app_terminal_key(const struct app_terminal *terminal);

/* Gives it back for as long as the process is stopped (Ctrl-Z), then takes it over again. */
void app_terminal_stop(struct app_terminal *terminal);

/* Characters in a line of the terminal that fd is; 0: it is none. */
size_t app_terminal_width(int fd);

#endif
