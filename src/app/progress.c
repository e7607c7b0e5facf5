/* SPDX-License-Identifier: MIT */
/* A line of progress on a terminal. */
#include "app/progress.h"

#include <math.h>
#include <stdio.h>
#include <time.h>
#include <unistd.h>

/* Seconds between two updates of the line, and before its first showing. */
static const double update_s = 0.25;

/* Less than this share done says nothing about the time left: the start is slower than the rest. */
static const double telling_01 = 0.01;

double app_clock_s(void)
{
    struct timespec now;
    clock_gettime(CLOCK_MONOTONIC, &now);
    return (double)now.tv_sec + 1e-9 * (double)now.tv_nsec;
}

void app_progress_init(struct app_progress *progress, const char *what)
{
    const double now_s = app_clock_s();
    *progress = (struct app_progress){.what = what, .started_s = now_s, .shown_s = now_s};
}

void app_progress_step(struct app_progress *progress, double done_01)
{
    const double now_s = app_clock_s();
    if (now_s - progress->shown_s < update_s || !isatty(STDERR_FILENO)) {
        return;
    }
    const double share = fmax(done_01, telling_01);
    const long seconds = (long)((now_s - progress->started_s) * (1.0 - done_01) / share + 0.5);
    char left[64] = "just begun";
    if (done_01 >= telling_01 && seconds >= 3600) {
        snprintf(left, sizeof left, "%ld h %02ld min left", seconds / 3600, seconds / 60 % 60);
    } else if (done_01 >= telling_01) {
        snprintf(left, sizeof left, "%ld min %02ld s left", seconds / 60, seconds % 60);
    }
    fprintf(stderr, "\r%s: %3.0f %%, %-20s", progress->what, 100.0 * done_01, left);
    fflush(stderr);
    progress->shown_s = now_s;
    progress->is_shown = true;
}

void app_progress_finish(struct app_progress *progress)
{
    if (progress->is_shown) {
        fprintf(stderr, "\r%*s\r", 60, "");
        progress->is_shown = false;
    }
}
