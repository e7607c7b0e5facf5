/* SPDX-License-Identifier: MIT */
/* Watches a program that runs on. */
#include "watching.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>
#include <sys/wait.h>
#include <time.h>

#include <cmocka.h>

#include "claims.h"

double watching_clock_s(void)
{
    struct timespec now;
    clock_gettime(CLOCK_MONOTONIC, &now);
    return (double)now.tv_sec + 1e-9 * (double)now.tv_nsec;
}

void watching_nap(double seconds)
{
    const struct timespec time = {(time_t)seconds, (long)(1e9 * fmod(seconds, 1.0))};
    nanosleep(&time, NULL);
}

int watching_script(const char *script)
{
    setenv("PLAY", getenv("WINDPEAL_PROGRAM"), 1);
    const int status = system(script);
    return WIFEXITED(status) ? WEXITSTATUS(status) : -1;
}

void watching_for(const char *path, const char *text, double most_s)
{
    const double until_s = watching_clock_s() + most_s;
    char *all = strdup("");
    while (!strstr(all, text) && watching_clock_s() < until_s) {
        watching_nap(0.02);
        free(all);
        all = program_has_file(path) ? program_read_file(path, NULL) : strdup("");
    }
    claim_holds(all, text);
    free(all);
}
