/* SPDX-License-Identifier: MIT */
/* Reads a station's lines one by one with the readers of files. */
#include "windpeal/feed.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "weather/line_parser.h"

enum {
    BEHIND_MAX = 3, /* late records in order that mean another clock */
    STARTS_MAX = 8, /* times that reading begins anew before the first record */
};

struct wp_feed {
    struct wp_weather_config config;
    struct wp_line_parser *parser;
    int n_starts;
    double stamp_s;   /* of the last record, by the station's clock; NAN: none */
    double arrived_s; /* of the last record */
    struct wp_record last;
    double late_s; /* stamp of the last late record */
    int n_behind;
    struct wp_feed_counts counts;
    char ahead[WP_FEED_AHEAD_MAX];
    size_t n_ahead;
    bool is_overlong; /* the line at hand lost its beginning */
};

enum wp_status wp_feed_create(struct wp_feed **out, const struct wp_weather_config *config)
{
    struct wp_weather_config fallback;
    wp_weather_config_default(&fallback);
    config = config ? config : &fallback;
    *out = NULL;
    if (!(fabs(config->utc_offset_s) <= 86400.0)) {
        return WP_E_RANGE;
    }
    struct wp_feed *feed = calloc(1, sizeof *feed);
    if (!feed) {
        return WP_E_NO_MEMORY;
    }
    feed->config = *config;
    feed->stamp_s = NAN;
    feed->arrived_s = -INFINITY;
    const enum wp_status status = wp_line_parser_create(&feed->parser, config);
    if (status) {
        wp_feed_destroy(feed);
        return status;
    }
    *out = feed;
    return WP_OK;
}

void wp_feed_destroy(struct wp_feed *feed)
{
    if (feed) {
        wp_line_parser_destroy(feed->parser);
        free(feed);
    }
}

static bool is_same(double a, double b)
{
    return a == b || (isnan(a) && isnan(b));
}

static bool is_same_wind(const struct wp_record *a, const struct wp_record *b)
{
    return is_same(a->mean_m_s, b->mean_m_s) && is_same(a->gust_m_s, b->gust_m_s) &&
           is_same(a->from_deg, b->from_deg);
}

/* True when records stamped before the last one go on in an order of their own. */
static bool is_set_back(struct wp_feed *feed, double stamp_s)
{
    feed->n_behind = feed->n_behind > 0 && stamp_s > feed->late_s ? feed->n_behind + 1 : 1;
    feed->late_s = stamp_s;
    return feed->n_behind >= BEHIND_MAX;
}

/* What a record that was read is, by its station's stamp if it has one. */
static enum wp_feed_result judge(struct wp_feed *feed, const struct wp_record *record,
                                 bool has_time)
{
    const double stamp_s = has_time ? record->t_s : (double)NAN;
    if (stamp_s == feed->stamp_s && is_same_wind(record, &feed->last)) {
        feed->counts.n_repeated++;
        return WP_FEED_REPEATED;
    }
    if (stamp_s < feed->stamp_s) {
        if (!is_set_back(feed, stamp_s)) {
            feed->counts.n_late++;
            return WP_FEED_LATE;
        }
        feed->counts.n_set_back++;
    }
    feed->n_behind = 0;
    feed->stamp_s = has_time ? stamp_s : feed->stamp_s;
    feed->last = *record;
    feed->counts.n_records++;
    return WP_FEED_RECORD;
}

static enum wp_feed_result refuse(struct wp_feed *feed, const char *reason, struct wp_diags *diags)
{
    const struct wp_mark mark = {(int)feed->counts.n_lines, 0};
    feed->counts.n_refused++;
    wp_diags_add(diags, WP_E_SYNTAX, "feed", mark, NULL, "line %s; expected a report of the wind",
                 reason);
    return WP_FEED_REFUSED;
}

