/* SPDX-License-Identifier: MIT */
/* Finds the heading rows of a table and chooses its columns. */
#include "weather/heading_rows.h"

#include <stdio.h>
#include <string.h>

enum { ROWS_BEFORE_DATA = 200 }; /* a table that has not begun by then is none */

static bool is_digit(char letter)
{
    return letter >= '0' && letter <= '9';
}

static bool is_letter(char letter)
{
    return (letter >= 'a' && letter <= 'z') || (letter >= 'A' && letter <= 'Z');
}

/* A number, or what looks like a date or clock: digits with marks and at most three letters. */
static bool is_value(struct wp_slice field)
{
    double value = 0.0;
    if (wp_number_read(field, &value)) {
        return true;
    }
    if (field.length == 0 || !is_digit(field.at[0])) {
        return false;
    }
    size_t n_letters = 0;
    bool has_mark = false;
    for (size_t i = 0; i < field.length; i++) {
        n_letters += is_letter(field.at[i]);
        has_mark |=
            field.at[i] == '-' || field.at[i] == '/' || field.at[i] == ':' || field.at[i] == '.';
    }
    return has_mark && n_letters <= 3;
}

/* Rows of values have two of them, or at least in half of the fields that are not empty. */
static bool is_data_row(struct wp_slice line, char separator)
{
    struct wp_slice fields[WP_FIELDS_MAX];
    size_t n = wp_fields_split(line, separator, fields, WP_FIELDS_MAX);
    n = n < WP_FIELDS_MAX ? n : WP_FIELDS_MAX;
    size_t n_values = 0;
    size_t n_texts = 0;
    for (size_t i = 0; i < n; i++) {
        if (is_value(fields[i])) {
            n_values++;
        } else {
            n_texts += !wp_field_is_missing(fields[i]);
        }
    }
    return n_values >= 2 || (n_values == 1 && n_texts <= 1);
}

static void push_line(struct wp_heading_rows *rows, struct wp_slice line, int number)
{
    if (rows->n_lines == WP_HEADING_ROWS) {
        memmove(rows->line, rows->line + 1, sizeof rows->line - sizeof rows->line[0]);
        memmove(rows->number, rows->number + 1, sizeof rows->number - sizeof rows->number[0]);
        rows->n_lines--;
    }
    rows->line[rows->n_lines] = line;
    rows->number[rows->n_lines++] = number;
}

void wp_heading_rows_find(struct wp_slice text, char separator, int after_line,
                          struct wp_heading_rows *rows)
{
    struct wp_lines lines;
    struct wp_slice line;
    struct wp_slice comment = {NULL, 0};
    int comment_number = 0;
    int n_rows = 0;
    wp_lines_init(&lines, text.at, text.length);
    rows->n_lines = 0;
    rows->first_row = 0;
    while (n_rows < ROWS_BEFORE_DATA && rows->first_row == 0 && wp_lines_next(&lines, &line)) {
        if (lines.number <= after_line || wp_line_is_blank(line)) {
            continue;
        }
        if (wp_line_is_comment(line)) {
            comment = line;
            comment_number = lines.number;
        } else if (is_data_row(line, separator)) {
            rows->first_row = lines.number;
        } else {
            push_line(rows, line, lines.number);
            n_rows++;
        }
    }
    if (rows->first_row > 0 && rows->n_lines == 0 && comment.at) {
        comment = wp_slice_trim(comment);
        comment.at++;
        comment.length--;
        push_line(rows, comment, comment_number);
    }
}

/* Fields of a heading row, empty ones at its end left out. */
static size_t split_heading(struct wp_slice line, char separator, struct wp_slice *fields)
{
    size_t n = wp_fields_split(line, separator, fields, WP_FIELDS_MAX);
    n = n < WP_FIELDS_MAX ? n : WP_FIELDS_MAX;
    while (n > 0 && fields[n - 1].length == 0) {
        n--;
    }
    return n;
}

static bool is_unit_row(const struct wp_slice *fields, size_t n)
{
    for (size_t i = 0; i < n; i++) {
        if (wp_unit_is_speed(wp_heading_unit(fields[i]))) {
            return true;
        }
    }
    return false;
}

