/* SPDX-License-Identifier: MIT */
#ifndef WINDPEAL_APP_PLAY_SCREEN_H
#define WINDPEAL_APP_PLAY_SCREEN_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "windpeal/loudspeaker.h"
#include "windpeal/set.h"
#include "windpeal/stage.h"

/* What a user or a machine sees of a session: a line on a terminal, or a JSON object a line. */

enum { APP_LAST_STRUCK_MAX = 6 };

/* How things stand. */
struct app_play_view {
    double t_s; /* since the beginning */
    struct wp_wind_sample wind;
    double mean_m_s;
    double peak; /* largest sample since the line was shown last */
    double rms;
    uint64_t n_strikes;
    uint64_t n_missing; /* frames that were not there in time */
    uint64_t n_bent;    /* samples above the linear range */
    size_t n_last;
    size_t last_tubes[APP_LAST_STRUCK_MAX]; /* from 1, the latest first */
    double hand_m_s;                        /* how hard keys strike */
    bool is_muted;
    struct wp_loudspeaker_event device;
};

struct app_play_screen {
    bool is_json_lines;
    size_t width; /* of the terminal; 0: no line is shown */
    bool is_shown;
};

/* The line is shown on standard error when it is a terminal. */
void app_play_screen_init(struct app_play_screen *screen, bool is_json_lines);

/* Shows how things stand; with JSON lines as an object. */
void app_play_screen_show(struct app_play_screen *screen, const struct app_play_view *view);

/* Takes the line away, so that something else can be printed. */
void app_play_screen_clear(struct app_play_screen *screen);

/* Prints a note, on standard error, and with JSON lines an event of that kind. */
void app_play_screen_note(struct app_play_screen *screen, const char *kind, const char *format, ...)
    WP_PRINTF(3, 4);

/* With JSON lines tells of a strike, else does nothing. */
void app_play_screen_strike(const struct app_play_screen *screen, const struct wp_strike *strike);

#endif
