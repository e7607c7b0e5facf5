/* SPDX-License-Identifier: MIT */
#ifndef WINDPEAL_APP_VOICE_H
#define WINDPEAL_APP_VOICE_H

#include "app/set_source.h"
#include "app/weather_source.h"
#include "windpeal/peal.h"
#include "windpeal/stage.h"

/* A set that plays: read from its file, with the peal that sounds it from some moment on. */

enum { APP_RECENT_MAX = 8 };

struct app_voice_config {
    const char *set_name;
    const struct app_arguments *arguments; /* where the wind is wanted, channels */
    struct app_weather *source;            /* its height follows the set */
    const struct wp_record *recent;        /* a feed's latest records, or NULL */
    size_t n_recent;
    double offset_s; /* how far into the weather it begins: whole tenths of a second */
    uint64_t seed;
    int rate_hz;
    struct wp_peal_listener listener;
};

/* Must not move: peal points into it. */
struct app_voice {
    struct app_set loaded;
    struct wp_weather feed; /* the recent records; for a feed only */
    struct wp_record recent[APP_RECENT_MAX];
    struct wp_wind_config wind;
    struct wp_peal *peal;
};

/*
 * Reads the set and builds its peal.
 *
 * out  receives the voice; NULL on failure. Free with app_voice_destroy.
 */
enum wp_status app_voice_create(struct app_voice **out, const struct app_voice_config *config,
                                struct wp_diags *diags);

/* Frees; NULL is allowed. */
void app_voice_destroy(struct app_voice *voice);

/*
 * The gain that brings the loudest sample of a hard blow on each tube in turn to -9 dBFS, so that
 * several tubes have room; 1 when that cannot be found out.
 */
double app_voice_headroom(const struct app_voice *voice, enum wp_channels channels);

#endif
