/* SPDX-License-Identifier: MIT */
#ifndef WINDPEAL_WEATHER_JSON_LINES_H
#define WINDPEAL_WEATHER_JSON_LINES_H

#include "weather/reader.h"

/* JSON (RFC 8259) as files have it: objects one after the other, in lines or not, or in arrays;
 * see json_lines.c. Line by line: wp_json_format. */
enum wp_status wp_json_read(const struct wp_source *source, const struct wp_weather_config *config,
                            struct wp_weather *weather, struct wp_diags *diags);

#endif
