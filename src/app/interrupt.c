/* SPDX-License-Identifier: MIT */
/* Asks for SIGINT and SIGTERM between two blocks of work. */
#include "app/interrupt.h"

#include <signal.h>
#include <time.h>

static void interrupting_signals(sigset_t *set)
{
    sigemptyset(set);
    sigaddset(set, SIGINT);
    sigaddset(set, SIGTERM);
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
