/* SPDX-License-Identifier: MIT */
/* Reads a station's lines one by one with the readers of files. */
#include "windpeal/feed.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "weather/heading.h"
#include "weather/table.h"
#include "weather/unit.h"

enum {
    HEAD_LINES_MAX = 4, /* that are neither blank nor comments, before one must be a record */
    HEAD_SIZE_MAX = 8192,
    BEHIND_MAX = 3 /* late records in order that mean another clock */
};

/* Lines that go before each record's: headings, units. */
struct head {
    char text[HEAD_SIZE_MAX];
    size_t size;
    int n_lines; /* comments aside */
};

struct wp_feed {
    struct wp_weather_config config;
    struct head head;
    struct head next_head; /* of a table that begins while another one is read */
    bool is_head_done;     /* a record came after it */
    double stamp_s;        /* of the last record, by the station's clock; NAN: none */
    double arrived_s;      /* of the last record */
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
    *out = feed;
    return WP_OK;
}

void wp_feed_destroy(struct wp_feed *feed)
{
    free(feed);
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

/* What a record that was read is, by its station's stamp. */
static enum wp_feed_result judge(struct wp_feed *feed, const struct wp_record *record)
{
    const double stamp_s = record->t_s;
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
    feed->stamp_s = stamp_s;
    feed->last = *record;
    feed->counts.n_records++;
    return WP_FEED_RECORD;
}

/* Reads a line after the lines of a head; the last record of what they give. */
static enum wp_status read_with(const struct wp_feed *feed, const struct head *head,
                                struct wp_slice line, struct wp_record *record,
                                struct wp_diags *diags)
{
    char text[HEAD_SIZE_MAX + WP_FEED_LINE_MAX + 1];
    memcpy(text, head->text, head->size);
    memcpy(text + head->size, line.at, line.length);
    text[head->size + line.length] = '\n';
    struct wp_weather weather;
    const enum wp_status status = wp_weather_parse(
        &weather, "feed", text, head->size + line.length + 1, &feed->config, diags);
    if (!status) {
        *record = weather.records[weather.n_records - 1];
        wp_weather_finish(&weather);
    }
    return status;
}

/* Adds a line to a head; one that does not fit empties it first. */
static void add_to_head(struct head *head, struct wp_slice line, bool is_comment)
{
    if (head->size + line.length + 1 > sizeof head->text ||
        head->n_lines + !is_comment > HEAD_LINES_MAX) {
        head->size = 0;
        head->n_lines = 0;
    }
    memcpy(head->text + head->size, line.at, line.length);
    head->size += line.length;
    head->text[head->size++] = '\n';
    head->n_lines += !is_comment;
}

/* True when a line is one of the head's: a logger writes it again after a pause. */
static bool is_in_head(const struct head *head, struct wp_slice line)
{
    struct wp_lines lines;
    struct wp_slice known;
    wp_lines_init(&lines, head->text, head->size);
    while (wp_lines_next(&lines, &known)) {
        if (known.length == line.length && memcmp(known.at, line.at, line.length) == 0) {
            return true;
        }
    }
    return false;
}

/* A number alone is a speed in the unit of the configuration. */
static bool read_bare(const struct wp_feed *feed, struct wp_slice line, double arrived_s,
                      struct wp_record *record)
{
    double value = 0.0;
    enum wp_unit unit = WP_UNIT_M_S;
    if (!wp_number_read(line, &value)) {
        return false;
    }
    if (feed->config.unit) {
        unit = wp_heading_unit((struct wp_slice){feed->config.unit, strlen(feed->config.unit)});
    }
    *record = (struct wp_record){
        .t_s = arrived_s,
        .mean_m_s = wp_unit_to_si(unit, value),
        .gust_m_s = NAN,
        .from_deg = NAN,
        .temperature_c = NAN,
        .pressure_pa = NAN,
    };
    return record->mean_m_s >= 0.0 && record->mean_m_s <= 75.0;
}

/* Hands on why a line could not be read, with its number in the feed. */
static enum wp_feed_result refuse(struct wp_feed *feed, const struct wp_diags *found,
                                  struct wp_diags *diags)
{
    const struct wp_mark mark = {(int)feed->counts.n_lines, 0};
    feed->counts.n_refused++;
    if (found && found->n_items > 0) {
        const struct wp_diag *why = &found->items[0];
        wp_diags_add(diags, why->status, why->file, mark, why->hint[0] ? why->hint : NULL, "%s",
                     why->message);
    } else {
        wp_diags_add(diags, WP_E_SYNTAX, "feed", mark, NULL,
                     "this line is longer than %d bytes; expected a report of the wind",
                     WP_FEED_LINE_MAX);
    }
    return WP_FEED_REFUSED;
}

/* A line that gives no record with the lines before it: a heading, or a fault. */
static enum wp_feed_result keep_or_refuse(struct wp_feed *feed, struct wp_slice line,
                                          const struct wp_diags *found, struct wp_diags *diags)
{
    struct head *head = feed->is_head_done ? &feed->next_head : &feed->head;
    add_to_head(head, line, false);
    if (!feed->is_head_done && head->n_lines < HEAD_LINES_MAX) {
        return WP_FEED_NOTHING;
    }
    return refuse(feed, found, diags);
}

static enum wp_feed_result read_line(struct wp_feed *feed, struct wp_slice line, double arrived_s,
                                     struct wp_record *record, struct wp_diags *diags)
{
    struct wp_diags found;
    wp_diags_init(&found);
    if (read_bare(feed, line, arrived_s, record)) {
        return judge(feed, record);
    }
    if (!read_with(feed, &feed->head, line, record, &found)) {
        feed->is_head_done = true;
        feed->next_head.size = 0;
        feed->next_head.n_lines = 0;
        return judge(feed, record);
    }
    if (is_in_head(&feed->head, line)) {
        return WP_FEED_NOTHING;
    }
    if (feed->next_head.size > 0 && !read_with(feed, &feed->next_head, line, record, NULL)) {
        feed->head = feed->next_head;
        feed->next_head.size = 0;
        feed->next_head.n_lines = 0;
        return judge(feed, record);
    }
    return keep_or_refuse(feed, line, &found, diags);
}

enum wp_feed_result wp_feed_line(struct wp_feed *feed, const char *line, size_t line_size,
                                 double arrived_s, struct wp_record *record, struct wp_diags *diags)
{
    feed->counts.n_lines++;
    const struct wp_slice text = wp_slice_trim((struct wp_slice){line, line_size});
    const double t_s = fmax(arrived_s, feed->arrived_s);
    if (text.length > WP_FEED_LINE_MAX) {
        return refuse(feed, NULL, diags);
    }
    if (wp_line_is_blank(text)) {
        return WP_FEED_NOTHING;
    }
    if (wp_line_is_comment(text)) {
        if (!feed->is_head_done) {
            add_to_head(&feed->head, text, true);
        }
        return WP_FEED_NOTHING;
    }
    struct wp_record read;
    const enum wp_feed_result result = read_line(feed, text, t_s, &read, diags);
    if (result == WP_FEED_RECORD) {
        read.t_s = t_s;
        feed->arrived_s = t_s;
        *record = read;
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
        result = refuse(feed, NULL, diags);
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