static void append(char *text, const char *before, struct wp_slice piece, const char *after)
{
    char shown[WP_HEADING_SIZE];
    wp_slice_show(piece, shown, sizeof shown);
    const size_t used = strlen(text);
    if (piece.length > 0) {
        char joined[2 * WP_HEADING_SIZE];
        (void)snprintf(joined, sizeof joined, "%s%s%s", used > 0 ? before : "", shown,
                       used > 0 ? after : "");
        wp_slice_show((struct wp_slice){joined, strlen(joined)}, text + used,
                      WP_HEADING_SIZE - used);
    }
}

/* Joins the last n_rows rows of the block column by column and reads what they mean. */
static void read_headings(const struct wp_heading_rows *rows, size_t n_rows, char separator,
                          struct wp_candidates *candidates)
{
    struct wp_slice fields[WP_FIELDS_MAX];
    candidates->n_columns = 0;
    for (size_t row = rows->n_lines - n_rows; row < rows->n_lines; row++) {
        const size_t n = split_heading(rows->line[row], separator, fields);
        const bool are_units = is_unit_row(fields, n);
        while (candidates->n_columns < n) {
            candidates->text[candidates->n_columns++][0] = '\0';
        }
        for (size_t i = 0; i < n; i++) {
            append(candidates->text[i], are_units ? " (" : " ", fields[i], are_units ? ")" : "");
        }
    }
    for (size_t i = 0; i < candidates->n_columns; i++) {
        const char *const text = candidates->text[i];
        wp_heading_read((struct wp_slice){text, strlen(text)}, &candidates->heading[i]);
    }
}

/* Positive when column a is the better one for the meaning that both have. */
static int compare_fit(const struct wp_candidates *candidates, int a, int b)
{
    const int by_fit = candidates->heading[a].fit - candidates->heading[b].fit;
    if (by_fit != 0) {
        return by_fit;
    }
    const size_t a_length = strlen(candidates->text[a]);
    const size_t b_length = strlen(candidates->text[b]);
    return (a_length < b_length) - (a_length > b_length);
}

/* In a table with a year: the second MM is the minute, and DD behind the month is no direction. */
static void tell_parts_apart(struct wp_candidates *candidates)
{
    bool has_year = false;
    int month = -1;
    for (int i = 0; i < (int)candidates->n_columns; i++) {
        struct wp_heading *const heading = &candidates->heading[i];
        const struct wp_slice text = {candidates->text[i], strlen(candidates->text[i])};
        has_year = has_year || heading->meaning == WP_MEANS_YEAR;
        if (heading->meaning == WP_MEANS_MONTH && month < 0) {
            month = i;
        } else if (heading->meaning == WP_MEANS_MONTH && wp_slice_is(text, "mm")) {
            heading->meaning = WP_MEANS_MINUTE;
        } else if (has_year && month >= 0 && month == i - 1 && wp_slice_is(text, "dd")) {
            *heading = (struct wp_heading){.meaning = WP_MEANS_DAY, .fit = heading->fit};
        }
    }
}

void wp_candidates_settle_time(struct wp_candidates *candidates)
{
    int *const best = candidates->best;
    int *const rival = candidates->rival;
    const bool has_stamp = best[WP_MEANS_STAMP] >= 0;
    const bool has_month_and_day = best[WP_MEANS_MONTH] >= 0 && best[WP_MEANS_DAY] >= 0;
    const bool has_parts =
        best[WP_MEANS_YEAR] >= 0 && (has_month_and_day || best[WP_MEANS_DAY_OF_YEAR] >= 0);
    if (has_stamp) {
        best[WP_MEANS_DATE] = rival[WP_MEANS_DATE] = -1;
        best[WP_MEANS_CLOCK] = rival[WP_MEANS_CLOCK] = -1;
    }
    const bool has_date = best[WP_MEANS_DATE] >= 0;
    for (int part = WP_MEANS_YEAR; part <= WP_MEANS_DAY_OF_YEAR; part++) {
        best[part] = has_stamp || has_date || !has_parts ? -1 : best[part];
    }
    const bool needs_clock = !has_stamp && (has_date || has_parts) && best[WP_MEANS_CLOCK] < 0;
    for (int part = WP_MEANS_HOUR; part <= WP_MEANS_SECOND; part++) {
        best[part] = needs_clock ? best[part] : -1;
    }
}

