/* SPDX-License-Identifier: MIT */
/* What the render thread does, step by step. */
#include "windpeal/stage.h"

#include <math.h>
#include <stdlib.h>

#include "windpeal/session.h"

enum { PIECE_FRAMES = 256 };

/* Distance of two looks at level and wind. */
static const double look_s = 0.1;

/* Time over which the mean of the wind is taken (WMO-No. 8: ten minutes). */
static const double mean_s = 600.0;

/* A longer pause of the caller is not made up for. */
static const double pause_max_s = 2.0;

struct wp_stage {
    struct wp_stage_config config;
    struct wp_player *player;
    struct wp_wind_sample sample; /* of the wind that the peal hears */
    double mean_m_s;
    double n_looks; /* that mean_m_s is made of */
    bool has_device;
    double clock_s; /* without a device: when frame was reached; NAN: not known yet */
    uint64_t frame; /* next to make */
    uint64_t n_strikes;
    double next_look_s;
    enum wp_wind_news feed;
    bool is_peal_coming;
    struct wp_order coming; /* a peal that waits for its frame */
    float *piece;
};

enum wp_status wp_stage_create(struct wp_stage **out, const struct wp_stage_config *config)
{
    *out = NULL;
    struct wp_stage *stage = calloc(1, sizeof *stage);
    if (!stage) {
        return WP_E_NO_MEMORY;
    }
    stage->config = *config;
    stage->frame = config->first_frame;
    stage->clock_s = NAN;
    stage->sample.from_deg = NAN;
    enum wp_status status = wp_player_create(&stage->player, &config->player);
    if (!status) {
        const size_t n_samples = (size_t)config->player.n_channels * PIECE_FRAMES;
        stage->piece = calloc(n_samples, sizeof *stage->piece);
        status = stage->piece ? WP_OK : WP_E_NO_MEMORY;
    }
    if (status) {
        wp_stage_destroy(stage);
        return status;
    }
    *out = stage;
    return WP_OK;
}

void wp_stage_destroy(struct wp_stage *stage)
{
    if (stage) {
        wp_player_destroy(stage->player);
        free(stage->piece);
        free(stage);
    }
}

static void tell(struct wp_stage *stage, const struct wp_news *news)
{
    wp_ring_write(stage->config.news, news, 1);
}

/* Strikes and levels leave room for the news that must not be lost. */
static void tell_if_read(struct wp_stage *stage, const struct wp_news *news)
{
    if (wp_ring_count(stage->config.news) < WP_STAGE_NEWS_LEAST / 2) {
        tell(stage, news);
    }
}

static void hear(void *target, const struct wp_strike *strike)
{
    struct wp_stage *stage = target;
    const struct wp_news news = {.kind = WP_NEWS_STRUCK, .strike = *strike};
    stage->n_strikes++;
    tell_if_read(stage, &news);
}

struct wp_peal_listener wp_stage_listener(struct wp_stage *stage)
{
    return (struct wp_peal_listener){hear, stage};
}

static double time_s(const struct wp_stage *stage)
{
    return (double)stage->frame / stage->config.player.rate_hz;
}

/* From which tenth of a second on a record can hold that comes in now. */
static double holding_from_s(const struct wp_stage *stage)
{
    static const double step_s = 0.1;
    return stage->config.start_s + step_s * ceil((time_s(stage) + WP_PEAL_AHEAD_S) / step_s);
}

/* Peals that play, fade in or wait take the record. */
static void take_report(struct wp_stage *stage, const struct wp_record *record)
{
    struct wp_news news = {.kind = WP_NEWS_TAKEN, .record = *record};
    struct wp_peal *peal = wp_player_peal(stage->player);
    news.record.t_s = holding_from_s(stage);
    wp_session_round(&news.record, stage->config.start_s);
    if (peal && wp_peal_report(peal, &news.record)) {
        news.kind = WP_NEWS_DROPPED;
    }
    if (stage->is_peal_coming && stage->coming.peal) {
        wp_peal_report(stage->coming.peal, &news.record);
    }
    tell(stage, &news);
}

static void take_averages(struct wp_stage *stage, const struct wp_averages *averages)
{
    struct wp_peal *peal = wp_player_peal(stage->player);
    if (peal) {
        wp_peal_set_averages(peal, averages);
    }
    if (stage->is_peal_coming && stage->coming.peal) {
        wp_peal_set_averages(stage->coming.peal, averages);
    }
}

/* A device that begins to play finds silence and hears it fade in. */
static void take_device(struct wp_stage *stage, bool is_on)
{
    if (is_on) {
        wp_player_restart(stage->player);
    }
    stage->has_device = is_on;
    stage->clock_s = NAN;
}

static void tell_retired(struct wp_stage *stage, struct wp_peal *peal)
{
    const struct wp_news news = {.kind = WP_NEWS_RETIRED, .peal = peal};
    if (peal) {
        tell(stage, &news);
    }
}

