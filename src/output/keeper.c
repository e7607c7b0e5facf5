/* SPDX-License-Identifier: MIT */
/* The process that starts, watches and restarts the one that plays. */
#include "output/keeper.h"

#include <stdio.h>
#include <time.h>
#include <unistd.h>

#include "output/watch.h"

/* How long a device may take to close. */
static const int patience_ms = 700;

struct keeper {
    struct wp_keeper_task *task;
    struct wp_watch watch;
    struct wp_ward ward;
    struct wp_opening opening; /* the last that was heard of */
    bool is_answered;          /* by the process at hand */
};

static double clock_s(void)
{
    struct timespec now;
    clock_gettime(CLOCK_MONOTONIC, &now);
    return (double)now.tv_sec + 1e-9 * (double)now.tv_nsec;
}

static void pass_noise_on(struct keeper *keeper)
{
    char text[512];
    size_t n_read;
    while ((n_read = wp_ward_listen(&keeper->ward, text, sizeof text)) > 0) {
        wp_ring_write(keeper->task->noise, text, n_read);
    }
}

static void tell(struct keeper *keeper, enum wp_loudspeaker_state state, const char *reason)
{
    struct wp_loudspeaker_event event = {
        .state = state,
        .rate_hz = keeper->opening.rate_hz,
        .retry_s = keeper->watch.wait_s,
        .n_lost = keeper->watch.n_lost,
    };
    snprintf(event.device, sizeof event.device, "%s", keeper->opening.device);
    snprintf(event.reason, sizeof event.reason, "%s", reason);
    wp_ring_write(keeper->task->events, &event, 1);
}

/* Why it came to nothing. */
static const char *reason_of(const struct keeper *keeper, bool has_played)
{
    if (has_played) {
        return "it no longer plays; the device or its sound server is gone";
    }
    if (!keeper->is_answered) {
        return keeper->ward.has_failed ? "the sound system broke down"
                                       : "the sound system does not answer";
    }
    return keeper->opening.reason;
}

static void start(struct keeper *keeper)
{
    keeper->opening = (struct wp_opening){.is_open = false};
    keeper->is_answered = false;
    wp_ring_skip(keeper->task->player.openings);
    wp_ward_start(&keeper->ward, keeper->task->play, &keeper->task->player);
    tell(keeper, WP_LOUDSPEAKER_OPENING, "");
}

static void step(struct keeper *keeper)
{
    const struct wp_sound_system_task *player = &keeper->task->player;
    const bool is_alive = wp_ward_is_alive(&keeper->ward);
    if (wp_ring_read(player->openings, &keeper->opening, 1) > 0) {
        keeper->is_answered = true;
    }
    const struct wp_watch_sight sight = {
        .is_alive = is_alive,
        .is_open = keeper->opening.is_open,
        .n_played = atomic_load_explicit(&player->shared->n_played, memory_order_relaxed),
    };
    pass_noise_on(keeper);
    const enum wp_watch_order order = wp_watch_step(&keeper->watch, clock_s(), &sight);
    switch (order) {
    case WP_WATCH_NOTHING:
        break;
    case WP_WATCH_OPEN:
        start(keeper);
        break;
    case WP_WATCH_OPENED:
        tell(keeper, WP_LOUDSPEAKER_PLAYING, "");
        break;
    case WP_WATCH_FAILED:
    case WP_WATCH_DROPPED:
        tell(keeper, WP_LOUDSPEAKER_WAITING, reason_of(keeper, order == WP_WATCH_DROPPED));
        wp_ward_end(&keeper->ward);
        break;
    }
}

void wp_keeper_work(void *task)
{
    static const struct timespec tick = {0, 50000000};
    const pid_t parent = getppid();
    struct keeper keeper = {.task = task, .ward = {.pid = 0, .noise_fd = -1}};
    wp_watch_init(&keeper.watch, clock_s());
    while (!wp_ward_is_orphan(parent) && !atomic_load(&keeper.task->player.shared->is_over)) {
        step(&keeper);
        nanosleep(&tick, NULL);
    }
    if (keeper.watch.state == WP_WATCH_PLAYING) {
        wp_ward_await(&keeper.ward, patience_ms);
    }
    wp_ward_end(&keeper.ward);
}
