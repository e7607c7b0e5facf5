/* SPDX-License-Identifier: MIT */
/* What the loudspeaker of a session does, and what follows. */
#include <stdio.h>

#include "app/play.h"

static enum wp_status take_playing(struct app_play *play, const struct wp_loudspeaker_event *event)
{
    enum wp_status status = WP_OK;
    if (play->has_played) {
        app_play_screen_note(&play->screen, "loudspeaker", "%s plays again, %d frames a second",
                             event->device, event->rate_hz);
    }
    if (event->rate_hz != play->rate_hz) {
        play->is_off_log = true;
        status = app_play_start_stage(play, event->rate_hz, play->view.t_s);
    }
    play->has_played = true;
    return status;
}

static void take_waiting(struct app_play *play, const struct wp_loudspeaker_event *event)
{
    app_play_screen_note(&play->screen, "loudspeaker",
                         "waiting for a loudspeaker (%s): weather and strikes go on, trying again "
                         "in %.0f s",
                         event->reason, event->retry_s);
}

static void print_noise(struct app_play *play)
{
    char noise[1024];
    while (wp_loudspeaker_noise(play->speaker, noise, sizeof noise) > 0) {
        app_play_screen_clear(&play->screen);
        fputs(noise, stderr);
    }
}

enum wp_status app_play_hear_device(struct app_play *play)
{
    struct wp_loudspeaker_event event;
    enum wp_status status = WP_OK;
    uint64_t n_played;
    while (!status && wp_loudspeaker_next_event(play->speaker, &event)) {
        const bool is_playing = event.state == WP_LOUDSPEAKER_PLAYING;
        const struct wp_order order = {.kind = WP_ORDER_DEVICE, .is_on = is_playing};
        play->view.device = event;
        if (is_playing) {
            status = take_playing(play, &event);
        } else if (event.state == WP_LOUDSPEAKER_WAITING) {
            take_waiting(play, &event);
        }
        app_stage_order(&play->thread, &order);
    }
    wp_loudspeaker_count(play->speaker, &n_played, &play->view.n_missing);
    if (play->session->arguments.is_given[APP_VERBOSE]) {
        print_noise(play);
    }
    return status;
}
