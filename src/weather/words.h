/* SPDX-License-Identifier: MIT */
#ifndef WINDPEAL_WEATHER_WORDS_H
#define WINDPEAL_WEATHER_WORDS_H

#include <stdbool.h>
#include <stddef.h>

#include "weather/table.h"

/* A heading as plain words: lower case, without accents, split at capitals and at marks. */

enum { WP_WORDS_MAX = 16, WP_WORD_SIZE = 24 };

/* "windSpeed_avg (km/h)" is wind, speed, avg, km, h; the last two in brackets. */
struct wp_words {
    char word[WP_WORDS_MAX][WP_WORD_SIZE];
    bool is_bracketed[WP_WORDS_MAX];
    size_t n_words; /* words past WP_WORDS_MAX are left out */
};

/* Splits UTF-8 or Latin-1 text. A unit glued to a word of wind is split off ("windspeedmph"). */
void wp_words_split(struct wp_slice text, struct wp_words *words);

/* Index of the first word that is in the list, which ends with NULL; n_words when none is. */
size_t wp_words_find(const struct wp_words *words, const char *const *list);

/* True when any word is in the list. */
bool wp_words_have(const struct wp_words *words, const char *const *list);

/* Index at which the words of a phrase ("km h") follow one another; n_words when nowhere. */
size_t wp_words_find_phrase(const struct wp_words *words, const char *phrase);

#endif
