/* SPDX-License-Identifier: MIT */
/* Reads weather line by line, with the readers of files. */
#include "weather/line_parser.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "weather/delimited.h"
#include "weather/line_format.h"

enum { HEAD_SIZE_MAX = 16384 };

struct wp_line_parser {
    struct wp_weather_config config;
    struct wp_weather weather; /* what is understood; without records */
    struct wp_intake intake;
    const struct wp_line_format *format; /* NULL: not known, or delimited text */
    bool is_table;
    bool is_table_ready; /* its heading is read */
    struct wp_delimited table;
    char head[HEAD_SIZE_MAX]; /* lines up to the first row of values */
    size_t head_size;
    int number;
};

enum wp_status wp_line_parser_create(struct wp_line_parser **out,
                                     const struct wp_weather_config *config)
{
    static const struct wp_source source = {"feed", NULL, 0};
    *out = NULL;
    struct wp_line_parser *const parser = calloc(1, sizeof *parser);
    if (!parser) {
        return WP_E_NO_MEMORY;
    }
    wp_weather_config_default(&parser->config);
    parser->config = config ? *config : parser->config;
    const enum wp_status status =
        wp_intake_init(&parser->intake, &source, &parser->config, &parser->weather, NULL);
    parser->intake.tally.is_unlisted = true;
    if (status) {
        wp_line_parser_destroy(parser);
        return status;
    }
    *out = parser;
    return WP_OK;
}

void wp_line_parser_destroy(struct wp_line_parser *parser)
{
    if (parser) {
        free(parser->intake.state);
        wp_intake_free(&parser->intake);
        free(parser);
    }
}

/* Puts the format's state in place and lets it describe itself. */
static enum wp_status start_format(struct wp_line_parser *parser)
{
    const size_t size = parser->format->state_size;
    parser->intake.state = calloc(1, size > 0 ? size : 1);
    if (!parser->intake.state) {
        return WP_E_NO_MEMORY;
    }
    if (parser->format->describe) {
        parser->format->describe(&parser->intake);
    }
    return WP_OK;
}

/* Tells the format by a line that is neither blank nor a comment. */
static enum wp_status detect(struct wp_line_parser *parser, struct wp_slice text)
{
    const char *name = "";
    if (!wp_line_format_detect(text, &parser->format, &name)) {
        (void)wp_intake_fail(&parser->intake, WP_E_NOT_BUILT, parser->number,
                             "send JSON, METAR, NMEA 0183 or lines of values with a heading",
                             "this looks like %s, which does not come line by line; expected "
                             "reports in lines",
                             name);
        return WP_E_NOT_BUILT;
    }
    parser->is_table = parser->format == NULL;
    (void)snprintf(parser->weather.format, sizeof parser->weather.format, "%s", name);
    return parser->format ? start_format(parser) : WP_OK;
}

static enum wp_status add_to_head(struct wp_line_parser *parser, struct wp_slice text)
{
    if (parser->head_size + text.length + 1 > sizeof parser->head) {
        (void)wp_intake_fail(&parser->intake, WP_E_MISSING, parser->number,
                             "begin with a line such as 'time,speed (m/s),gust (m/s),direction'",
                             "no heading and values within the first %zu bytes; expected both",
                             sizeof parser->head);
        return WP_E_MISSING;
    }
    memcpy(parser->head + parser->head_size, text.at, text.length);
    parser->head_size += text.length;
    parser->head[parser->head_size++] = '\n';
    return WP_OK;
}

/* Reads the heading once the first row of values is there. The order of dates must be given, or
 * not matter. */
static enum wp_status begin_table(struct wp_line_parser *parser, struct wp_slice text)
{
    struct wp_intake *const intake = &parser->intake;
    struct wp_heading_rows rows;
    enum wp_status status = add_to_head(parser, text);
    if (status) {
        return status;
    }
    const struct wp_slice head = {parser->head, parser->head_size};
    wp_heading_rows_find(head, wp_separator_find(head.at, head.length), 0, &rows);
    if (rows.first_row == 0) {
        return WP_OK;
    }
    intake->source.text = head.at;
    intake->source.size = head.length;
    status = wp_delimited_begin(intake, &parser->table);
    intake->source.text = NULL;
    intake->source.size = 0;
    parser->is_table_ready = !status;
    return status;
}

