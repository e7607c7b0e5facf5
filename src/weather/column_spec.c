/* SPDX-License-Identifier: MIT */
/* Reads which column is what, as the user tells it. */
#include "weather/column_spec.h"

#include <string.h>

static const char hint[] = "as in --columns time=1,speed=3,gust=4,from=5; also date, temperature "
                           "and pressure";

/* The meaning of a word; WP_MEANS_NOTHING: none. */
static enum wp_meaning read_meaning(struct wp_slice word)
{
    static const struct {
        const char *word;
        enum wp_meaning meaning;
    } meanings[] = {{"time", WP_MEANS_STAMP},       {"date", WP_MEANS_DATE},
                    {"speed", WP_MEANS_SPEED},      {"gust", WP_MEANS_GUST},
                    {"from", WP_MEANS_FROM},        {"temperature", WP_MEANS_TEMPERATURE},
                    {"pressure", WP_MEANS_PRESSURE}};
    for (size_t i = 0; i < sizeof meanings / sizeof meanings[0]; i++) {
        if (wp_slice_is(word, meanings[i].word)) {
            return meanings[i].meaning;
        }
    }
    return WP_MEANS_NOTHING;
}

static bool read_entry(struct wp_slice entry, enum wp_meaning *meaning, int *index)
{
    const char *const mark = memchr(entry.at, '=', entry.length);
    double number = 0.0;
    if (!mark) {
        return false;
    }
    const size_t length = (size_t)(mark - entry.at);
    *meaning = read_meaning(wp_slice_trim((struct wp_slice){entry.at, length}));
    const struct wp_slice rest = {mark + 1, entry.length - length - 1};
    if (*meaning == WP_MEANS_NOTHING || !wp_number_read(wp_slice_trim(rest), &number) ||
        !(number >= 1.0 && number <= (double)WP_FIELDS_MAX)) {
        return false;
    }
    *index = (int)number - 1;
    return (double)*index == number - 1.0;
}

/* Two meanings for one column are a slip. */
static bool is_taken(const int index[WP_MEANING_COUNT], int wanted)
{
    for (int meaning = 0; meaning < WP_MEANING_COUNT; meaning++) {
        if (index[meaning] == wanted) {
            return true;
        }
    }
    return false;
}

enum wp_status wp_column_spec_read(struct wp_intake *intake, int index[WP_MEANING_COUNT])
{
    const char *const text = intake->config->columns;
    struct wp_slice entries[WP_MEANING_COUNT];
    const size_t n =
        wp_fields_split((struct wp_slice){text, strlen(text)}, ',', entries, WP_MEANING_COUNT);
    for (int meaning = 0; meaning < WP_MEANING_COUNT; meaning++) {
        index[meaning] = -1;
    }
    for (size_t i = 0; i < n; i++) {
        enum wp_meaning meaning = WP_MEANS_NOTHING;
        int column = 0;
        const bool is_read = i < WP_MEANING_COUNT && read_entry(entries[i], &meaning, &column);
        if (!is_read || index[meaning] >= 0 || is_taken(index, column)) {
            (void)wp_intake_fail(intake, WP_E_SYNTAX, 0, hint,
                                 "the columns '%.80s' cannot be understood; expected what=number, "
                                 "each column and each what once",
                                 text);
            return WP_E_SYNTAX;
        }
        index[meaning] = column;
    }
    if (index[WP_MEANS_DATE] >= 0) {
        index[WP_MEANS_CLOCK] = index[WP_MEANS_STAMP];
        index[WP_MEANS_STAMP] = -1;
    }
    return WP_OK;
}
