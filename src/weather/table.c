/* SPDX-License-Identifier: MIT */
/* Splits text into lines and fields, and reads fields as numbers. */
#include "weather/table.h"

#include <limits.h>
#include <string.h>

#include "base/decimal.h"

static void find_feed(struct wp_lines *lines)
{
    const char *const feed = memchr(lines->at, '\n', (size_t)(lines->end - lines->at));
    lines->feed = feed ? feed : lines->end;
}

static void find_zero(struct wp_lines *lines)
{
    const char *const zero = memchr(lines->at, '\0', (size_t)(lines->end - lines->at));
    lines->zero = zero ? zero : lines->end;
}

void wp_lines_init(struct wp_lines *lines, const char *text, size_t text_size)
{
    lines->at = text;
    lines->end = text + text_size;
    lines->number = 0;
    if (text_size >= 3 && memcmp(text, "\xEF\xBB\xBF", 3) == 0) {
        lines->at += 3;
    }
    find_feed(lines);
    find_zero(lines);
}

/* The next line, whatever it holds. */
static bool take_line(struct wp_lines *lines, struct wp_slice *line)
{
    const char *const start = lines->at;
    if (start == lines->end) {
        return false;
    }
    const char *stop = lines->feed;
    const char *const back = memchr(start, '\r', (size_t)(stop - start));
    if (back && back + 1 < stop) {
        lines->at = back + 1;
    } else {
        lines->at = stop < lines->end ? stop + 1 : stop;
        find_feed(lines);
    }
    line->at = start;
    line->length = (size_t)((back ? back : stop) - start);
    lines->number += lines->number < INT_MAX;
    return true;
}

/* True when the line that was taken holds a zero byte, which is passed then. */
static bool is_broken(struct wp_lines *lines)
{
    if (lines->zero >= lines->at || lines->zero == lines->end) {
        return false;
    }
    find_zero(lines);
    return true;
}

bool wp_lines_next(struct wp_lines *lines, struct wp_slice *line)
{
    bool is_there = take_line(lines, line);
    while (is_there && is_broken(lines)) {
        is_there = take_line(lines, line);
    }
    return is_there;
}

bool wp_lines_next_broken(struct wp_lines *lines, int *column)
{
    struct wp_slice line;
    while (take_line(lines, &line)) {
        *column = (int)(lines->zero - line.at) + 1;
        if (is_broken(lines)) {
            return true;
        }
    }
    return false;
}

bool wp_lines_next_row(struct wp_lines *lines, struct wp_slice *line)
{
    while (wp_lines_next(lines, line)) {
        if (!wp_line_is_blank(*line) && !wp_line_is_comment(*line)) {
            return true;
        }
    }
    return false;
}

static bool is_blank(char letter)
{
    return letter == ' ' || letter == '\t';
}

struct wp_slice wp_slice_trim(struct wp_slice slice)
{
    while (slice.length > 0 && is_blank(slice.at[0])) {
        slice.at++;
        slice.length--;
    }
    while (slice.length > 0 && is_blank(slice.at[slice.length - 1])) {
        slice.length--;
    }
    return slice;
}

static char lower(char letter)
{
    return letter >= 'A' && letter <= 'Z' ? (char)(letter - 'A' + 'a') : letter;
}

/* True when the word stands at the front of the slice. */
static bool starts_with(struct wp_slice slice, const char *word)
{
    size_t i = 0;
    while (word[i] != '\0' && i < slice.length && lower(slice.at[i]) == lower(word[i])) {
        i++;
    }
    return word[i] == '\0';
}

bool wp_slice_is(struct wp_slice slice, const char *word)
{
    return strlen(word) == slice.length && starts_with(slice, word);
}

const char *wp_slice_find(struct wp_slice slice, const char *word)
{
    while (slice.length > 0 && !starts_with(slice, word)) {
        slice.at++;
        slice.length--;
    }
    return slice.length > 0 ? slice.at : NULL;
}

