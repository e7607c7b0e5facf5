/* SPDX-License-Identifier: MIT */
#ifndef WINDPEAL_WEATHER_READER_H
#define WINDPEAL_WEATHER_READER_H

#include <stdbool.h>
#include <stddef.h>

#include "weather/table.h"
#include "windpeal/weather.h"

/* What detection needs to know of a format, and a reader of a source. One file a format. */

/* A whole file in memory. Borrowed. */
struct wp_source {
    const char *name;
    const char *text;
    size_t size;
};

/* What became of a line; see line_parser.h. */
enum wp_line_outcome {
    WP_LINE_RECORD,   /* a record with a mean wind */
    WP_LINE_NOTHING,  /* understood, but it tells no wind: blank, comment, heading, other sensors */
    WP_LINE_REJECTED, /* should have been a record and is none */
};

/* Fills a weather that is empty but for file and format; whatever it holds on failure is freed by
 * the caller. */
typedef enum wp_status wp_read_function(const struct wp_source *source,
                                        const struct wp_weather_config *config,
                                        struct wp_weather *weather, struct wp_diags *diags);

/* Delimited text with a heading; see delimited.c. */
enum wp_status wp_delimited_read(const struct wp_source *source,
                                 const struct wp_weather_config *config, struct wp_weather *weather,
                                 struct wp_diags *diags);

/* Logs of live sessions, known by their first line; see windpeal/session.h. */
enum wp_status wp_session_read(const struct wp_source *source,
                               const struct wp_weather_config *config, struct wp_weather *weather,
                               struct wp_diags *diags);
bool wp_session_is_log(struct wp_slice first);

#endif
