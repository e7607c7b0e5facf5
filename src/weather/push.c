/* SPDX-License-Identifier: MIT */
/*
 * Reads what stations push to a server, from its log: keys and values as a form sends them
 * (application/x-www-form-urlencoded, WHATWG URL standard, section 5), one request a line.
 */
#include <string.h>

#include "weather/keyed.h"
#include "weather/line_format.h"

static int hex_digit(char letter)
{
    static const char digits[] = "0123456789abcdef";
    const char small = letter >= 'A' && letter <= 'F' ? (char)(letter - 'A' + 'a') : letter;
    const char *const at = small != '\0' ? strchr(digits, small) : NULL;
    return at ? (int)(at - digits) : -1;
}

/* Plus is a blank, %3A a colon. What does not fit into the buffer is cut. */
static struct wp_slice decode(struct wp_slice text, char *buffer, size_t buffer_size)
{
    size_t used = 0;
    for (size_t i = 0; i < text.length && used + 1 < buffer_size; i++) {
        const int high = i + 2 < text.length ? hex_digit(text.at[i + 1]) : -1;
        const int low = i + 2 < text.length ? hex_digit(text.at[i + 2]) : -1;
        if (text.at[i] == '%' && high >= 0 && low >= 0) {
            buffer[used++] = (char)(16 * high + low);
            i += 2;
        } else {
            buffer[used++] = text.at[i] == '+' ? ' ' : text.at[i];
        }
    }
    buffer[used] = '\0';
    return (struct wp_slice){buffer, used};
}

/* The part of a line that holds keys and values: behind a question mark if there is one, up to a
 * blank or quote. */
static struct wp_slice query_of(struct wp_slice line)
{
    const char *const end = line.at + line.length;
    const char *const mark = memchr(line.at, '?', line.length);
    const char *at = mark ? mark + 1 : line.at;
    if (!mark) {
        /* A log may put the time or an address in front: the query is the word with the ampersand.
         */
        const char *const ampersand = memchr(line.at, '&', line.length);
        for (const char *letter = line.at; ampersand && letter < ampersand; letter++) {
            at = *letter == ' ' || *letter == '"' ? letter + 1 : at;
        }
    }
    const char *stop = at;
    while (stop < end && *stop != ' ' && *stop != '"' && *stop != '\t') {
        stop++;
    }
    return (struct wp_slice){at, (size_t)(stop - at)};
}

static void take_pair(struct wp_intake *intake, struct wp_keyed_values *values,
                      struct wp_slice pair)
{
    const char *const mark = memchr(pair.at, '=', pair.length);
    char name[WP_KEY_SIZE + 1];
    char text[2 * WP_KEY_TEXT_SIZE];
    if (!mark) {
        return;
    }
    const size_t length = (size_t)(mark - pair.at);
    const struct wp_slice value = {mark + 1, pair.length - length - 1};
    (void)decode((struct wp_slice){pair.at, length}, name, sizeof name);
    wp_keyed_take(intake, intake->state, values, name, decode(value, text, sizeof text));
}

static enum wp_line_outcome read_request(struct wp_intake *intake, struct wp_slice line, int number,
                                         struct wp_record *record)
{
    struct wp_keyed_values values = {.best = {NULL}};
    struct wp_slice rest = query_of(line);
    intake->has_even_lines = true;
    if (!memchr(rest.at, '&', rest.length)) {
        return WP_LINE_NOTHING; /* another line of the log */
    }
    while (rest.length > 0) {
        const char *const mark = memchr(rest.at, '&', rest.length);
        const size_t length = mark ? (size_t)(mark - rest.at) : rest.length;
        take_pair(intake, &values, (struct wp_slice){rest.at, length});
        const size_t taken = mark ? length + 1 : length;
        rest = (struct wp_slice){rest.at + taken, rest.length - taken};
    }
    return wp_keyed_read(intake, &values, number, record);
}

const struct wp_line_format *wp_push_format(void)
{
    static const struct wp_line_format format = {"station push requests", sizeof(struct wp_keyed),
                                                 read_request, NULL};
    return &format;
}
