/* SPDX-License-Identifier: MIT */
#ifndef WINDPEAL_OUTPUT_WATCH_H
#define WINDPEAL_OUTPUT_WATCH_H

#include <stdbool.h>
#include <stdint.h>

/*
 * Whether a device plays, and what to do when it does not. A dead sound server does not say so: its
 * callbacks just stop. So frames are counted against the clock, which is handed in.
 */

enum wp_watch_state { WP_WATCH_WAITING, WP_WATCH_OPENING, WP_WATCH_PLAYING };

struct wp_watch {
    enum wp_watch_state state;
    double since_s;    /* when the state began */
    double wait_s;     /* waiting: how long; the next wait is twice as long */
    double moved_s;    /* when frames were last seen to move */
    uint64_t n_played; /* then */
    unsigned int n_lost;
};

/* What is seen of the device. */
struct wp_watch_sight {
    bool is_alive; /* its process runs */
    bool is_open;  /* it said that it opened the device */
    uint64_t n_played;
};

enum wp_watch_order {
    WP_WATCH_NOTHING,
    WP_WATCH_OPEN,    /* start a process */
    WP_WATCH_OPENED,  /* it plays now */
    WP_WATCH_FAILED,  /* end the process if it is alive: it could not open, or took too long */
    WP_WATCH_DROPPED, /* end the process if it is alive: it played and does so no more */
};

/* A device that takes longer to open, or plays nothing for that long, is given up. */
static const double WP_WATCH_OPENING_S = 1.5;
static const double WP_WATCH_STALLED_S = 1.0;

/* The longest wait, and how long it must play for the next loss to wait shortly again. */
static const double WP_WATCH_WAIT_MAX_S = 30.0;
static const double WP_WATCH_STEADY_S = 10.0;

/* Opens at the first step. */
void wp_watch_init(struct wp_watch *watch, double now_s);

/* Takes notice, and says what to do. After FAILED and DROPPED wait_s tells how long it waits. */
enum wp_watch_order wp_watch_step(struct wp_watch *watch, double now_s,
                                  const struct wp_watch_sight *sight);

#endif
