/* SPDX-License-Identifier: MIT */
/* Lists of strikes: read from CSV, or every tube in turn. */
#include <errno.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "striker/blow.h"
#include "striker/strike_reader.h"

/* 256 MiB hold some five million strikes, ten days at the busiest; more is no strike list. */
static const size_t largest_file = (size_t)1 << 28;

/* Bounds of a closing speed that can be printed and of a pause that can be waited for. */
static const double slowest_m_s = 1e-6;
static const double fastest_m_s = 20.0;
static const double longest_gap_s = 1e6;

/* A line without its end; the next one starts at next. */
struct line {
    const char *text;
    size_t size;
    size_t next;
};

static struct line line_at(const char *text, size_t text_size, size_t at)
{
    const char *end = memchr(text + at, '\n', text_size - at);
    const size_t to = end ? (size_t)(end - text) : text_size;
    const size_t next = end ? to + 1 : text_size;
    const bool has_return = to > at && text[to - 1] == '\r';
    return (struct line){text + at, to - at - has_return, next};
}

/* Blank lines and lines that start with # say nothing. */
static bool is_silent(const struct line *line)
{
    for (size_t i = 0; i < line->size; i++) {
        if (line->text[i] != ' ' && line->text[i] != '\t') {
            return line->text[i] == '#';
        }
    }
    return true;
}

static size_t count_lines(const char *text, size_t text_size)
{
    size_t n = 1;
    for (size_t i = 0; i < text_size; i++) {
        n += text[i] == '\n';
    }
    return n;
}

static bool is_ascending(const struct wp_strike_list *list)
{
    for (size_t i = 1; i < list->n_items; i++) {
        if (list->items[i].t_s < list->items[i - 1].t_s) {
            return false;
        }
    }
    return true;
}

/* Merges two neighbouring sorted runs of from; equal times keep their order. */
static void merge(const struct wp_strike *from, struct wp_strike *to, size_t middle, size_t end)
{
    size_t left = 0;
    size_t right = middle;
    for (size_t i = 0; i < end; i++) {
        const bool is_left = left < middle && (right >= end || from[left].t_s <= from[right].t_s);
        to[i] = is_left ? from[left++] : from[right++];
    }
}

/* Bottom-up merge sort: stable, which qsort is not. */
static enum wp_status sort_by_time(struct wp_strike_list *list)
{
    const size_t n = list->n_items;
    struct wp_strike *other = malloc(n * sizeof *other);
    if (!other) {
        return WP_E_NO_MEMORY;
    }
    for (size_t run = 1; run < n; run *= 2) {
        for (size_t at = 0; at < n; at += 2 * run) {
            const size_t end = n - at < 2 * run ? n - at : 2 * run;
            merge(list->items + at, other + at, run < end ? run : end, end);
        }
        struct wp_strike *sorted = other;
        other = list->items;
        list->items = sorted;
    }
    free(other);
    return WP_OK;
}

/* All lines after the heading; every bad one is reported, the first decides the status. */
static enum wp_status read_strikes(struct wp_strike_list *list, struct strike_reader *reader,
                                   const char *text, size_t text_size)
{
    enum wp_status first = WP_OK;
    bool has_heading = false;
    size_t at = text_size >= 3 && memcmp(text, "\xEF\xBB\xBF", 3) == 0 ? 3 : 0;
    for (reader->line = 1; at < text_size; reader->line++) {
        const struct line line = line_at(text, text_size, at);
        at = line.next;
        if (is_silent(&line)) {
            continue;
        }
        if (!has_heading) {
            has_heading = true;
            const enum wp_status status = wp_strike_read_heading(reader, line.text, line.size);
            if (status) {
                return status;
            }
            continue;
        }
        struct wp_strike strike;
        const enum wp_status status = wp_strike_read_line(reader, line.text, line.size, &strike);
        if (!status) {
            list->items[list->n_items++] = strike;
        }
        first = first ? first : status;
    }
    if (!has_heading) {
        return wp_diags_add(reader->diags, WP_E_EMPTY, reader->name, (struct wp_mark){0, 0},
                            "the least heading is t_s,tube,speed_m_s",
                            "the strike list is empty; expected a heading and strikes");
    }
    return first;
}

/* Line of the list's item, counted from 1, in a text whose rows are in order of time. */
static int line_of(size_t item, const char *text, size_t text_size)
{
    size_t n_rows = 0; /* with the heading */
    int number = 1;
    for (size_t at = 0; at < text_size; number++) {
        const struct line line = line_at(text, text_size, at);
        at = line.next;
        n_rows += !is_silent(&line);
        if (n_rows == item + 2) {
            break;
        }
    }
    return number;
}

/* Item whose rest or leave cannot be: n_items when all can. */
static size_t find_impossible(const struct wp_strike_list *list)
{
    bool is_resting[WP_TUBES_MAX] = {false};
    for (size_t i = 0; i < list->n_items; i++) {
        const struct wp_strike *row = &list->items[i];
        const bool is_rest = row->speed_m_s == 0.0;
        if (!wp_strike_is_blow(row) && is_rest == is_resting[row->tube]) {
            return i;
        }
        is_resting[row->tube] = wp_strike_is_blow(row) ? is_resting[row->tube] : is_rest;
    }
    return list->n_items;
}

