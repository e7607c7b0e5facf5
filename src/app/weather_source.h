/* SPDX-License-Identifier: MIT */
#ifndef WINDPEAL_APP_WEATHER_SOURCE_H
#define WINDPEAL_APP_WEATHER_SOURCE_H

#include <stdbool.h>

#include "app/arguments.h"
#include "windpeal/set.h"
#include "windpeal/status.h"
#include "windpeal/weather.h"
#include "windpeal/wind.h"

/* The weather that a command line names, and the stretch of it that is wanted. */

/* Must not move once loaded: wind points into it. */
struct app_weather {
    struct wp_weather weather;
    struct wp_wind_config wind; /* start and seed set; height as given until app_weather_hang */
    double span_start_s;        /* seconds since 1970 UTC; a wind without a file starts at 0 */
    double span_end_s;
    double utc_offset_s; /* of the zone in which the user gives times */
    double duration_s;
    bool is_clocked;     /* the records have dates: a file, not a fixed wind */
    bool is_feed;        /* reports come while it plays: nothing is loaded, wind is live */
    bool is_height_idle; /* a height was given to a drive that does not feel it */
    struct wp_weather_config reading; /* what the command line says about a file or feed */
    char name[256];                   /* the file, or what the fixed wind is, for reports */
};

/* Seed when none is given. */
enum { APP_SEED_DEFAULT = 1 };

/* The seed of the command line, or the default. */
uint64_t app_seed(const struct app_arguments *arguments);

/* True when the command line names weather: a file as the last operand, or an option for it. */
bool app_weather_is_given(const struct app_arguments *arguments, const char *file);

/*
 * Loads weather and places --start and --duration in it. For play, - is a feed, which begins now.
 *
 * file                operand, or NULL: then --wind, --beaufort or --metar
 * default_duration_s  without --duration; shortened to what is left of the weather
 * source              out; end it with app_weather_finish, also on failure
 */
enum wp_status app_weather_load(struct app_weather *source, const struct app_arguments *arguments,
                                const char *file, double default_duration_s,
                                struct wp_diags *diags);

/*
 * Sets height and ground from a set and the command line. Without a set the wind is taken as given
 * unless a height is; with one it depends on what its drive acts on: the wind where the set hangs
 * (a sail), or the station's readings (the others). WP_E_RANGE: a sail within the ground's
 * roughness.
 */
enum wp_status app_weather_hang(struct app_weather *source, const struct app_arguments *arguments,
                                const struct wp_set *set, struct wp_diags *diags);

/* Prints on stderr what the reader had to repair or assume, where the wanted stretch leaves the
 * data, and how the set's drive copes with rare records. */
void app_weather_note(const struct app_weather *source, const struct wp_set *set);

/* Frees the records. */
void app_weather_finish(struct app_weather *source);

#endif
