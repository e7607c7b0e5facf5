/* SPDX-License-Identifier: MIT */
/* Asks for SIGINT, SIGTERM and SIGHUP between two blocks of work. */
#include "app/interrupt.h"

#include <signal.h>
#include <stddef.h>
#include <time.h>

/* A signal that the caller has told the program to ignore (nohup, or a script's background job)
 * stays ignored: blocked signals would arrive all the same. */
static void interrupting_signals(sigset_t *set)
{
    static const int signals[] = {SIGINT, SIGTERM, SIGHUP};
    sigemptyset(set);
    for (size_t i = 0; i < sizeof signals / sizeof signals[0]; i++) {
        struct sigaction action;
        if (sigaction(signals[i], NULL, &action) == 0 && action.sa_handler != SIG_IGN) {
            sigaddset(set, signals[i]);
        }
    }
}

void app_interrupt_watch(void)
{
    sigset_t set;
    interrupting_signals(&set);
    sigprocmask(SIG_BLOCK, &set, NULL);
}

int app_interrupt_caught(void)
{
    sigset_t set;
    interrupting_signals(&set);
    const struct timespec at_once = {0, 0};
    const int caught = sigtimedwait(&set, NULL, &at_once);
    return caught > 0 ? caught : 0;
}
