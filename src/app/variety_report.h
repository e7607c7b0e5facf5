/* SPDX-License-Identifier: MIT */
#ifndef WINDPEAL_APP_VARIETY_REPORT_H
#define WINDPEAL_APP_VARIETY_REPORT_H

#include <jansson.h>
#include <stdio.h>

#include "windpeal/strike.h"

/* How often and how evenly the tubes are struck, in words and as JSON. */

/* Prints a few lines. */
void app_variety_print(FILE *out, const struct wp_variety *variety);

/* Decimals of tubes a kick that so many kicks support: its deviation from kick to kick is near 1.
 */
int app_kick_decimals(size_t n_kicks);

/* The fields of `windpeal strikes --json`. */
json_t *app_variety_describe(const struct wp_variety *variety);

#endif
