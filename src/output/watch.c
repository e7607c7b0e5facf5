/* SPDX-License-Identifier: MIT */
/* Decides when a device is lost and when to try again. */
#include "output/watch.h"

#include <math.h>

static const double first_wait_s = 1.0;

static void enter(struct wp_watch *watch, enum wp_watch_state state, double now_s)
{
    watch->state = state;
    watch->since_s = now_s;
}

void wp_watch_init(struct wp_watch *watch, double now_s)
{
    *watch = (struct wp_watch){.state = WP_WATCH_WAITING, .since_s = now_s};
}

/* 1, 2, 4, ... seconds, up to the longest. */
static enum wp_watch_order give_up(struct wp_watch *watch, double now_s, enum wp_watch_order order)
{
    watch->wait_s = fmin(fmax(2.0 * watch->wait_s, first_wait_s), WP_WATCH_WAIT_MAX_S);
    enter(watch, WP_WATCH_WAITING, now_s);
    return order;
}

static enum wp_watch_order look_at_opening(struct wp_watch *watch, double now_s,
                                           const struct wp_watch_sight *sight)
{
    if (sight->is_alive && sight->is_open) {
        watch->moved_s = now_s;
        watch->n_played = sight->n_played;
        enter(watch, WP_WATCH_PLAYING, now_s);
        return WP_WATCH_OPENED;
    }
    const bool is_late = now_s - watch->since_s > WP_WATCH_OPENING_S;
    return !sight->is_alive || is_late ? give_up(watch, now_s, WP_WATCH_FAILED) : WP_WATCH_NOTHING;
}

static enum wp_watch_order look_at_playing(struct wp_watch *watch, double now_s,
                                           const struct wp_watch_sight *sight)
{
    if (sight->n_played != watch->n_played) {
        watch->n_played = sight->n_played;
        watch->moved_s = now_s;
    }
    if (now_s - watch->since_s > WP_WATCH_STEADY_S) {
        watch->wait_s = 0.0;
    }
    if (sight->is_alive && now_s - watch->moved_s <= WP_WATCH_STALLED_S) {
        return WP_WATCH_NOTHING;
    }
    watch->n_lost++;
    return give_up(watch, now_s, WP_WATCH_DROPPED);
}

enum wp_watch_order wp_watch_step(struct wp_watch *watch, double now_s,
                                  const struct wp_watch_sight *sight)
{
    switch (watch->state) {
    case WP_WATCH_OPENING:
        return look_at_opening(watch, now_s, sight);
    case WP_WATCH_PLAYING:
        return look_at_playing(watch, now_s, sight);
    case WP_WATCH_WAITING:
        break;
    }
    if (now_s - watch->since_s < watch->wait_s) {
        return WP_WATCH_NOTHING;
    }
    enter(watch, WP_WATCH_OPENING, now_s);
    return WP_WATCH_OPEN;
}
