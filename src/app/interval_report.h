/* SPDX-License-Identifier: MIT */
#ifndef WINDPEAL_APP_INTERVAL_REPORT_H
#define WINDPEAL_APP_INTERVAL_REPORT_H

#include <jansson.h>
#include <stdbool.h>

#include "app/set_source.h"
#include "app/tube_levels.h"

/* What `windpeal tubes` tells of intervals and roughness. */

/* Prints the table of --intervals on stdout. */
void app_intervals_print(const struct app_set *loaded, const struct app_tube_levels *levels,
                         bool is_in_inches);

/* The same as JSON: an array, one entry an interval, and an object for the whole set. */
void app_intervals_describe(const struct app_set *loaded, const struct app_tube_levels *levels,
                            json_t **intervals, json_t **roughness);

#endif
