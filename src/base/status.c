/* SPDX-License-Identifier: MIT */
/* Statuses, findings about the user's input, and the word that was probably meant. */
#include "windpeal/status.h"

#include <stdarg.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

struct status_name {
    const char *code;
    const char *text;
};

static const struct status_name status_names[] = {
    [WP_OK] = {"ok", "no error"},
    [WP_E_SYNTAX] = {"syntax", "text that cannot be read"},
    [WP_E_UNKNOWN_KEY] = {"unknown_key", "unknown key"},
    [WP_E_UNKNOWN_NAME] = {"unknown_name", "unknown name"},
    [WP_E_UNIT] = {"unit", "missing or unsuitable unit"},
    [WP_E_RANGE] = {"range", "value out of range"},
    [WP_E_MISSING] = {"missing", "something required is missing"},
    [WP_E_CONFLICT] = {"conflict", "entries exclude each other"},
    [WP_E_AMBIGUOUS] = {"ambiguous", "more than one meaning fits"},
    [WP_E_EMPTY] = {"empty", "nothing usable in it"},
    [WP_E_NOT_BUILT] = {"not_built", "not in this version"},
    [WP_E_NO_FILE] = {"no_file", "file not found"},
    [WP_E_EXISTS] = {"exists", "file exists already"},
    [WP_E_NO_MEMORY] = {"no_memory", "out of memory"},
    [WP_E_IO] = {"io", "reading or writing failed"},
    [WP_E_NO_SPACE] = {"no_space", "no space left"},
    [WP_E_DEVICE] = {"device", "no loudspeaker to be had"},
    [WP_E_INTERRUPTED] = {"interrupted", "interrupted"},
};

static const struct status_name *status_name(enum wp_status status)
{
    static const struct status_name unknown = {"unknown", "unknown status"};
    const size_t index = (size_t)status;
    return index < sizeof status_names / sizeof status_names[0] ? &status_names[index] : &unknown;
}

const char *wp_status_text(enum wp_status status)
{
    return status_name(status)->text;
}

const char *wp_status_code(enum wp_status status)
{
    return status_name(status)->code;
}

bool wp_status_is_input(enum wp_status status)
{
    return status >= WP_E_SYNTAX && status <= WP_E_EXISTS;
}

void wp_diags_init(struct wp_diags *diags)
{
    memset(diags, 0, sizeof *diags);
}

/* Bytes of the UTF-8 character at the start of s (RFC 3629, section 4), or 0 when it is broken. */
static size_t utf8_length(const unsigned char *s)
{
    const unsigned char lead = s[0];
    if (lead < 0x80U) {
        return 1;
    }
    const size_t length = lead < 0xC2U   ? 0
                          : lead < 0xE0U ? 2
                          : lead < 0xF0U ? 3
                          : lead < 0xF5U ? 4
                                         : 0;
    for (size_t i = 1; i < length; i++) {
        if ((s[i] & 0xC0U) != 0x80U) {
            return 0;
        }
    }
    const bool is_overlong = (lead == 0xE0U && s[1] < 0xA0U) || (lead == 0xF0U && s[1] < 0x90U);
    const bool is_no_character = (lead == 0xEDU && s[1] > 0x9FU) || (lead == 0xF4U && s[1] > 0x8FU);
    return is_overlong || is_no_character ? 0 : length;
}

static bool is_control(const unsigned char *s)
{
    return s[0] < 0x20U || s[0] == 0x7FU || (s[0] == 0xC2U && s[1] < 0xA0U);
}

/* Findings quote the user's files: what a terminal would obey and what is no UTF-8 becomes a
 * question mark; a character cut in two by the end of the room is dropped. */
static void make_printable(char *text, size_t text_size)
{
    unsigned char *at = (unsigned char *)text;
    const unsigned char *end = at + strlen(text);
    const bool is_full = (size_t)(end - at) + 1 == text_size;
    while (*at) {
        const size_t length = utf8_length(at);
        if (length == 0 && is_full && end - at < 4 && *at >= 0xC0U) {
            *at = '\0';
            return;
        }
        if (length == 0 || is_control(at)) {
            memset(at, '?', length ? length : 1);
        }
        at += length ? length : 1;
    }
}