/* Bytes of the well-formed UTF-8 character at the front (RFC 3629), 0 when there is none. */
static size_t utf8_length(const unsigned char *at, size_t length)
{
    static const unsigned char lowest[5] = {0, 0, 0, 0xA0, 0x90};
    static const unsigned char highest[5] = {0, 0, 0, 0x9F, 0x8F};
    const unsigned char first = at[0];
    const size_t n = first < 0x80 ? 1 : first < 0xC2 ? 0 : first < 0xE0 ? 2 : first < 0xF0 ? 3 : 4;
    if (n < 2 || first > 0xF4 || n > length) {
        return n == 1 ? 1 : 0;
    }
    for (size_t i = 1; i < n; i++) {
        if ((at[i] & 0xC0) != 0x80) {
            return 0;
        }
    }
    const bool is_overlong = (first == 0xE0 || first == 0xF0) && at[1] < lowest[n];
    const bool is_beyond = (first == 0xED || first == 0xF4) && at[1] > highest[n];
    return is_overlong || is_beyond ? 0 : n;
}

void wp_slice_show(struct wp_slice slice, char *out, size_t out_size)
{
    const unsigned char *at = (const unsigned char *)slice.at;
    size_t left = slice.length;
    size_t used = 0;
    while (left > 0) {
        const size_t n = utf8_length(at, left);
        char copy[5] = {0};
        if (n >= 2) {
            memcpy(copy, at, n);
        } else if (n == 0 && at[0] >= 0xA0) {
            copy[0] = (char)(0xC0 | at[0] >> 6);
            copy[1] = (char)(0x80 | (at[0] & 0x3F));
        } else {
            copy[0] = at[0] < 0x20 || at[0] >= 0x7F ? '?' : (char)at[0];
        }
        const size_t size = strlen(copy);
        if (used + size + 1 > out_size) {
            break;
        }
        memcpy(out + used, copy, size);
        used += size;
        at += n > 0 ? n : 1;
        left -= n > 0 ? n : 1;
    }
    if (out_size > 0) {
        out[used] = '\0';
    }
}

bool wp_line_is_comment(struct wp_slice line)
{
    const struct wp_slice text = wp_slice_trim(line);
    return text.length > 0 && text.at[0] == '#';
}

bool wp_line_is_blank(struct wp_slice line)
{
    return wp_slice_trim(line).length == 0;
}

/* Text between quotes, which at points behind the first of; doubled quotes stay as they are. A
 * quote that is never closed ends with the line. */
static struct wp_slice quoted_text(const char **at, const char *end)
{
    const char *const start = *at;
    const char *quote = memchr(start, '"', (size_t)(end - start));
    while (quote && quote + 1 < end && quote[1] == '"') {
        quote = memchr(quote + 2, '"', (size_t)(end - quote - 2));
    }
    *at = quote ? quote + 1 : end;
    const struct wp_slice text = {start, (size_t)((quote ? quote : end) - start)};
    return text;
}

static const char *skip_blanks(const char *at, const char *end, char separator)
{
    while (at < end && is_blank(*at) && (*at != separator || separator == ' ')) {
        at++;
    }
    return at;
}

static bool is_separator(char letter, char separator)
{
    return letter == separator || (separator == ' ' && letter == '\t');
}

/* One field; at is left on the separator behind it, or at the end. */
static struct wp_slice read_field(const char **at, const char *end, char separator)
{
    struct wp_slice field = {*at, 0};
    const bool is_quoted = *at < end && **at == '"';
    if (is_quoted) {
        (*at)++;
        field = quoted_text(at, end);
    }
    while (*at < end && !is_separator(**at, separator)) {
        (*at)++;
    }
    if (!is_quoted) {
        field.length = (size_t)(*at - field.at);
    }
    return wp_slice_trim(field);
}

