/* SPDX-License-Identifier: MIT */
/* A set that plays. */
#include "app/voice.h"

#include <math.h>
#include <stdlib.h>

/* A blow that a fresh breeze may make, and the sample that it shall reach. */
static const double hard_m_s = 1.0;
static const double peak_dbfs = -9.0;

/* No strikes are wanted after three hundred years. */
static const double endless_s = 1e10;

static void take_wind(struct app_voice *voice, const struct app_voice_config *config)
{
    voice->wind = config->source->wind;
    voice->wind.start_s += config->offset_s;
    voice->wind.seed = config->seed;
    if (config->source->is_feed) {
        for (size_t i = 0; i < config->n_recent; i++) {
            voice->recent[i] = config->recent[i];
        }
        voice->feed.records = voice->recent;
        voice->feed.n_records = config->n_recent;
        voice->feed.interval_s = 60.0;
        voice->wind.weather = config->n_recent > 0 ? &voice->feed : NULL;
    }
}

static struct wp_peal_config peal_config(const struct app_voice *voice,
                                         const struct app_voice_config *config)
{
    return (struct wp_peal_config){
        .set = &voice->loaded.set,
        .chime = voice->loaded.chime,
        .wind = &voice->wind,
        .duration_s = endless_s,
        .seed = config->seed,
        .rate_hz = config->rate_hz,
        .channels = (enum wp_channels)config->arguments->choice[APP_CHANNELS],
        .kernel = WP_KERNEL_TILE,
        .has_shown_wind = true,
        .listener = config->listener,
    };
}

static enum wp_status create_peal(struct app_voice *voice, const struct app_voice_config *config,
                                  struct wp_diags *diags)
{
    struct wp_peal_config peal = peal_config(voice, config);
    const enum wp_status status =
        app_set_load_room(&voice->loaded, config->rate_hz, &peal.impulse, diags);
    return status ? status : wp_peal_create(&voice->peal, &peal, diags);
}

enum wp_status app_voice_create(struct app_voice **out, const struct app_voice_config *config,
                                struct wp_diags *diags)
{
    *out = NULL;
    struct wp_chime_config chime;
    struct app_voice *voice = calloc(1, sizeof *voice);
    if (!voice) {
        return WP_E_NO_MEMORY;
    }
    wp_chime_config_default(&chime);
    enum wp_status status = app_set_load(&voice->loaded, config->set_name, &chime, diags);
    if (!status) {
        status = app_weather_hang(config->source, config->arguments, &voice->loaded.set, diags);
    }
    if (!status) {
        take_wind(voice, config);
        status = create_peal(voice, config, diags);
    }
    if (status) {
        app_voice_destroy(voice);
        return status;
    }
    *out = voice;
    return WP_OK;
}

void app_voice_destroy(struct app_voice *voice)
{
    if (voice) {
        wp_peal_destroy(voice->peal);
        app_set_finish(&voice->loaded);
        free(voice);
    }
}

/* The largest sample of the next second. */
static double peak_of(struct wp_peal *peal)
{
    enum { RATE_HZ = 48000, PIECE = 256 };
    float frames[PIECE * WP_TUBES_MAX];
    const size_t n_channels = (size_t)wp_peal_channels(peal);
    double peak = 0.0;
    for (size_t done = 0; done < RATE_HZ; done += PIECE) {
        wp_peal_render(peal, frames, PIECE);
        for (size_t i = 0; i < PIECE * n_channels; i++) {
            peak = fmax(peak, (double)fabsf(frames[i]));
        }
    }
    return peak;
}

double app_voice_headroom(const struct app_voice *voice, enum wp_channels channels)
{
    struct wp_strike_list strikes;
    struct wp_peal *peal = NULL;
    const double gap_s = 1.0 / (double)(voice->loaded.set.n_tubes + 1);
    double peak = 0.0;
    if (wp_strike_list_each(&strikes, &voice->loaded.context, hard_m_s, gap_s)) {
        return 1.0;
    }
    strikes.n_items = voice->loaded.set.n_tubes; /* not all together at the end */
    const struct wp_impulse *impulse = &voice->loaded.impulse;
    const struct wp_peal_config config = {
        .set = &voice->loaded.set,
        .chime = voice->loaded.chime,
        .strikes = &strikes,
        .duration_s = 1.0,
        .rate_hz = impulse->frames ? impulse->rate_hz : 48000,
        .impulse = impulse->frames ? impulse : NULL,
        .channels = channels,
    };
    if (wp_peal_create(&peal, &config, NULL) == WP_OK) {
        peak = peak_of(peal);
    }
    wp_peal_destroy(peal);
    wp_strike_list_finish(&strikes);
    return peak > 0.0 ? pow(10.0, peak_dbfs / 20.0) / peak : 1.0;
}