/* Before the first record a line may belong to whatever sends the feed: reading begins anew. */
static enum wp_feed_result begin_anew(struct wp_feed *feed, enum wp_status status)
{
    struct wp_line_parser *parser = NULL;
    feed->counts.n_refused++;
    if (status == WP_E_AMBIGUOUS || feed->counts.n_records > 0 || feed->n_starts == STARTS_MAX ||
        wp_line_parser_create(&parser, &feed->config)) {
        return WP_FEED_BROKEN;
    }
    feed->n_starts++;
    wp_line_parser_destroy(feed->parser);
    feed->parser = parser;
    return WP_FEED_REFUSED;
}

static enum wp_feed_result read_line(struct wp_feed *feed, const struct wp_slice *text,
                                     double arrived_s, struct wp_line *line, struct wp_diags *diags)
{
    const enum wp_status status = wp_line_parser_read(feed->parser, *text, arrived_s, line, diags);
    if (status) {
        if (diags && diags->n_items > 0) {
            /* The parser may have begun later than the feed. */
            diags->items[diags->n_items - 1].mark.line = (int)feed->counts.n_lines;
        }
        return begin_anew(feed, status);
    }
    switch (line->outcome) {
    case WP_LINE_RECORD:
        return judge(feed, &line->record, line->has_time);
    case WP_LINE_REJECTED:
        return refuse(feed, line->reason, diags);
    case WP_LINE_NOTHING:
        break;
    }
    return WP_FEED_NOTHING;
}

enum wp_feed_result wp_feed_line(struct wp_feed *feed, const char *line, size_t line_size,
                                 double arrived_s, struct wp_record *record, struct wp_diags *diags)
{
    while (line_size > 0 && (line[line_size - 1] == '\n' || line[line_size - 1] == '\r')) {
        line_size--;
    }
    const struct wp_slice text = wp_slice_trim((struct wp_slice){line, line_size});
    const double t_s = fmax(arrived_s, feed->arrived_s);
    struct wp_line read;
    feed->counts.n_lines++;
    if (text.length > WP_FEED_LINE_MAX) {
        return refuse(feed, "too long", diags);
    }
    const enum wp_feed_result result = read_line(feed, &text, t_s, &read, diags);
    if (result == WP_FEED_RECORD) {
        *record = read.record;
        record->t_s = t_s;
        feed->arrived_s = t_s;
    }
    return result;
}

size_t wp_feed_add(struct wp_feed *feed, const char *bytes, size_t n_bytes)
{
    const size_t room = sizeof feed->ahead - feed->n_ahead;
    const size_t n = n_bytes < room ? n_bytes : room;
    memcpy(feed->ahead + feed->n_ahead, bytes, n);
    feed->n_ahead += n;
    return n;
}

void wp_feed_end(struct wp_feed *feed)
{
    if (feed->n_ahead > 0 && feed->ahead[feed->n_ahead - 1] != '\n') {
        (void)wp_feed_add(feed, "\n", 1);
    }
}

/* Takes the first n bytes off what waits. */
static void drop(struct wp_feed *feed, size_t n)
{
    memmove(feed->ahead, feed->ahead + n, feed->n_ahead - n);
    feed->n_ahead -= n;
}

enum wp_feed_result wp_feed_next(struct wp_feed *feed, double arrived_s, struct wp_record *record,
                                 struct wp_diags *diags)
{
    const char *end = memchr(feed->ahead, '\n', feed->n_ahead);
    if (!end) {
        if (feed->n_ahead > WP_FEED_LINE_MAX) {
            feed->is_overlong = true;
            drop(feed, feed->n_ahead);
        }
        return WP_FEED_MORE;
    }
    const size_t size = (size_t)(end - feed->ahead);
    enum wp_feed_result result;
    if (feed->is_overlong) {
        feed->counts.n_lines++;
        feed->is_overlong = false;
        result = refuse(feed, "too long", diags);
    } else {
        result = wp_feed_line(feed, feed->ahead, size, arrived_s, record, diags);
    }
    drop(feed, size + 1);
    return result;
}

void wp_feed_count(const struct wp_feed *feed, struct wp_feed_counts *counts)
{
    *counts = feed->counts;
}

const struct wp_weather *wp_feed_understood(const struct wp_feed *feed)
{
    return wp_line_parser_understood(feed->parser);
}
