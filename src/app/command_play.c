/* SPDX-License-Identifier: MIT */
/* The command play: starts a live session, lets it run, says how it went. */
#include <math.h>
#include <signal.h>
#include <stdio.h>
#include <stdlib.h>

#include "app/command.h"
#include "app/interrupt.h"
#include "app/json_text.h"
#include "app/play.h"
#include "app/progress.h"
#include "app/report.h"
#include "windpeal/session.h"

/* The device may take so long to say whether it plays. */
static const double first_answer_s = 2.0;

static enum wp_status check_arguments(const struct app_arguments *arguments, struct wp_diags *diags)
{
    const bool *given = arguments->is_given;
    const char *file = arguments->operands[1];
    const bool is_feed = file && app_is_stdout(file);
    if (given[APP_LOG] && !is_feed) {
        return app_refuse(diags, WP_E_CONFLICT, "a file or fixed wind needs no log: render it",
                          "--log keeps a feed; expected - for the weather");
    }
    if (given[APP_LOG] && app_is_stdout(arguments->text[APP_LOG])) {
        return app_refuse(diags, WP_E_RANGE, NULL, "--log needs a file name, not -");
    }
    if (given[APP_LOOP] && (!file || is_feed)) {
        return app_refuse(diags, WP_E_CONFLICT, "leave out --loop",
                          "--loop needs a weather file, which has an end");
    }
    return WP_OK;
}

/* The device that is meant; NULL while there is none at all. */
static enum wp_status find_device(struct app_play *play, struct wp_loudspeakers *list,
                                  const char **device)
{
    const struct app_arguments *arguments = &play->session->arguments;
    const char *part = arguments->is_given[APP_DEVICE] ? arguments->text[APP_DEVICE] : NULL;
    size_t found = 0;
    *device = part;
    if (wp_loudspeakers_list(list) || list->n_items == 0) {
        return WP_OK; /* it may come later */
    }
    const enum wp_status status = wp_loudspeakers_find(list, part, &found, &play->session->diags);
    if (status) {
        return status;
    }
    const struct wp_loudspeaker_info *info = &list->items[found];
    if (info->n_channels < play->n_channels) {
        return app_refuse(&play->session->diags, WP_E_RANGE,
                          info->n_channels == 1 ? "try --channels mono" : "try --device",
                          "the loudspeaker %s has %d channels; %d are wanted", info->name,
                          info->n_channels, play->n_channels);
    }
    *device = info->name;
    return WP_OK;
}

static enum wp_status open_device(struct app_play *play)
{
    struct wp_loudspeakers *list = malloc(sizeof *list);
    const char *device = NULL;
    if (!list) {
        return WP_E_NO_MEMORY;
    }
    enum wp_status status = find_device(play, list, &device);
    if (!status) {
        const struct wp_loudspeaker_config config = {
            .device = device,
            .n_channels = play->n_channels,
            .latency_s = play->latency_s,
            .wanted_rate_hz = 48000,
        };
        status = wp_loudspeaker_create(&play->speaker, &config);
    }
    free(list);
    return status;
}

/* Waits until the device plays or says why not, so that the session starts at its rate. */
static void await_device(struct app_play *play)
{
    static const struct timespec nap = {0, 5000000};
    struct wp_loudspeaker_event *event = &play->view.device;
    const double until_s = app_clock_s() + first_answer_s;
    while (app_clock_s() < until_s && event->state == WP_LOUDSPEAKER_OPENING) {
        if (!wp_loudspeaker_next_event(play->speaker, event)) {
            nanosleep(&nap, NULL);
        }
    }
}

/* Reads the set once before anything is opened: its errors come first. */
static enum wp_status examine_set(struct app_play *play)
{
    const struct app_arguments *arguments = &play->session->arguments;
    const enum wp_channels channels = (enum wp_channels)arguments->choice[APP_CHANNELS];
    const struct app_voice_config config = {.set_name = arguments->operands[0],
                                            .arguments = arguments,
                                            .source = &play->source,
                                            .rate_hz = 48000};
    struct app_voice *voice = NULL;
    const enum wp_status status = app_voice_create(&voice, &config, &play->session->diags);
    if (status) {
        return status;
    }
    play->n_channels = wp_peal_channels(voice->peal);
    play->gain = arguments->is_given[APP_CALIBRATED] ? 1.0 : app_voice_headroom(voice, channels);
    if (arguments->is_given[APP_GAIN]) {
        play->gain *= pow(10.0, arguments->number[APP_GAIN] / 20.0);
    }
    app_voice_destroy(voice);
    return WP_OK;
}

