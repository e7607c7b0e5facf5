/* SPDX-License-Identifier: MIT */
/* Reads files whose lines stand for themselves. */
#include "weather/line_format.h"

#include <math.h>
#include <stdlib.h>

struct wp_record wp_record_unknown(void)
{
    return (struct wp_record){NAN, NAN, NAN, NAN, NAN, NAN};
}

static enum wp_status read_lines(const struct wp_line_format *format, struct wp_intake *intake)
{
    struct wp_lines lines;
    struct wp_slice line;
    wp_lines_init(&lines, intake->source.text, intake->source.size);
    if (format->describe) {
        format->describe(intake);
    }
    while (!intake->status && wp_lines_next(&lines, &line)) {
        struct wp_record record = wp_record_unknown();
        if (!wp_line_is_blank(line) &&
            format->read(intake, line, lines.number, &record) == WP_LINE_RECORD) {
            wp_intake_add(intake, &record, lines.number);
        }
    }
    return wp_intake_finish(intake);
}

enum wp_status wp_line_format_read(const struct wp_line_format *format,
                                   const struct wp_source *source,
                                   const struct wp_weather_config *config,
                                   struct wp_weather *weather, struct wp_diags *diags)
{
    struct wp_intake intake;
    enum wp_status status = wp_intake_init(&intake, source, config, weather, diags);
    intake.state = calloc(1, format->state_size > 0 ? format->state_size : 1);
    if (!status && !intake.state) {
        status = wp_diags_add(diags, WP_E_NO_MEMORY, source->name, (struct wp_mark){0, 0}, NULL,
                              "not enough memory to read the file");
    }
    if (!status) {
        status = read_lines(format, &intake);
    }
    free(intake.state);
    wp_intake_free(&intake);
    return status;
}