/* Room for one more finding, or NULL. The first error always finds room, if need be in the place of
 * the last warning, so that wp_diags_status never misses one. */
static struct wp_diag *next_item(struct wp_diags *diags, enum wp_status status)
{
    if (diags->n_items < WP_DIAGS_MAX) {
        return &diags->items[diags->n_items++];
    }
    diags->n_left_out++;
    return status && diags->n_errors == 1 ? &diags->items[WP_DIAGS_MAX - 1] : NULL;
}

enum wp_status wp_diags_add(struct wp_diags *diags, enum wp_status status, const char *file,
                            struct wp_mark mark, const char *hint, const char *format, ...)
{
    if (!diags) {
        return status;
    }
    if (status) {
        diags->n_errors++;
    }
    struct wp_diag *diag = next_item(diags, status);
    if (!diag) {
        return status;
    }
    diag->status = status;
    diag->mark = mark;
    (void)snprintf(diag->file, sizeof diag->file, "%s", file ? file : "");
    (void)snprintf(diag->hint, sizeof diag->hint, "%s", hint ? hint : "");
    va_list arguments;
    va_start(arguments, format);
    (void)vsnprintf(diag->message, sizeof diag->message, format, arguments);
    va_end(arguments);
    make_printable(diag->file, sizeof diag->file);
    make_printable(diag->hint, sizeof diag->hint);
    make_printable(diag->message, sizeof diag->message);
    return status;
}

enum wp_status wp_diags_status(const struct wp_diags *diags)
{
    for (size_t i = 0; i < diags->n_items; i++) {
        if (diags->items[i].status) {
            return diags->items[i].status;
        }
    }
    return WP_OK;
}

/* Longer words are never a slip of the fingers. */
enum { WORD_MAX = 63 };

static char lower_ascii(char c)
{
    return (char)(c >= 'A' && c <= 'Z' ? c - 'A' + 'a' : c);
}

static size_t smaller(size_t a, size_t b)
{
    return a < b ? a : b;
}

/* Levenshtein's distance by the row method of R. A. Wagner and M. J. Fischer, J. ACM 21 (1974)
 * 168; both words at most WORD_MAX long. */
static size_t edit_distance(const char *a, size_t a_length, const char *b, size_t b_length)
{
    size_t row[WORD_MAX + 1];
    for (size_t j = 0; j <= b_length; j++) {
        row[j] = j;
    }
    for (size_t i = 1; i <= a_length; i++) {
        size_t diagonal = row[0];
        row[0] = i;
        for (size_t j = 1; j <= b_length; j++) {
            const size_t above = row[j];
            const size_t change = lower_ascii(a[i - 1]) != lower_ascii(b[j - 1]);
            row[j] = smaller(diagonal + change, smaller(above, row[j - 1]) + 1);
            diagonal = above;
        }
    }
    return row[b_length];
}

const char *wp_nearest_word(const char *word, const char *const *candidates, size_t n_candidates)
{
    const size_t length = strlen(word);
    const char *nearest = NULL;
    size_t best = SIZE_MAX;
    for (size_t i = 0; length <= WORD_MAX && i < n_candidates; i++) {
        const size_t other = candidates[i] ? strlen(candidates[i]) : SIZE_MAX;
        if (other > WORD_MAX) {
            continue;
        }
        /* A third of the letters may differ, but at least one. */
        const size_t longer = length > other ? length : other;
        const size_t limit = longer < 6 ? 1 : longer / 3;
        const size_t distance = edit_distance(word, length, candidates[i], other);
        if (distance <= limit && distance < longer && distance < best) {
            best = distance;
            nearest = candidates[i];
        }
    }
    return nearest;
}