static enum wp_status read_weather(struct app_play *play)
{
    const struct app_arguments *arguments = &play->session->arguments;
    const char *file = arguments->n_operands > 1 ? arguments->operands[1] : NULL;
    const enum wp_status status =
        app_weather_load(&play->source, arguments, file, INFINITY, &play->session->diags);
    const bool has_end = play->source.is_clocked && !arguments->is_given[APP_LOOP];
    play->end_s = arguments->is_given[APP_DURATION] ? arguments->number[APP_DURATION]
                  : has_end                         ? play->source.duration_s
                                                    : (double)INFINITY;
    return status;
}

static enum wp_status open_feed(struct app_play *play)
{
    const struct app_arguments *arguments = &play->session->arguments;
    enum wp_status status = WP_OK;
    if (play->source.is_feed) {
        status = app_live_feed_init(&play->feed, &play->source.reading);
    }
    if (!status && arguments->is_given[APP_LOG]) {
        status = app_text_file_open(&play->log, arguments->text[APP_LOG],
                                    arguments->is_given[APP_OVERWRITE], &play->session->diags);
    }
    if (!status && play->log.file) {
        app_text_file_printed(&play->log,
                              wp_session_print_heading(play->log.file, play->source.wind.start_s));
    }
    return status;
}

static void tell_start(struct app_play *play)
{
    const struct app_set *loaded = &play->voice->loaded;
    const struct wp_loudspeaker_event *device = &play->view.device;
    const size_t n_keys = loaded->set.n_tubes < 10 ? loaded->set.n_tubes : 10;
    if (device->state == WP_LOUDSPEAKER_PLAYING) {
        app_play_screen_note(
            &play->screen, "start", "%s in %s, on %s at %d Hz, gain %+.1f dB, seed %llu",
            loaded->set.name, play->source.name, device->device, device->rate_hz,
            20.0 * log10(play->gain), (unsigned long long)app_seed(&play->session->arguments));
    } else {
        app_play_screen_note(&play->screen, "start",
                             "%s in %s, as soon as there is a loudspeaker; now: %s",
                             loaded->set.name, play->source.name,
                             device->reason[0] ? device->reason : "it does not answer yet");
    }
    app_play_screen_note(&play->screen, "level",
                         "start quietly: the program cannot know how loud your loudspeakers are");
    if (play->terminal.fd >= 0) {
        app_play_screen_note(&play->screen, "keys",
                             "keys: 1 to %zu strike a tube (0 is the tenth), + and - harder and "
                             "softer, space mutes, q leaves",
                             n_keys);
    }
    if (!play->source.is_feed) {
        app_weather_note(&play->source, &loaded->set);
    }
}

static void watch_stop_key(const struct app_play *play)
{
    sigset_t set;
    sigemptyset(&set);
    sigaddset(&set, SIGTSTP);
    if (play->terminal.fd >= 0) {
        sigprocmask(SIG_BLOCK, &set, NULL);
    }
}

/* What a rendering of the log needs to know besides. */
static void remark_in_log(struct app_play *play)
{
    if (play->log.file) {
        app_text_file_printed(
            &play->log, fprintf(play->log.file, "# played at %d Hz with seed %llu\n", play->rate_hz,
                                (unsigned long long)app_seed(&play->session->arguments)));
    }
}

