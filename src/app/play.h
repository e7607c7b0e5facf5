/* SPDX-License-Identifier: MIT */
#ifndef WINDPEAL_APP_PLAY_H
#define WINDPEAL_APP_PLAY_H

#include <stdbool.h>
#include <stdint.h>
#include <sys/stat.h>

#include "app/command.h"
#include "app/live_feed.h"
#include "app/play_screen.h"
#include "app/stage_thread.h"
#include "app/terminal.h"
#include "app/text_file.h"
#include "app/voice.h"
#include "app/weather_source.h"
#include "windpeal/loudspeaker.h"

/*
 * A live session. The main thread reads feed, keys and set file, gives orders and shows news; the
 * stage's thread makes frames; the loudspeaker's processes play them.
 */

/* Must not move. Times are seconds since the session's first frame. */
struct app_play {
    struct app_session *session;
    struct app_weather source;
    struct wp_loudspeaker *speaker;
    struct app_stage_thread thread;
    struct app_voice *voice;    /* plays or fades in */
    struct app_voice *retiring; /* fades out; NULL: none */
    struct app_live_feed feed;
    struct app_text_file log;
    struct app_terminal terminal;
    struct app_play_screen screen;
    struct app_play_view view;
    struct stat set_file;
    struct wp_record recent[APP_RECENT_MAX]; /* of the feed, as they took hold */
    size_t n_recent;
    uint64_t n_reports; /* that were handed to the stage */
    uint64_t n_taken;   /* of them, that the stage answered */
    double latency_s;
    double gain;
    int n_channels;
    int rate_hz;
    double voice_s; /* when voice began */
    double round_s; /* when the weather began, the last time round */
    uint64_t n_rounds;
    double end_s;          /* INFINITY: none */
    double end_clock_s;    /* when the ending began; NAN: it has not */
    double silent_clock_s; /* when all had faded out; NAN: it has not */
    double shown_clock_s;
    size_t hand; /* how hard keys strike: index */
    bool has_played;
    bool is_feed_end_told;
    bool is_bend_told;
    bool is_off_log; /* the log no longer tells all that was played */
};

/* Longest time that leaving may take after the last wish. */
static const double APP_PLAY_END_S = 1.0;

/* Every fade: in, out, from set to set. */
static const double APP_PLAY_FADE_S = 0.3;

/* Reads set and weather, finds the loudspeaker, starts everything. To finish also on failure. */
enum wp_status app_play_init(struct app_play *play, struct app_session *session);

/* Plays until the end, a wish to leave or an error. */
enum wp_status app_play_run(struct app_session *session);

/* Stops everything and frees; the terminal is as it was. */
void app_play_finish(struct app_play *play);

/* One look at everything; waits a twentieth of a second for a feed. */
enum wp_status app_play_look(struct app_play *play);

/* True when all has faded out and nothing is left to do. */
bool app_play_is_over(const struct app_play *play);

/* Begins to fade out, once. */
void app_play_end(struct app_play *play);

/* Starts the stage's thread with a voice that begins at t_s, in place of the one before. */
enum wp_status app_play_start_stage(struct app_play *play, int rate_hz, double t_s);

/* Acts on what the loudspeaker's processes tell. */
enum wp_status app_play_hear_device(struct app_play *play);

/* Reads the set file again when it has been saved. */
void app_play_look_at_set(struct app_play *play);

/* Remembers the set file as it is. */
void app_play_note_set(struct app_play *play);

/* Begins the weather anew when it ends soon. */
void app_play_look_at_round(struct app_play *play);

#endif
