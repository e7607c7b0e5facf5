/* SPDX-License-Identifier: MIT */
/* Reads files whose lines stand for themselves. */
#include "weather/line_format.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

struct wp_record wp_record_unknown(void)
{
    return (struct wp_record){NAN, NAN, NAN, NAN, NAN, NAN};
}

/* Words and numbers of a line. */
static size_t count_pieces(struct wp_slice line)
{
    size_t n = 0;
    bool was_mark = true;
    for (size_t i = 0; i < line.length; i++) {
        const bool is_mark = memchr(" \t,;&", line.at[i], 5) != NULL;
        n += was_mark && !is_mark;
        was_mark = is_mark;
    }
    return n;
}

/* True for a last line without its end that has fewer pieces than the one before: whoever writes
 * the file is not done with it. */
static bool is_unfinished(const struct wp_intake *intake, struct wp_slice line,
                          struct wp_slice before)
{
    return intake->has_even_lines && before.length > 0 &&
           line.at + line.length == intake->source.text + intake->source.size &&
           count_pieces(line) < count_pieces(before);
}

static enum wp_status read_lines(const struct wp_line_format *format, struct wp_intake *intake)
{
    struct wp_lines lines;
    struct wp_slice line;
    struct wp_slice before = {"", 0}; /* the latest record's */
    wp_lines_init(&lines, intake->source.text, intake->source.size);
    if (format->describe) {
        format->describe(intake);
    }
    while (!intake->status && wp_lines_next(&lines, &line)) {
        struct wp_record record = wp_record_unknown();
        if (is_unfinished(intake, line, before)) {
            (void)wp_intake_reject(intake, WP_REPAIR_UNFINISHED, lines.number, line);
        } else if (!wp_line_is_blank(line) &&
                   format->read(intake, line, lines.number, &record) == WP_LINE_RECORD) {
            wp_intake_add(intake, &record, lines.number);
            before = line;
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
