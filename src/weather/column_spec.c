/* SPDX-License-Identifier: MIT */
/* Reads which column is what, as the user tells it. */
#include "weather/column_spec.h"

#include <string.h>

static const char hint[] = "as in --columns time=1,speed=3,gust=4,from=5; also date, year, month, "
                           "day, hour, minute, temperature, pressure and station";

/* What the user calls a meaning. */
struct word {
    const char *word;
    enum wp_meaning meaning;
};

static const struct word meanings[] = {
    {"time", WP_MEANS_STAMP},        {"date", WP_MEANS_DATE}, {"speed", WP_MEANS_SPEED},
    {"gust", WP_MEANS_GUST},         {"from", WP_MEANS_FROM}, {"temperature", WP_MEANS_TEMPERATURE},
    {"pressure", WP_MEANS_PRESSURE}, {"year", WP_MEANS_YEAR}, {"month", WP_MEANS_MONTH},
    {"day", WP_MEANS_DAY},           {"hour", WP_MEANS_HOUR}, {"minute", WP_MEANS_MINUTE},
    {"station", WP_MEANS_STATION}};

/* The meaning of a word; WP_MEANS_NOTHING: none. */
static enum wp_meaning read_meaning(struct wp_slice word)
{
    for (size_t i = 0; i < sizeof meanings / sizeof meanings[0]; i++) {
        if (wp_slice_is(word, meanings[i].word)) {
            return meanings[i].meaning;
        }
    }
    return WP_MEANS_NOTHING;
}

const char *wp_column_word(enum wp_meaning meaning)
{
    for (size_t i = 0; i < sizeof meanings / sizeof meanings[0]; i++) {
        if (meanings[i].meaning == meaning) {
            return meanings[i].word;
        }
    }
    return "time"; /* a clock: the time beside a date */
}

static bool read_entry(struct wp_slice entry, enum wp_meaning *meaning,
                       struct wp_column_choice *choice)
{
    const char *const mark = memchr(entry.at, '=', entry.length);
    double number = 0.0;
    if (!mark) {
        return false;
    }
    const size_t length = (size_t)(mark - entry.at);
    *meaning = read_meaning(wp_slice_trim((struct wp_slice){entry.at, length}));
    const struct wp_slice value =
        wp_slice_trim((struct wp_slice){mark + 1, entry.length - length - 1});
    *choice = (struct wp_column_choice){-1, value};
    if (wp_number_read(value, &number)) {
        const bool is_number = number >= 1.0 && number <= (double)WP_FIELDS_MAX;
        *choice = (struct wp_column_choice){is_number ? (int)number - 1 : -1, {"", 0}};
        return is_number && (double)choice->index == number - 1.0;
    }
    return *meaning != WP_MEANS_NOTHING && value.length > 0;
}

bool wp_column_is_chosen(const struct wp_column_choice *choice)
{
    return choice->index >= 0 || choice->name.length > 0;
}

/* Two meanings for one column are a slip. */
static bool is_taken(const struct wp_column_choice choices[WP_MEANING_COUNT],
                     const struct wp_column_choice *wanted)
{
    for (int meaning = 0; meaning < WP_MEANING_COUNT; meaning++) {
        if (wanted->index >= 0 && choices[meaning].index == wanted->index) {
            return true;
        }
    }
    return false;
}

enum wp_status wp_column_spec_read(struct wp_intake *intake,
                                   struct wp_column_choice choices[WP_MEANING_COUNT])
{
    const char *const text = intake->config->columns;
    struct wp_slice entries[WP_MEANING_COUNT];
    const size_t n =
        wp_fields_split((struct wp_slice){text, strlen(text)}, ',', entries, WP_MEANING_COUNT);
    for (int meaning = 0; meaning < WP_MEANING_COUNT; meaning++) {
        choices[meaning] = (struct wp_column_choice){-1, {"", 0}};
    }
    for (size_t i = 0; i < n; i++) {
        enum wp_meaning meaning = WP_MEANS_NOTHING;
        struct wp_column_choice choice = {-1, {"", 0}};
        const bool is_read = i < WP_MEANING_COUNT && read_entry(entries[i], &meaning, &choice);
        if (!is_read || meaning == WP_MEANS_NOTHING || wp_column_is_chosen(&choices[meaning]) ||
            is_taken(choices, &choice)) {
            (void)wp_intake_fail(intake, WP_E_SYNTAX, 0, hint,
                                 "the columns '%.80s' cannot be understood; expected what=number "
                                 "or what=name, each column and each what once",
                                 text);
            return WP_E_SYNTAX;
        }
        choices[meaning] = choice;
    }
    if (wp_column_is_chosen(&choices[WP_MEANS_DATE])) {
        choices[WP_MEANS_CLOCK] = choices[WP_MEANS_STAMP];
        choices[WP_MEANS_STAMP] = (struct wp_column_choice){-1, {"", 0}};
    }
    return WP_OK;
}