static void choose(struct wp_candidates *candidates)
{
    tell_parts_apart(candidates);
    for (int meaning = 0; meaning < WP_MEANING_COUNT; meaning++) {
        int *const best = &candidates->best[meaning];
        int *const rival = &candidates->rival[meaning];
        int *const other = &candidates->other[meaning];
        *best = *rival = *other = -1;
        for (int i = 0; i < (int)candidates->n_columns; i++) {
            if ((int)candidates->heading[i].meaning != meaning) {
                continue;
            }
            const int order = *best < 0 ? 1 : compare_fit(candidates, i, *best);
            if (order > 0) {
                *other = *best >= 0 ? *best : *other;
                *best = i;
                *rival = -1;
            } else if (order == 0) {
                *rival = i;
            } else {
                *other = i;
            }
        }
    }
    wp_candidates_settle_time(candidates);
}

bool wp_candidates_have_time(const struct wp_candidates *candidates)
{
    return candidates->best[WP_MEANS_STAMP] >= 0 || candidates->best[WP_MEANS_DATE] >= 0 ||
           candidates->best[WP_MEANS_YEAR] >= 0 || candidates->best[WP_MEANS_CLOCK] >= 0;
}

/* Counts what is wrong with a choice: 0 is a table that can be read. */
static int count_flaws(const struct wp_candidates *candidates)
{
    int n = (candidates->best[WP_MEANS_SPEED] < 0) + !wp_candidates_have_time(candidates);
    for (int meaning = WP_MEANS_STAMP; meaning < WP_MEANS_TEMPERATURE; meaning++) {
        n += candidates->rival[meaning] >= 0;
    }
    return n;
}

int wp_candidates_choose(const struct wp_heading_rows *rows, char separator,
                         struct wp_candidates *candidates)
{
    size_t depth = 1;
    int fewest = -1;
    for (size_t n_rows = 1; n_rows <= rows->n_lines; n_rows++) {
        read_headings(rows, n_rows, separator, candidates);
        choose(candidates);
        const int n_flaws = count_flaws(candidates);
        if (fewest < 0 || n_flaws < fewest) {
            fewest = n_flaws;
            depth = n_rows;
        }
    }
    read_headings(rows, depth, separator, candidates);
    choose(candidates);
    return fewest;
}

void wp_candidates_empty(struct wp_candidates *candidates)
{
    candidates->n_columns = 0;
    for (int meaning = 0; meaning < WP_MEANING_COUNT; meaning++) {
        candidates->best[meaning] = candidates->rival[meaning] = candidates->other[meaning] = -1;
    }
}

/* Words of a heading keep their unit whatever they were taken for before. */
static enum wp_unit unit_as(const char *text, enum wp_meaning meaning)
{
    struct wp_heading heading;
    wp_heading_read_as((struct wp_slice){text, strlen(text)}, meaning, &heading);
    return heading.unit;
}

/* A column is not that any more; the next best takes its place. */
static void take_away(struct wp_candidates *candidates, int meaning, int index)
{
    int *const best = &candidates->best[meaning];
    int *const rival = &candidates->rival[meaning];
    int *const other = &candidates->other[meaning];
    *rival = *rival == index ? -1 : *rival;
    *other = *other == index ? -1 : *other;
    if (*best == index) {
        *best = *rival >= 0 ? *rival : *other;
        *other = *rival >= 0 ? *other : -1;
        *rival = -1;
    }
}

void wp_candidates_set(struct wp_candidates *candidates, enum wp_meaning meaning, int index)
{
    while ((int)candidates->n_columns <= index) {
        const size_t i = candidates->n_columns++;
        (void)snprintf(candidates->text[i], WP_HEADING_SIZE, "number %zu", i + 1);
        candidates->heading[i] = (struct wp_heading){.meaning = WP_MEANS_NOTHING};
    }
    for (int other = 0; other < WP_MEANING_COUNT; other++) {
        take_away(candidates, other, index);
    }
    struct wp_heading *const heading = &candidates->heading[index];
    heading->unit = unit_as(candidates->text[index], meaning);
    heading->meaning = meaning;
    heading->fit = WP_FIT_CHOSEN;
    heading->unknown_unit[0] = '\0';
    candidates->best[meaning] = index;
    candidates->rival[meaning] = candidates->other[meaning] = -1;
}
