/* SPDX-License-Identifier: MIT */
#ifndef WINDPEAL_APP_WEATHER_REPORT_H
#define WINDPEAL_APP_WEATHER_REPORT_H

#include <stdbool.h>
#include <stdio.h>

#include "app/weather_source.h"

/* Tells what was understood of weather: format, columns, records, what was left out. */

/* As text; has_records: with every record and every repair. */
void app_weather_print(FILE *out, const struct app_weather *source, bool has_records);

/* As JSON on stdout; every repair, and with has_records every record. */
enum wp_status app_weather_print_json(const struct app_weather *source, bool has_records);

/* A line for each of a few equal stretches of the weather, with bars of mean and gust. */
void app_weather_chart(FILE *out, const struct app_weather *source);

#endif