size_t wp_fields_split(struct wp_slice line, char separator, struct wp_slice *fields, size_t n_max)
{
    const char *const end = line.at + line.length;
    const char *at = line.at;
    size_t n = 0;
    for (;;) {
        at = skip_blanks(at, end, separator);
        if (separator == ' ' && at == end) {
            return n;
        }
        const struct wp_slice field = read_field(&at, end, separator);
        if (n < n_max) {
            fields[n] = field;
        }
        n++;
        if (at == end) {
            return n;
        }
        at++;
    }
}

/* Separators outside quotes. */
static size_t count_separators(struct wp_slice line, char separator)
{
    bool is_quoted = false;
    size_t n = 0;
    for (size_t i = 0; i < line.length; i++) {
        is_quoted ^= line.at[i] == '"';
        n += line.at[i] == separator && !is_quoted;
    }
    return n;
}

enum { SAMPLE_ROWS = 60, COUNT_MAX = WP_FIELDS_MAX };

/* How many of the first rows share the commonest count of a separator, rows without it left out. */
static size_t rows_alike(const char *text, size_t text_size, char separator)
{
    size_t rows_with[COUNT_MAX] = {0};
    struct wp_lines lines;
    struct wp_slice line;
    wp_lines_init(&lines, text, text_size);
    for (size_t row = 0; row < SAMPLE_ROWS && wp_lines_next_row(&lines, &line); row++) {
        const size_t n = count_separators(line, separator);
        rows_with[n < COUNT_MAX ? n : COUNT_MAX - 1]++;
    }
    size_t most = 0;
    for (size_t n = 1; n < COUNT_MAX; n++) {
        most = rows_with[n] > most ? rows_with[n] : most;
    }
    return most;
}

char wp_separator_find(const char *text, size_t text_size)
{
    static const char separators[] = {'\t', ';', '|', ','};
    size_t alike[sizeof separators];
    size_t most = 0;
    for (size_t i = 0; i < sizeof separators; i++) {
        alike[i] = rows_alike(text, text_size, separators[i]);
        most = alike[i] > most ? alike[i] : most;
    }
    /* Decimal commas are nearly as constant as the semicolons beside them: 4 of 5 rows decide. */
    for (size_t i = 0; most > 0 && i < sizeof separators; i++) {
        if (5 * alike[i] >= 4 * most) {
            return separators[i];
        }
    }
    return ' ';
}

bool wp_number_read(struct wp_slice field, double *value)
{
    char text[48]; /* no figure of a weather station is as long */
    if (field.length == 0 || field.length >= sizeof text) {
        return false;
    }
    for (size_t i = 0; i < field.length; i++) {
        text[i] = field.at[i];
        if (text[i] == ',') {
            text[i] = '.';
        }
    }
    text[field.length] = '\0';
    double number = 0.0;
    if (wp_decimal_parse(text, &number) != text + field.length) {
        return false;
    }
    *value = number;
    return true;
}

bool wp_field_is_missing(struct wp_slice field)
{
    static const char *const words[] = {"NA", "N/A", "NaN", "null", "None", "M", "MM"};
    bool is_filler = true;
    for (size_t i = 0; i < field.length && is_filler; i++) {
        is_filler = strchr("-/.*_?", field.at[i]) && field.at[i] != '\0';
    }
    if (is_filler) {
        return true;
    }
    for (size_t i = 0; i < sizeof words / sizeof words[0]; i++) {
        if (wp_slice_is(field, words[i])) {
            return true;
        }
    }
    return false;
}

bool wp_field_is_code(struct wp_slice field)
{
    if (wp_slice_is(field, "32767") || wp_slice_is(field, "65535")) {
        return true;
    }
    size_t i = field.length > 0 && field.at[0] == '-' ? 1 : 0;
    bool has_nines = false;
    for (; i < field.length && field.at[i] == '9'; i++) {
        has_nines = true;
    }
    i += i < field.length && (field.at[i] == '.' || field.at[i] == ',');
    while (i < field.length && (field.at[i] == '9' || field.at[i] == '0')) {
        i++;
    }
    return has_nines && i == field.length;
}
