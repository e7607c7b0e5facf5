/* SPDX-License-Identifier: MIT */
/* Runs a stage in a thread. */
#include "app/stage_thread.h"

#include <math.h>
#include <sched.h>
#include <time.h>

#include "app/progress.h"

enum { ORDERS = 256, NEWS = 4 * WP_STAGE_NEWS_LEAST };

/* Between two steps the thread sleeps for a part of what is made ahead. */
static const double nap_share = 0.08;
static const double shortest_nap_s = 0.002;
static const double longest_nap_s = 0.02;

static size_t write_frames(void *speaker, const float *frames, size_t n_frames)
{
    return wp_loudspeaker_write(speaker, frames, n_frames);
}

static size_t count_waiting(void *speaker)
{
    return wp_loudspeaker_waiting(speaker);
}

enum wp_status app_stage_thread_init(struct app_stage_thread *thread,
                                     const struct wp_stage_config *config,
                                     struct wp_loudspeaker *speaker)
{
    struct wp_stage_config complete = *config;
    const double ahead_s = (double)config->n_ahead / config->player.rate_hz;
    const double nap_s = fmin(fmax(ahead_s * nap_share, shortest_nap_s), longest_nap_s);
    *thread = (struct app_stage_thread){.nap = {0, (long)(1e9 * nap_s)}};
    enum wp_status status = wp_ring_create(&thread->orders, sizeof(struct wp_order), ORDERS);
    if (!status) {
        status = wp_ring_create(&thread->news, sizeof(struct wp_news), NEWS);
    }
    if (!status) {
        complete.sink = (struct wp_sink){write_frames, count_waiting, speaker};
        complete.orders = thread->orders;
        complete.news = thread->news;
        status = wp_stage_create(&thread->stage, &complete);
    }
    return status;
}

static void *run(void *argument)
{
    const struct app_stage_thread *thread = argument;
    while (!atomic_load(&thread->is_over)) {
        wp_stage_step(thread->stage, app_clock_s());
        nanosleep(&thread->nap, NULL);
    }
    return NULL;
}

enum wp_status app_stage_thread_start(struct app_stage_thread *thread)
{
    if (pthread_create(&thread->thread, NULL, run, thread)) {
        return WP_E_NO_MEMORY;
    }
    thread->is_running = true;
    /* Denied to most users, and not needed unless the machine is loaded. */
    const struct sched_param lowest = {.sched_priority = sched_get_priority_min(SCHED_RR)};
    pthread_setschedparam(thread->thread, SCHED_RR, &lowest);
    return WP_OK;
}

void app_stage_order(struct app_stage_thread *thread, const struct wp_order *order)
{
    static const struct timespec nap = {0, 4000000};
    for (int i = 0; i < 250 && !thread->is_stuck; i++) {
        if (wp_ring_write(thread->orders, order, 1) == 1) {
            return;
        }
        nanosleep(&nap, NULL);
    }
    thread->is_stuck = true;
}

void app_stage_thread_finish(struct app_stage_thread *thread)
{
    if (thread->is_running) {
        atomic_store(&thread->is_over, true);
        pthread_join(thread->thread, NULL);
    }
    wp_stage_destroy(thread->stage);
    wp_ring_destroy(thread->orders);
    wp_ring_destroy(thread->news);
    *thread = (struct app_stage_thread){.orders = NULL};
}