enum wp_status app_play_init(struct app_play *play, struct app_session *session)
{
    *play =
        (struct app_play){.session = session, .end_clock_s = NAN, .silent_clock_s = NAN, .hand = 4};
    play->latency_s =
        session->arguments.is_given[APP_LATENCY] ? session->arguments.number[APP_LATENCY] : 0.2;
    play->terminal.fd = -1;
    play->view.wind.from_deg = NAN;
    app_play_screen_init(&play->screen, session->arguments.is_given[APP_JSON_LINES]);
    enum wp_status status = check_arguments(&session->arguments, &session->diags);
    if (!status) {
        status = read_weather(play);
    }
    if (!status) {
        status = examine_set(play);
    }
    if (!status) {
        status = open_feed(play);
    }
    if (!status) {
        app_interrupt_watch();
        status = open_device(play);
    }
    if (status) {
        return status;
    }
    await_device(play);
    app_terminal_init(&play->terminal);
    watch_stop_key(play);
    const struct wp_loudspeaker_event device = play->view.device;
    const bool is_playing = device.state == WP_LOUDSPEAKER_PLAYING;
    status = app_play_start_stage(play, is_playing ? device.rate_hz : 48000, 0.0);
    if (!status) {
        const struct wp_order order = {.kind = WP_ORDER_DEVICE, .is_on = is_playing};
        app_stage_order(&play->thread, &order);
        play->has_played = is_playing;
        app_play_note_set(play);
        remark_in_log(play);
        tell_start(play);
    }
    return status;
}

/* The log gets its name whatever ended the session. */
static enum wp_status close_log(struct app_play *play)
{
    if (!play->log.file) {
        return WP_OK;
    }
    if (play->is_off_log) {
        app_text_file_printed(&play->log,
                              fprintf(play->log.file, "# blows by hand, an edited set or another "
                                                      "rate came in between\n"));
    }
    app_text_file_printed(&play->log, wp_session_print_end(play->log.file, play->view.t_s));
    return app_text_file_commit(&play->log, &play->session->diags);
}

static void tell_end(struct app_play *play)
{
    const struct app_play_view *view = &play->view;
    app_play_screen_clear(&play->screen);
    if (play->screen.is_json_lines) {
        app_json_print_line(json_pack(
            "{s:s, s:o, s:I, s:I, s:I, s:i}", "event", "end", "t_s", app_json_number(view->t_s),
            "strikes", (json_int_t)view->n_strikes, "missing_frames", (json_int_t)view->n_missing,
            "bent_samples", (json_int_t)view->n_bent, "times_lost", (int)view->device.n_lost));
        return;
    }
    printf("played       %.1f s, %llu %s\n", fmin(view->t_s, play->end_s),
           (unsigned long long)view->n_strikes, view->n_strikes == 1 ? "strike" : "strikes");
    printf("loudspeaker  lost %u %s, %llu frames were not there in time\n", view->device.n_lost,
           view->device.n_lost == 1 ? "time" : "times", (unsigned long long)view->n_missing);
    if (view->n_bent > 0) {
        printf("level        %llu samples above -2.5 dBFS were bent softly\n",
               (unsigned long long)view->n_bent);
    }
    if (play->log.path) {
        printf("log          %s%s\n", play->log.path,
               play->is_off_log ? " (not all of it: blows by hand, an edited set or another rate "
                                  "came in between)"
                                : "");
    }
}

void app_play_finish(struct app_play *play)
{
    app_stage_thread_finish(&play->thread);
    wp_loudspeaker_destroy(play->speaker);
    app_terminal_finish(&play->terminal);
    app_voice_destroy(play->voice);
    app_voice_destroy(play->retiring);
    app_live_feed_finish(&play->feed);
    app_text_file_abandon(&play->log, true);
    app_weather_finish(&play->source);
}

static enum wp_status explain(struct app_play *play, enum wp_status status)
{
    struct wp_diags *diags = &play->session->diags;
    if (!status && play->session->signal_number) {
        return app_refuse(diags, WP_E_INTERRUPTED, NULL, "stopped by a signal");
    }
    if (!status && !play->has_played) {
        return app_refuse(diags, WP_E_DEVICE, "windpeal devices lists what there is",
                          "there was no loudspeaker in all that time; nothing was heard");
    }
    return status;
}

enum wp_status app_play_run(struct app_session *session)
{
    /* Holds weather and findings; too big for a careful stack. */
    struct app_play *play = malloc(sizeof *play);
    if (!play) {
        return WP_E_NO_MEMORY;
    }
    enum wp_status status = app_play_init(play, session);
    const bool is_started = !status;
    while (!status && !app_play_is_over(play)) {
        status = app_play_look(play);
    }
    if (is_started) {
        const enum wp_status log_status = close_log(play);
        tell_end(play);
        status = status ? status : log_status;
        status = explain(play, status);
    }
    app_play_finish(play);
    free(play);
    return status;
}
