/* SPDX-License-Identifier: MIT */
/* The main thread of a live session: one look at everything, again and again. */
#include "app/play.h"

#include <math.h>
#include <signal.h>
#include <string.h>
#include <time.h>

#include "app/interrupt.h"
#include "app/progress.h"
#include "app/report.h"
#include "app/wind_settings.h"
#include "windpeal/session.h"

enum { WAIT_MS = 50, HANDS = 8 };

/* How hard keys strike. */
static const double hands_m_s[HANDS] = {0.03, 0.05, 0.1, 0.2, 0.3, 0.5, 0.8, 1.2};

/* Between two showings of the status. */
static const double show_line_s = 0.2;
static const double show_json_s = 1.0;

static void take_level(struct app_play *play, const struct wp_news *news)
{
    struct app_play_view *view = &play->view;
    view->t_s = (double)news->frame / play->rate_hz;
    view->wind = news->wind;
    view->mean_m_s = news->mean_m_s;
    view->peak = fmax(view->peak, news->level.peak);
    view->rms = news->level.rms;
    view->n_bent += news->level.n_bent;
    if (news->is_silent && isnan(play->silent_clock_s)) {
        play->silent_clock_s = app_clock_s();
    }
    if (news->level.n_bent > 0 && !play->is_bend_told) {
        play->is_bend_told = true;
        app_play_screen_note(&play->screen, "level",
                             "peaks above -2.5 dBFS are bent softly from now on, so that none is "
                             "cut off; --gain '-6 dB' keeps them as they are");
    }
}

static void take_strike(struct app_play *play, const struct wp_strike *strike)
{
    struct app_play_view *view = &play->view;
    struct wp_strike placed = *strike;
    placed.t_s += play->voice_s;
    memmove(view->last_tubes + 1, view->last_tubes,
            (APP_LAST_STRUCK_MAX - 1) * sizeof view->last_tubes[0]);
    view->last_tubes[0] = strike->tube + 1;
    view->n_last += view->n_last < APP_LAST_STRUCK_MAX ? 1 : 0;
    view->n_strikes++;
    app_play_screen_strike(&play->screen, &placed);
}

/* A report took hold: for the log, and for the voice of an edited set. */
static void take_record(struct app_play *play, const struct wp_record *record)
{
    if (play->n_recent == APP_RECENT_MAX) {
        memmove(play->recent, play->recent + 1, (APP_RECENT_MAX - 1) * sizeof play->recent[0]);
        play->n_recent--;
    }
    play->recent[play->n_recent++] = *record;
    play->n_taken++;
    if (play->log.file) {
        app_text_file_printed(&play->log,
                              wp_session_print(play->log.file, record, play->source.wind.start_s));
        app_text_file_printed(&play->log, fflush(play->log.file));
    }
}

static void take_feed(struct app_play *play, enum wp_wind_news feed)
{
    static const char *const texts[] = {
        [WP_WIND_WAITING] = "no report has come yet: it is calm until the first one",
        [WP_WIND_FRESH] = "the feed reports",
        [WP_WIND_SILENT] = "the feed has fallen silent: its wind falls to a calm until it is back",
        [WP_WIND_FADED] = "the wind has fallen to a calm",
    };
    if (play->source.is_feed) {
        app_play_screen_note(&play->screen, "feed", "%s", texts[feed]);
    }
}

/* A voice that was replaced before it was heard ends with the session. */
static void take_retired(struct app_play *play, const struct wp_peal *peal)
{
    if (play->retiring && play->retiring->peal == peal) {
        app_voice_destroy(play->retiring);
        play->retiring = NULL;
    }
}

static void hear_news(struct app_play *play)
{
    struct wp_news news;
    while (wp_ring_read(play->thread.news, &news, 1) > 0) {
        switch (news.kind) {
        case WP_NEWS_STRUCK:
            take_strike(play, &news.strike);
            break;
        case WP_NEWS_RETIRED:
            take_retired(play, news.peal);
            break;
        case WP_NEWS_TAKEN:
            take_record(play, &news.record);
            break;
        case WP_NEWS_DROPPED:
            play->n_taken++;
            break;
        case WP_NEWS_FEED:
            take_feed(play, news.feed);
            break;
        case WP_NEWS_LEVEL:
            take_level(play, &news);
            break;
        }
    }
}

/* What a wrong unit would be seen by. */
static void tell_understood(struct app_play *play, const struct wp_weather *understood)
{
    for (size_t i = 0; i < understood->n_columns; i++) {
        const struct wp_weather_column *column = &understood->columns[i];
        if (strcmp(column->meaning, "speed") == 0) {
            app_play_screen_note(&play->screen, "feed", "the feed is %s, speed '%s'%s%s (%s)",
                                 understood->format, column->heading, column->unit[0] ? " in " : "",
                                 column->unit, column->why);
        }
    }
}

/* The first report tells the format, and that what it averages over: for the wind, the voice of an
 * edited set, and the log where it is not what everybody assumes. */
static enum wp_status take_averages(struct app_play *play, const struct wp_weather *understood)
{
    struct wp_wind_config assumed;
    struct wp_wind_config *wind = &play->source.wind;
    const enum wp_status status =
        app_wind_averages(wind, understood, &play->session->arguments, &play->session->diags);
    if (status) {
        return status;
    }
    wp_wind_config_default(&assumed);
    const struct wp_order order = {
        .kind = WP_ORDER_AVERAGES,
        .averages = {wind->averaging_s, wind->gust_s, wind->gust_over_s},
    };
    app_stage_order(&play->thread, &order);
    if (play->log.file &&
        (wind->averaging_s != assumed.averaging_s || wind->gust_s != assumed.gust_s ||
         wind->gust_over_s != assumed.gust_over_s)) {
        app_text_file_printed(&play->log,
                              wp_session_print_averages(play->log.file, &order.averages));
    }
    return WP_OK;
}