static void take_play(struct wp_stage *stage, const struct wp_order *order)
{
    if (stage->is_peal_coming) {
        tell_retired(stage, stage->coming.peal);
    }
    stage->coming = *order;
    stage->is_peal_coming = true;
}

static void follow(struct wp_stage *stage, const struct wp_order *order)
{
    struct wp_peal *peal = wp_player_peal(stage->player);
    switch (order->kind) {
    case WP_ORDER_PLAY:
        take_play(stage, order);
        break;
    case WP_ORDER_STRIKE:
        if (peal) {
            wp_peal_strike(peal, order->tube, order->speed_m_s);
        }
        break;
    case WP_ORDER_MUTE:
        wp_player_mute(stage->player, order->is_on);
        break;
    case WP_ORDER_AVERAGES:
        take_averages(stage, &order->averages);
        break;
    case WP_ORDER_REPORT:
        take_report(stage, &order->record);
        break;
    case WP_ORDER_DEVICE:
        take_device(stage, order->is_on);
        break;
    }
}

static void follow_orders(struct wp_stage *stage)
{
    struct wp_order order;
    while (wp_ring_read(stage->config.orders, &order, 1) > 0) {
        follow(stage, &order);
    }
}

/* Starts the change whose frame has come; returns how many frames may be made until the next. */
static size_t begin_change(struct wp_stage *stage, size_t n_frames)
{
    if (!stage->is_peal_coming) {
        return n_frames;
    }
    if (stage->coming.frame > stage->frame) {
        const uint64_t n_left = stage->coming.frame - stage->frame;
        return n_left < n_frames ? (size_t)n_left : n_frames;
    }
    if (wp_player_play(stage->player, stage->coming.peal)) {
        stage->is_peal_coming = false;
    }
    return n_frames;
}

/* Looks at the wind of the peal that plays or fades in. */
static void follow_wind(struct wp_stage *stage)
{
    struct wp_peal *peal = wp_player_peal(stage->player);
    if (!peal) {
        return;
    }
    const enum wp_wind_news feed = wp_peal_wind(peal, &stage->sample);
    stage->n_looks = fmin(stage->n_looks + 1.0, mean_s / look_s);
    stage->mean_m_s += (stage->sample.speed_m_s - stage->mean_m_s) / stage->n_looks;
    if (feed != stage->feed) {
        const struct wp_news news = {.kind = WP_NEWS_FEED, .feed = feed};
        stage->feed = feed;
        tell(stage, &news);
    }
}

static void look(struct wp_stage *stage)
{
    if (time_s(stage) < stage->next_look_s) {
        return;
    }
    stage->next_look_s = time_s(stage) + look_s;
    follow_wind(stage);
    struct wp_news news = {
        .kind = WP_NEWS_LEVEL,
        .frame = stage->frame,
        .wind = stage->sample,
        .mean_m_s = stage->mean_m_s,
        .n_strikes = stage->n_strikes,
        .is_silent = !stage->is_peal_coming && wp_player_is_silent(stage->player),
    };
    wp_player_level(stage->player, &news.level);
    tell_if_read(stage, &news);
}

/* How many frames are due. */
static size_t frames_due(struct wp_stage *stage, double now_s)
{
    if (stage->has_device) {
        const size_t n_waiting = stage->config.sink.waiting(stage->config.sink.target);
        return n_waiting < stage->config.n_ahead ? stage->config.n_ahead - n_waiting : 0;
    }
    if (isnan(stage->clock_s) || now_s - stage->clock_s > pause_max_s) {
        stage->clock_s = now_s;
    }
    const double n_due = floor((now_s - stage->clock_s) * stage->config.player.rate_hz);
    stage->clock_s += n_due / stage->config.player.rate_hz;
    return (size_t)n_due;
}

/* Makes up to n_frames and hands them to the device, if there is one. */
static size_t make(struct wp_stage *stage, size_t n_frames)
{
    const size_t n_wanted = n_frames < PIECE_FRAMES ? n_frames : PIECE_FRAMES;
    const size_t n = begin_change(stage, n_wanted);
    wp_player_render(stage->player, stage->piece, n);
    if (stage->has_device) {
        stage->config.sink.write(stage->config.sink.target, stage->piece, n);
    }
    stage->frame += n;
    tell_retired(stage, wp_player_retire(stage->player));
    look(stage);
    return n;
}

void wp_stage_step(struct wp_stage *stage, double now_s)
{
    follow_orders(stage);
    const size_t n_due = frames_due(stage, now_s);
    for (size_t done = 0; done < n_due;) {
        done += make(stage, n_due - done);
        follow_orders(stage);
    }
}

uint64_t wp_stage_frame(const struct wp_stage *stage)
{
    return stage->frame;
}
