/* SPDX-License-Identifier: MIT */
/* Any bytes as the lines of a feed: each a record, nothing, or refused with a reason. */
#include <math.h>
#include <string.h>

#include "fuzz_target.h"
#include "weather/line_parser.h"
#include "weather_outcome.h"

/* True while the feed can go on. */
static bool read_line(struct wp_line_parser *parser, struct wp_slice text)
{
    struct wp_line line;
    struct wp_diags diags;
    wp_diags_init(&diags);
    const enum wp_status status = wp_line_parser_read(parser, text, 1e9, &line, &diags);
    require(diags.n_items == (status ? 1U : 0U));
    if (status) {
        return false;
    }
    if (line.outcome == WP_LINE_RECORD) {
        check_record(&line.record);
        require(!isnan(line.record.mean_m_s));
    }
    require((line.outcome == WP_LINE_REJECTED) == (line.reason != NULL));
    return true;
}

static void read_feed(const struct wp_weather_config *config, const char *text, size_t size)
{
    struct wp_line_parser *parser = NULL;
    struct wp_lines lines;
    struct wp_slice line;
    require(wp_line_parser_create(&parser, config) == WP_OK);
    wp_lines_init(&lines, text, size);
    while (wp_lines_next(&lines, &line) && read_line(parser, line)) {
    }
    require(!wp_line_parser_understood(parser)->records);
    wp_line_parser_destroy(parser);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    const struct wp_weather_config told = told_config();
    const char *const text = size > 0 ? (const char *)data : "";
    read_feed(NULL, text, size);
    read_feed(&told, text, size);
    return 0;
}
