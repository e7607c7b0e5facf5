/* SPDX-License-Identifier: MIT */
#ifndef WINDPEAL_WEATHER_STEADY_H
#define WINDPEAL_WEATHER_STEADY_H

#include "windpeal/weather.h"

/*
 * Fills weather (its records, their number and interval) with copies of one record, one for each 10
 * minutes of duration_s and at least one; the first interval begins at 0 s. WP_E_RANGE when the
 * duration is not above 0 or longer than two years; WP_E_NO_MEMORY. Both are told in diags.
 */
enum wp_status wp_steady_fill(struct wp_weather *weather, const struct wp_record *record,
                              double duration_s, struct wp_diags *diags);

#endif
