/* SPDX-License-Identifier: MIT */
#ifndef WINDPEAL_APP_CREW_H
#define WINDPEAL_APP_CREW_H

#include <pthread.h>
#include <stdbool.h>
#include <stddef.h>

#include "app/arguments.h"

/*
 * Threads that do a few tasks while the one that leads them does something else. Tasks touch
 * nothing in common, so it does not matter who does which, and a crew of nobody is as good.
 */

enum { APP_CREW_MAX = 63 };

/* Does task number task of those that were handed out. */
typedef void app_crew_task(void *context, size_t task);

struct app_crew {
    pthread_mutex_t lock; /* of all below */
    pthread_cond_t is_work;
    pthread_cond_t is_done;
    pthread_t threads[APP_CREW_MAX];
    size_t n_threads;
    app_crew_task *run;
    void *context;
    size_t n_tasks;
    size_t next;   /* task to be taken */
    size_t n_left; /* tasks that are not done */
    bool is_ending;
};

/* Threads that the user wants, by default as many as there are cores; at least 1. */
size_t app_threads(const struct app_arguments *arguments);

/* Starts up to n_threads besides the caller's; with fewer, or none, everything works as well. */
void app_crew_start(struct app_crew *crew, size_t n_threads);

/* Hands out tasks 0 to n_tasks - 1 and returns at once. All earlier ones must be done. */
void app_crew_hand_out(struct app_crew *crew, app_crew_task *run, void *context, size_t n_tasks);

/* Does what is not begun and returns when everything is done. */
void app_crew_complete(struct app_crew *crew);

/* Completes the tasks and ends the threads. */
void app_crew_finish(struct app_crew *crew);

#endif