/* A date such as 3/4/2026 leaves its order open; a file's other rows would tell. */
static enum wp_status check_order(struct wp_line_parser *parser, struct wp_slice text)
{
    enum wp_date_order order = WP_ORDER_UNKNOWN;
    struct wp_slice fields[WP_FIELDS_MAX];
    const struct wp_columns *const columns = &parser->table.columns;
    const int index = columns->of[wp_columns_date(columns)].index;
    const size_t n = wp_fields_split(text, columns->separator, fields, WP_FIELDS_MAX);
    if (parser->config.date_order != WP_ORDER_UNKNOWN || index < 0 || (size_t)index >= n ||
        !wp_stamp_needs_order(fields[index], &order)) {
        return WP_OK;
    }
    if (order != WP_ORDER_UNKNOWN) {
        parser->config.date_order = parser->table.columns.rule.order = order;
        return WP_OK;
    }
    (void)wp_intake_fail(&parser->intake, WP_E_AMBIGUOUS, parser->number,
                         "give --date-order dmy, mdy or ymd",
                         "this date does not tell whether day or month comes first; expected an "
                         "order");
    return WP_E_AMBIGUOUS;
}

static enum wp_line_outcome read_row(struct wp_line_parser *parser, struct wp_slice text,
                                     struct wp_record *record)
{
    if (wp_line_is_comment(text) && parser->is_table_ready) {
        return WP_LINE_NOTHING;
    }
    if (!parser->is_table_ready && (begin_table(parser, text) || !parser->is_table_ready)) {
        return WP_LINE_NOTHING;
    }
    if (wp_delimited_is_heading(&parser->table.columns, text) || check_order(parser, text)) {
        return WP_LINE_NOTHING;
    }
    return wp_delimited_row(&parser->intake, &parser->table, text, parser->number, record);
}

static enum wp_line_outcome read_text(struct wp_line_parser *parser, struct wp_slice text,
                                      struct wp_record *record)
{
    const bool is_known = parser->format || parser->is_table;
    if (!is_known && wp_line_is_comment(text)) {
        (void)add_to_head(parser, text); /* some programs put the heading there */
        return WP_LINE_NOTHING;
    }
    if (!is_known) {
        const enum wp_status status = detect(parser, text);
        if (status) {
            parser->intake.status = status;
            return WP_LINE_REJECTED;
        }
    }
    return parser->format ? parser->format->read(&parser->intake, text, parser->number, record)
                          : read_row(parser, text, record);
}

/* Lines whose wind speed cannot be: more than a record without a wind. */
static size_t count_bad_speeds(const struct wp_tally *tally)
{
    return tally->count[WP_REPAIR_SPEED_TEXT] + tally->count[WP_REPAIR_SPEED_RANGE];
}

enum wp_status wp_line_parser_read(struct wp_line_parser *parser, struct wp_slice text,
                                   double arrival_s, struct wp_line *line, struct wp_diags *diags)
{
    struct wp_intake *const intake = &parser->intake;
    const size_t n_bad = count_bad_speeds(&intake->tally);
    parser->number++;
    *line = (struct wp_line){WP_LINE_NOTHING, wp_record_unknown(), false, NULL};
    intake->diags = diags;
    if (!intake->status && !wp_line_is_blank(text)) {
        line->outcome = read_text(parser, text, &line->record);
    }
    intake->diags = NULL;
    if (intake->status) {
        line->outcome = WP_LINE_REJECTED;
        return intake->status;
    }
    if (line->outcome == WP_LINE_RECORD) {
        wp_record_repair(&line->record, &intake->tally, parser->number);
        line->has_time = !isnan(line->record.t_s);
        line->record.t_s = line->has_time ? line->record.t_s : arrival_s;
        const bool is_bad = count_bad_speeds(&intake->tally) > n_bad;
        line->outcome = !isnan(line->record.mean_m_s) ? WP_LINE_RECORD
                        : is_bad                      ? WP_LINE_REJECTED
                                                      : WP_LINE_NOTHING;
    }
    if (line->outcome == WP_LINE_REJECTED) {
        line->reason = wp_repair_text(intake->tally.last);
    }
    return WP_OK;
}

const char *wp_line_parser_format(const struct wp_line_parser *parser)
{
    return parser->weather.format;
}

const struct wp_weather *wp_line_parser_understood(const struct wp_line_parser *parser)
{
    return &parser->weather;
}
