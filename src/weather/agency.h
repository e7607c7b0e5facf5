/* SPDX-License-Identifier: MIT */
#ifndef WINDPEAL_WEATHER_AGENCY_H
#define WINDPEAL_WEATHER_AGENCY_H

#include "weather/reader.h"

/* Ten-minute text of national weather services; see agency.c. */
wp_read_function wp_agency_read;

#endif
