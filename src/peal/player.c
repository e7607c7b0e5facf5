/* SPDX-License-Identifier: MIT */
/* Fades, gain and soft limit between peals and a loudspeaker. */
#include "windpeal/player.h"

#include <assert.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "synth/subnormal.h"

enum { PIECE_FRAMES = 128 };

/* A gain on its way, straight in its argument and a raised cosine in its effect. */
struct fade {
    double at_01;
    double to_01;
    double step; /* a frame */
};

struct wp_player {
    struct wp_player_config config;
    struct wp_peal *now;    /* NULL: silence */
    struct wp_peal *before; /* fades out; NULL: silence or nothing */
    struct wp_peal *retired;
    bool is_changing;
    struct fade change; /* of now over before */
    struct fade mute;
    struct fade start;
    double peak;
    double square_sum;
    uint64_t n_samples;
    uint64_t n_bent;
    float *piece; /* PIECE_FRAMES of the peal that fades out */
};

enum wp_status wp_player_create(struct wp_player **out, const struct wp_player_config *config)
{
    *out = NULL;
    if (config->rate_hz <= 0 || config->n_channels <= 0 || !(config->gain >= 0.0) ||
        !(config->fade_s > 0.0)) {
        return WP_E_RANGE;
    }
    struct wp_player *player = calloc(1, sizeof *player);
    if (!player) {
        return WP_E_NO_MEMORY;
    }
    const double step = 1.0 / (config->fade_s * config->rate_hz);
    player->config = *config;
    player->change = (struct fade){1.0, 1.0, step};
    player->mute = (struct fade){1.0, 1.0, step};
    player->start = (struct fade){1.0, 1.0, step};
    player->piece = calloc((size_t)config->n_channels * PIECE_FRAMES, sizeof *player->piece);
    if (!player->piece) {
        wp_player_destroy(player);
        return WP_E_NO_MEMORY;
    }
    *out = player;
    return WP_OK;
}

void wp_player_destroy(struct wp_player *player)
{
    if (player) {
        free(player->piece);
        free(player);
    }
}

bool wp_player_play(struct wp_player *player, struct wp_peal *peal)
{
    if (player->is_changing || player->retired) {
        return false;
    }
    assert(!peal || wp_peal_channels(peal) == player->config.n_channels);
    player->before = player->now;
    player->now = peal;
    player->change.at_01 = 0.0;
    player->is_changing = true;
    return true;
}

struct wp_peal *wp_player_peal(const struct wp_player *player)
{
    return player->now;
}

struct wp_peal *wp_player_retire(struct wp_player *player)
{
    struct wp_peal *retired = player->retired;
    player->retired = NULL;
    return retired;
}

void wp_player_mute(struct wp_player *player, bool is_muted)
{
    player->mute.to_01 = is_muted ? 0.0 : 1.0;
}

void wp_player_restart(struct wp_player *player)
{
    player->start.at_01 = 0.0;
}

bool wp_player_is_silent(const struct wp_player *player)
{
    return !player->now && !player->is_changing;
}

/* Moves on by a frame and tells its gain. */
static float fade_step(struct fade *fade)
{
    if (fade->at_01 < fade->to_01) {
        fade->at_01 = fmin(fade->at_01 + fade->step, fade->to_01);
    } else if (fade->at_01 > fade->to_01) {
        fade->at_01 = fmax(fade->at_01 - fade->step, fade->to_01);
    }
    if (fade->at_01 <= 0.0 || fade->at_01 >= 1.0) {
        return fade->at_01 > 0.0 ? 1.0f : 0.0f;
    }
    return (float)(0.5 - 0.5 * cos(M_PI * fade->at_01));
}

static void render_peal(struct wp_peal *peal, float *frames, size_t n_frames, size_t n_channels)
{
    if (peal) {
        wp_peal_render(peal, frames, n_frames);
    } else {
        memset(frames, 0, n_frames * n_channels * sizeof *frames);
    }
}

/* Lays the peal that fades out under the one that fades in. */
static void cross(struct wp_player *player, float *frames, size_t n_frames)
{
    const size_t n_channels = (size_t)player->config.n_channels;
    render_peal(player->before, player->piece, n_frames, n_channels);
    for (size_t i = 0; i < n_frames; i++) {
        const float in = fade_step(&player->change);
        for (size_t c = 0; c < n_channels; c++) {
            float *sample = &frames[i * n_channels + c];
            *sample = in * *sample + (1.0f - in) * player->piece[i * n_channels + c];
        }
    }
    if (player->change.at_01 >= 1.0) {
        player->retired = player->before;
        player->before = NULL;
        player->is_changing = false;
    }
}

static float bend(struct wp_player *player, float sample)
{
    const float size = fabsf(sample);
    if (size <= WP_PLAYER_LINEAR) {
        return sample;
    }
    const float room = 1.0f - WP_PLAYER_LINEAR;
    player->n_bent++;
    return copysignf(WP_PLAYER_LINEAR + room * tanhf((size - WP_PLAYER_LINEAR) / room), sample);
}

/* Gain, fades and limit of a piece; takes its level. */
static void finish_piece(struct wp_player *player, float *frames, size_t n_frames)
{
    const size_t n_channels = (size_t)player->config.n_channels;
    const float gain = (float)player->config.gain;
    float peak = 0.0f;
    double square_sum = 0.0;
    for (size_t i = 0; i < n_frames; i++) {
        const float factor = gain * (fade_step(&player->mute) * fade_step(&player->start));
        for (size_t c = 0; c < n_channels; c++) {
            const float sample = bend(player, factor * *frames);
            peak = fmaxf(peak, fabsf(sample));
            square_sum += (double)sample * (double)sample;
            *frames++ = sample;
        }
    }
    player->peak = fmax(player->peak, (double)peak);
    player->square_sum += square_sum;
    player->n_samples += n_frames * n_channels;
}

void wp_player_render(struct wp_player *player, float *frames, size_t n_frames)
{
    const size_t n_channels = (size_t)player->config.n_channels;
    const uint64_t setting = wp_subnormal_flush();
    for (size_t done = 0; done < n_frames;) {
        const size_t n = n_frames - done < PIECE_FRAMES ? n_frames - done : PIECE_FRAMES;
        float *piece = frames + done * n_channels;
        render_peal(player->now, piece, n, n_channels);
        if (player->is_changing) {
            cross(player, piece, n);
        }
        finish_piece(player, piece, n);
        done += n;
    }
    wp_subnormal_restore(setting);
}

void wp_player_level(struct wp_player *player, struct wp_player_level *level)
{
    const double n_samples = (double)(player->n_samples > 0 ? player->n_samples : 1);
    *level = (struct wp_player_level){
        .peak = player->peak,
        .rms = sqrt(player->square_sum / n_samples),
        .n_bent = player->n_bent,
    };
    player->peak = 0.0;
    player->square_sum = 0.0;
    player->n_samples = 0;
    player->n_bent = 0;
}
