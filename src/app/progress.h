/* SPDX-License-Identifier: MIT */
#ifndef WINDPEAL_APP_PROGRESS_H
#define WINDPEAL_APP_PROGRESS_H

#include <stdbool.h>

/* How far a long job is and how long it still takes, on stderr when that is a terminal. */

/* Visible state; owns nothing. */
struct app_progress {
    const char *what; /* "rendering"; must outlive the progress */
    double started_s;
    double shown_s;
    bool is_shown;
};

/* Seconds of a clock that only moves forward. */
double app_clock_s(void);

/* Starts; what names the job. */
void app_progress_init(struct app_progress *progress, const char *what);

/* Shows the share done_01 (0 to 1), a few times a second at most. */
void app_progress_step(struct app_progress *progress, double done_01);

/* Takes the line away. */
void app_progress_finish(struct app_progress *progress);

#endif
