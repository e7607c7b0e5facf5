/* SPDX-License-Identifier: MIT */
#ifndef WINDPEAL_WEATHER_AGENCY_H
#define WINDPEAL_WEATHER_AGENCY_H

#include "weather/reader.h"

/* Ten-minute text of national weather services; see agency.c. */
enum wp_status wp_agency_read(const struct wp_source *source,
                              const struct wp_weather_config *config, struct wp_weather *weather,
                              struct wp_diags *diags);

#endif
