/* SPDX-License-Identifier: MIT */
#ifndef WINDPEAL_WEATHER_LINE_PARSER_H
#define WINDPEAL_WEATHER_LINE_PARSER_H

#include "weather/reader.h"
#include "weather/table.h"
#include "windpeal/weather.h"

/*
 * Weather that comes line by line, as from a pipe: the format is told from the first lines, then
 * every line stands for itself. Read this way: delimited text with its heading, JSON (one object a
 * line), METAR, NMEA 0183, push requests, and bare wind speeds, one a line.
 */

struct wp_line_parser;

/* The answer to one line. */
struct wp_line {
    enum wp_line_outcome outcome;
    struct wp_record record; /* of WP_LINE_RECORD, repaired as in files */
    bool has_time;           /* the line had its own time; else record.t_s is the arrival's */
    const char *reason;      /* of WP_LINE_REJECTED, to stand behind "line": static text */
};

/* config: as for files, NULL for none given; copied, but not the strings that it points to. */
enum wp_status wp_line_parser_create(struct wp_line_parser **out,
                                     const struct wp_weather_config *config);

/* NULL is allowed. */
void wp_line_parser_destroy(struct wp_line_parser *parser);

/*
 * Reads the next line, without its end. arrival_s: seconds since 1970 UTC, used where the line
 * has no time of its own.
 *
 * Returns WP_OK also for rejected lines; an error, with its place in diags, where no line that
 * follows can be read either: a heading without a wind speed, an ambiguity that an option settles,
 * a format that does not come in lines.
 */
enum wp_status wp_line_parser_read(struct wp_line_parser *parser, struct wp_slice text,
                                   double arrival_s, struct wp_line *line, struct wp_diags *diags);

/* The format, as wp_weather has it, or "" while it is not known. Lives as long as the parser. */
const char *wp_line_parser_format(const struct wp_line_parser *parser);

/* What was understood so far: columns, zone, notes; records stays NULL. Lives as long as the
 * parser. */
const struct wp_weather *wp_line_parser_understood(const struct wp_line_parser *parser);

#endif