/* line 0: not known. */
static enum wp_status refuse_rest(const struct wp_strike *row, const char *name, int line,
                                  struct wp_diags *diags)
{
    const bool is_rest = row->speed_m_s == 0.0;
    return wp_diags_add(diags, WP_E_CONFLICT, name, (struct wp_mark){line, line > 0},
                        "speed 0: comes to rest on the tube; below 0: leaves it",
                        is_rest
                            ? "tube %zu gets a rest at %.6f s, but the striker rests on it "
                              "already; expected a leave before"
                            : "tube %zu is left at %.6f s, but the striker does not rest on it; "
                              "expected a rest before",
                        row->tube + 1, row->t_s);
}

enum wp_status wp_strike_list_parse(struct wp_strike_list *list, const char *name, const char *text,
                                    size_t text_size, const struct wp_strike_context *context,
                                    struct wp_diags *diags)
{
    *list = (struct wp_strike_list){NULL, 0};
    struct strike_reader reader = {.name = name, .context = context, .diags = diags};
    struct wp_strike_list made = {calloc(count_lines(text, text_size), sizeof *made.items), 0};
    if (!made.items) {
        return WP_E_NO_MEMORY;
    }
    enum wp_status status = read_strikes(&made, &reader, text, text_size);
    const bool is_in_order = is_ascending(&made);
    if (!status && !is_in_order) {
        status = sort_by_time(&made);
    }
    const size_t impossible = status ? made.n_items : find_impossible(&made);
    if (impossible < made.n_items) {
        const int line = is_in_order ? line_of(impossible, text, text_size) : 0;
        status = refuse_rest(&made.items[impossible], name, line, diags);
    }
    if (!status && !is_in_order) {
        wp_diags_add(diags, WP_OK, name, (struct wp_mark){0, 0}, NULL,
                     "the strikes are not in order of time; they are sorted");
    }
    if (status) {
        wp_strike_list_finish(&made);
        return status;
    }
    *list = made;
    return WP_OK;
}

/* Text of a whole file. */
struct text {
    char *bytes;
    size_t size;
    size_t capacity;
};

static enum wp_status grow(struct text *text)
{
    const size_t capacity = text->capacity ? 2 * text->capacity : 65536;
    if (capacity > largest_file) {
        return WP_E_RANGE;
    }
    char *bytes = realloc(text->bytes, capacity);
    if (!bytes) {
        return WP_E_NO_MEMORY;
    }
    text->bytes = bytes;
    text->capacity = capacity;
    return WP_OK;
}

static enum wp_status read_all(struct text *text, FILE *file)
{
    while (!feof(file)) {
        if (text->size == text->capacity) {
            const enum wp_status status = grow(text);
            if (status) {
                return status;
            }
        }
        text->size += fread(text->bytes + text->size, 1, text->capacity - text->size, file);
        if (ferror(file)) {
            return WP_E_IO;
        }
    }
    return WP_OK;
}

static enum wp_status refuse_file(const char *path, int error, struct wp_diags *diags)
{
    const bool is_absent = error == ENOENT || error == ENOTDIR;
    return wp_diags_add(diags, is_absent ? WP_E_NO_FILE : WP_E_IO, path, (struct wp_mark){0, 0},
                        is_absent ? "check the name of the strike list" : NULL,
                        "cannot read the strike list: %s", strerror(error));
}

enum wp_status wp_strike_list_load(struct wp_strike_list *list, const char *path,
                                   const struct wp_strike_context *context, struct wp_diags *diags)
{
    *list = (struct wp_strike_list){NULL, 0};
    const bool is_standard = strcmp(path, "-") == 0;
    FILE *file = is_standard ? stdin : fopen(path, "rb");
    if (!file) {
        return refuse_file(path, errno, diags);
    }
    struct text text = {NULL, 0, 0};
    errno = 0;
    enum wp_status status = read_all(&text, file);
    if (status == WP_E_IO) {
        refuse_file(path, errno ? errno : EIO, diags);
    } else if (status == WP_E_RANGE) {
        wp_diags_add(diags, status, path, (struct wp_mark){0, 0}, "split the list",
                     "the strike list is too large; expected at most %zu MiB", largest_file >> 20);
    }
    if (!is_standard) {
        fclose(file);
    }
    if (!status) {
        status = wp_strike_list_parse(list, is_standard ? "standard input" : path,
                                      text.size ? text.bytes : "", text.size, context, diags);
    }
    free(text.bytes);
    return status;
}

enum wp_status wp_strike_list_each(struct wp_strike_list *list,
                                   const struct wp_strike_context *context, double speed_m_s,
                                   double gap_s)
{
    *list = (struct wp_strike_list){NULL, 0};
    const bool is_speed = speed_m_s >= slowest_m_s && speed_m_s <= fastest_m_s;
    if (!is_speed || !(gap_s > 0.0 && gap_s <= longest_gap_s)) {
        return WP_E_RANGE;
    }
    const size_t n_tubes = context->layout->n_tubes;
    struct wp_strike *items = calloc(2 * n_tubes, sizeof *items);
    if (!items) {
        return WP_E_NO_MEMORY;
    }
    for (size_t i = 0; i < 2 * n_tubes; i++) {
        const size_t turn = i < n_tubes ? i : n_tubes;
        items[i] = (struct wp_strike){
            .t_s = wp_figure_time((double)turn * gap_s),
            .tube = i % n_tubes,
            .speed_m_s = wp_figure_speed(speed_m_s),
            .bearing_deg = NAN,
            .height_m = NAN,
            .impulse_n_s = NAN,
        };
        wp_blow_place(&items[i], context->layout);
    }
    *list = (struct wp_strike_list){items, 2 * n_tubes};
    return WP_OK;
}

void wp_strike_list_finish(struct wp_strike_list *list)
{
    free(list->items);
    *list = (struct wp_strike_list){NULL, 0};
}
