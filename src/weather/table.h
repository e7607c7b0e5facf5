/* SPDX-License-Identifier: MIT */
#ifndef WINDPEAL_WEATHER_TABLE_H
#define WINDPEAL_WEATHER_TABLE_H

#include <stdbool.h>
#include <stddef.h>

/* Text as lines, lines as fields, fields as numbers. Nothing is copied and no locale is asked. */

/* A piece of somebody else's text. */
struct wp_slice {
    const char *at;
    size_t length;
};

/* The longest table line that is looked at: columns past it are ignored. */
enum { WP_FIELDS_MAX = 128 };

/* Walks through lines ended by LF, CR LF or CR. */
struct wp_lines {
    const char *at;
    const char *end;
    const char *feed; /* the next LF, or the end: found once, whatever lies before it */
    const char *zero; /* the next zero byte, or the end */
    int number;       /* of the line read last, from 1 */
};

/* Starts before the first line; a UTF-8 byte order mark is skipped. */
void wp_lines_init(struct wp_lines *lines, const char *text, size_t text_size);

/* The next line without its end; false after the last. Lines with a zero byte are no text, and
 * left out. */
bool wp_lines_next(struct wp_lines *lines, struct wp_slice *line);

/* The next line with a zero byte; false after the last. column: of that byte, from 1. */
bool wp_lines_next_broken(struct wp_lines *lines, int *column);

/* The next line that is neither blank nor a comment (# in front). */
bool wp_lines_next_row(struct wp_lines *lines, struct wp_slice *line);

/* Without blanks and tabs at both ends. */
struct wp_slice wp_slice_trim(struct wp_slice slice);

/* True when the slice is this word, ASCII letters of either case. */
bool wp_slice_is(struct wp_slice slice, const char *word);

/* Where the word stands first in the slice, ASCII letters of either case; NULL: nowhere. */
const char *wp_slice_find(struct wp_slice slice, const char *word);

/*
 * Copies for the user to read: always valid UTF-8 (bytes that are not count as Latin-1), control
 * characters as '?', cut between characters where out_size ends.
 */
void wp_slice_show(struct wp_slice slice, char *out, size_t out_size);

/* Whether a line is a comment or blank. */
bool wp_line_is_comment(struct wp_slice line);
bool wp_line_is_blank(struct wp_slice line);

/*
 * The separator that keeps its count best over the first rows: tab, semicolon, bar or comma, in
 * this order where they are about as constant; ' ' (runs of blanks) without any of them.
 */
char wp_separator_find(const char *text, size_t text_size);

/*
 * Splits a line; quotes around a field and blanks around its text are taken off. With ' ' a run
 * of blanks separates.
 *
 * @return fields of the line, those past n_max counted but not written
 */
size_t wp_fields_split(struct wp_slice line, char separator, struct wp_slice *fields, size_t n_max);

/* A whole field as a decimal number with point or comma; false leaves value untouched. */
bool wp_number_read(struct wp_slice field, double *value);

/* Empty, or one of the words that stations write for 'no value' (NA, ---, M, null, ...). */
bool wp_field_is_missing(struct wp_slice field);

/* A number that stations write for 'no value': nothing but nines (-999, 99.9), 32767, 65535. */
bool wp_field_is_code(struct wp_slice field);

#endif
