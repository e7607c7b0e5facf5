/* SPDX-License-Identifier: MIT */
#ifndef WINDPEAL_APP_WIND_SETTINGS_H
#define WINDPEAL_APP_WIND_SETTINGS_H

#include "app/weather_source.h"

/* What the command line and the weather's format say about a station and its wind. */

/*
 * Sets averaging times, gusts, the station's place and what a silent feed does in source->wind, and
 * moves records that are stamped at their beginning. Refuses what does not go with this weather.
 */
enum wp_status app_wind_settings(struct app_weather *source, const struct app_arguments *arguments,
                                 struct wp_diags *diags);

#endif
