/* SPDX-License-Identifier: MIT */
#ifndef WINDPEAL_APP_STAGE_THREAD_H
#define WINDPEAL_APP_STAGE_THREAD_H

#include <pthread.h>
#include <stdatomic.h>
#include <stdbool.h>
#include <time.h>

#include "windpeal/loudspeaker.h"
#include "windpeal/stage.h"

/* The thread that makes frames. It shares nothing with others but the rings, and when to end. */

struct app_stage_thread {
    struct wp_ring *orders;
    struct wp_ring *news;
    struct wp_stage *stage; /* the thread's own once it runs */
    struct timespec nap;    /* between two steps */
    pthread_t thread;
    bool is_running;
    bool is_stuck; /* took no order for a second: there is no point in going on */
    atomic_bool is_over;
};

/* Makes the stage; config's sink, orders and news are filled in. To finish also on failure. */
enum wp_status app_stage_thread_init(struct app_stage_thread *thread,
                                     const struct wp_stage_config *config,
                                     struct wp_loudspeaker *speaker);

/* Starts the thread, with real-time priority where that is allowed. WP_OK or WP_E_NO_MEMORY. */
enum wp_status app_stage_thread_start(struct app_stage_thread *thread);

/* Hands an order over; a thread that takes none for a second is stuck. */
void app_stage_order(struct app_stage_thread *thread, const struct wp_order *order);

/* Ends the thread and frees everything but peals; news that are left are lost. */
void app_stage_thread_finish(struct app_stage_thread *thread);

#endif
