/* SPDX-License-Identifier: MIT */
/*
 * Reads ten-minute wind as national services publish it: delimited text whose headings (FF_10,
 * FX_10, DD_10) say what it is, so that unit, zone and averaging are known. As in Deutscher
 * Wetterdienst, "Data set description, 10-minute station observations of wind" (from memory): m/s,
 * UTC, -999 missing, means of ten minutes, FX the strongest gust within them, of 3 s as WMO has it
 * (WMO-No. 8, part I, chapter 5).
 */
#include "weather/agency.h"

#include <stdio.h>
#include <string.h>

#include "weather/delimited.h"

enum wp_status wp_agency_read(const struct wp_source *source,
                              const struct wp_weather_config *config, struct wp_weather *weather,
                              struct wp_diags *diags)
{
    struct wp_weather_config known = *config;
    const char *const zone = config->is_offset_given ? NULL : "UTC, as the format has it";
    known.unit = config->unit ? config->unit : "m/s";
    const enum wp_status status = wp_delimited_read_as(source, &known, zone, weather, diags);
    weather->averaging_s = 600.0;
    weather->gust_s = 3.0;
    for (size_t i = 0; i < weather->n_columns && !config->unit; i++) {
        struct wp_weather_column *const column = &weather->columns[i];
        if (strcmp(column->meaning, "speed") == 0 || strcmp(column->meaning, "gust") == 0) {
            (void)snprintf(column->why, sizeof column->why, "by the format");
        }
    }
    return status;
}