static enum wp_status hear_feed(struct app_play *play)
{
    struct wp_order order = {.kind = WP_ORDER_REPORT};
    bool has_record = false;
    enum wp_status status = app_live_feed_read(&play->feed, WAIT_MS, (double)time(NULL),
                                               &order.record, &has_record, &play->session->diags);
    if (!status && has_record && play->n_reports == 0) {
        const struct wp_weather *understood = wp_feed_understood(play->feed.feed);
        tell_understood(play, understood);
        status = take_averages(play, understood);
    }
    if (!status && has_record) {
        app_stage_order(&play->thread, &order);
        play->n_reports++;
    }
    if (!status && play->session->diags.n_items > 0) {
        app_play_screen_clear(&play->screen);
        app_report_warnings(&play->session->diags);
    }
    return status;
}

/* Once the last report has taken hold, which is half a second after it came. */
static void tell_feed_end(struct app_play *play)
{
    const double last_s = play->n_recent > 0
                              ? play->recent[play->n_recent - 1].t_s - play->source.wind.start_s
                              : -(double)INFINITY;
    if (play->feed.is_ended && !play->is_feed_end_told && play->n_reports == play->n_taken &&
        play->view.t_s > last_s) {
        play->is_feed_end_told = true;
        app_play_screen_note(&play->screen, "feed", "standard input has ended; no more reports");
    }
}

static void strike_by_hand(struct app_play *play, size_t tube)
{
    const struct wp_order order = {
        .kind = WP_ORDER_STRIKE, .tube = tube, .speed_m_s = hands_m_s[play->hand]};
    if (tube < play->voice->loaded.set.n_tubes) {
        app_stage_order(&play->thread, &order);
        play->is_off_log = true;
    }
}

static void mute(struct app_play *play)
{
    play->view.is_muted = !play->view.is_muted;
    const struct wp_order order = {.kind = WP_ORDER_MUTE, .is_on = play->view.is_muted};
    app_stage_order(&play->thread, &order);
}

static void hear_keys(struct app_play *play)
{
    char key;
    while ((key = app_terminal_key(&play->terminal)) != '\0') {
        if (key >= '1' && key <= '9') {
            strike_by_hand(play, (size_t)(key - '1'));
        } else if (key == '0') {
            strike_by_hand(play, 9);
        } else if (key == '+' || key == '=') {
            play->hand += play->hand + 1 < HANDS ? 1 : 0;
        } else if (key == '-') {
            play->hand -= play->hand > 0 ? 1 : 0;
        } else if (key == ' ') {
            mute(play);
        } else if (key == 'q' || key == 'Q') {
            app_play_end(play);
        }
    }
    play->view.hand_m_s = hands_m_s[play->hand];
}

static void hear_signals(struct app_play *play)
{
    sigset_t stop;
    const struct timespec at_once = {0, 0};
    sigemptyset(&stop);
    sigaddset(&stop, SIGTSTP);
    if (sigtimedwait(&stop, NULL, &at_once) == SIGTSTP) {
        app_play_screen_clear(&play->screen);
        app_terminal_stop(&play->terminal);
    }
    const int caught = app_interrupt_caught();
    if (caught && !play->session->signal_number) {
        play->session->signal_number = caught;
        app_play_end(play);
    }
}

static void show(struct app_play *play)
{
    const double now_s = app_clock_s();
    const double every_s = play->screen.is_json_lines ? show_json_s : show_line_s;
    if (now_s - play->shown_clock_s >= every_s) {
        play->shown_clock_s = now_s;
        app_play_screen_show(&play->screen, &play->view);
        play->view.peak = 0.0;
    }
}

void app_play_end(struct app_play *play)
{
    if (isnan(play->end_clock_s)) {
        const double left_s = play->end_s - APP_PLAY_FADE_S;
        const bool is_at_end = play->view.t_s < left_s && left_s - play->view.t_s < 1.0;
        const struct wp_order order = {
            .kind = WP_ORDER_PLAY,
            .frame = is_at_end ? (uint64_t)(left_s * play->rate_hz + 0.5) : 0,
        };
        play->end_clock_s = app_clock_s();
        app_stage_order(&play->thread, &order);
    }
}

bool app_play_is_over(const struct app_play *play)
{
    if (isnan(play->end_clock_s)) {
        return false;
    }
    /* What was made last is heard after the latency. */
    const bool is_playing = play->view.device.state == WP_LOUDSPEAKER_PLAYING;
    const double rest_s = is_playing ? play->latency_s : 0.0;
    const double now_s = app_clock_s();
    return now_s - play->end_clock_s > APP_PLAY_END_S + rest_s ||
           now_s - play->silent_clock_s > rest_s;
}

enum wp_status app_play_look(struct app_play *play)
{
    enum wp_status status = hear_feed(play);
    hear_signals(play);
    hear_keys(play);
    hear_news(play);
    tell_feed_end(play);
    if (!status) {
        status = app_play_hear_device(play);
    }
    if (!status && play->thread.is_stuck) {
        status = app_refuse(&play->session->diags, WP_E_DEVICE, NULL,
                            "the thread that makes the sound has not answered for a second");
    }
    if (!status && isnan(play->end_clock_s)) {
        app_play_look_at_set(play);
        app_play_look_at_round(play);
        if (play->view.t_s > play->end_s - APP_PLAY_FADE_S - 0.5) {
            app_play_end(play);
        }
    }
    show(play);
    return status;
}
