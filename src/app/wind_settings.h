/* SPDX-License-Identifier: MIT */
#ifndef WINDPEAL_APP_WIND_SETTINGS_H
#define WINDPEAL_APP_WIND_SETTINGS_H

#include <stdbool.h>

#include "app/arguments.h"
#include "windpeal/status.h"
#include "windpeal/weather.h"
#include "windpeal/wind.h"

/* What the command line and the weather's format say about a station and its wind. */

/* What kind of weather it is. */
struct app_weather_kind {
    bool is_live;    /* a feed, or the log of one */
    bool is_clocked; /* its records have dates */
};

/*
 * Sets what means and gusts are averages over: what the user says goes before what the format
 * defines, and that before what wind holds. WP_OK or WP_E_RANGE.
 */
enum wp_status app_wind_averages(struct wp_wind_config *wind, const struct wp_weather *weather,
                                 const struct app_arguments *arguments, struct wp_diags *diags);

/*
 * Sets averaging times, gusts, the station's place and what a silent feed does in wind, and moves
 * records that are stamped at their beginning. Refuses what does not go with this weather.
 */
enum wp_status app_wind_settings(struct wp_wind_config *wind, struct wp_weather *weather,
                                 struct app_weather_kind kind,
                                 const struct app_arguments *arguments, struct wp_diags *diags);

#endif
