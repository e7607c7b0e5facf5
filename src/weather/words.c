/* SPDX-License-Identifier: MIT */
/* Breaks headings into plain lower-case words. */
#include "weather/words.h"

#include <string.h>

/* Letters of Latin-1 without their accents, from U+00C0; blank: no letter. */
static const char plain_letters[] = "aaaaaaaceeeeiiiidnooooo ouuuuyts"
                                    "aaaaaaaceeeeiiiidnooooo ouuuuyty";

/* The next character of UTF-8 or Latin-1 text as a plain lower-case one; ' ' for all marks but
 * brackets. */
static char next_plain(const unsigned char **at, const unsigned char *end)
{
    unsigned int letter = *(*at)++;
    if ((letter == 0xC2 || letter == 0xC3) && *at < end && (**at & 0xC0) == 0x80) {
        letter = (letter & 0x03U) << 6 | (*(*at)++ & 0x3FU);
    }
    if (letter == 0xE2 && end - *at >= 2 && (*at)[0] == 0x84 && ((*at)[1] | 0x0A) == 0x8B) {
        *at += 2; /* the signs for degrees Celsius and Fahrenheit, U+2103 and U+2109 */
        return (*at)[-1] == 0x83 ? 'c' : 'f';
    }
    if (letter >= 0xC0 && letter <= 0xFF) {
        return plain_letters[letter - 0xC0];
    }
    if (letter >= 'A' && letter <= 'Z') {
        return (char)(letter - 'A' + 'a');
    }
    const bool is_word = (letter >= 'a' && letter <= 'z') || (letter >= '0' && letter <= '9');
    const bool is_bracket = letter == '(' || letter == ')' || letter == '[' || letter == ']';
    return is_word || is_bracket ? (char)letter : ' ';
}

static bool starts_with(const char *letters, size_t length, const char *start)
{
    return length >= strlen(start) && memcmp(letters, start, strlen(start)) == 0;
}

/* Length of the word without the unit glued to its end, or 0 when there is none. */
static size_t stem_length(const char *letters, size_t length)
{
    static const char *const starts[] = {"wind", "gust", "speed"};
    static const char *const endings[] = {"mph", "kmh", "kph", "mps", "kts", "knots"};
    size_t i = 0;
    while (i < sizeof starts / sizeof starts[0] && !starts_with(letters, length, starts[i])) {
        i++;
    }
    if (i == sizeof starts / sizeof starts[0]) {
        return 0;
    }
    for (i = 0; i < sizeof endings / sizeof endings[0]; i++) {
        const size_t ending = strlen(endings[i]);
        if (length >= ending + 4 && memcmp(letters + length - ending, endings[i], ending) == 0) {
            return length - ending;
        }
    }
    return 0;
}

static void put_word(struct wp_words *words, const char *letters, size_t length, bool is_bracketed)
{
    if (length == 0 || words->n_words == WP_WORDS_MAX) {
        return;
    }
    const size_t kept = length < WP_WORD_SIZE ? length : WP_WORD_SIZE - 1;
    memcpy(words->word[words->n_words], letters, kept);
    words->word[words->n_words][kept] = '\0';
    words->is_bracketed[words->n_words++] = is_bracketed;
}

/* One word, or two when a unit is glued to its end. */
static void add_word(struct wp_words *words, const char *letters, size_t length, bool is_bracketed)
{
    const size_t stem = stem_length(letters, length);
    if (stem > 0) {
        put_word(words, letters, stem, is_bracketed);
    }
    put_word(words, letters + stem, length - stem, is_bracketed);
}

void wp_words_split(struct wp_slice text, struct wp_words *words)
{
    const unsigned char *at = (const unsigned char *)text.at;
    const unsigned char *const end = at + text.length;
    char letters[WP_WORD_SIZE];
    size_t length = 0;
    bool is_bracketed = false;
    bool was_small = false;
    words->n_words = 0;
    while (at < end && words->n_words < WP_WORDS_MAX) {
        const bool is_capital = *at >= 'A' && *at <= 'Z';
        const bool is_small = *at >= 'a' && *at <= 'z';
        const char letter = next_plain(&at, end);
        const bool is_mark =
            letter == ' ' || letter < '0' || letter > 'z' || letter == '[' || letter == ']';
        if (is_mark || (is_capital && was_small)) {
            add_word(words, letters, length, is_bracketed);
            length = 0;
        }
        if (!is_mark && length < sizeof letters) {
            letters[length++] = letter;
        }
        if (letter == '(' || letter == '[') {
            is_bracketed = true;
        } else if (letter == ')' || letter == ']') {
            is_bracketed = false;
        }
        was_small = is_small;
    }
    add_word(words, letters, length, is_bracketed);
}

size_t wp_words_find(const struct wp_words *words, const char *const *list)
{
    for (size_t i = 0; i < words->n_words; i++) {
        for (const char *const *item = list; *item; item++) {
            if (strcmp(words->word[i], *item) == 0) {
                return i;
            }
        }
    }
    return words->n_words;
}

bool wp_words_have(const struct wp_words *words, const char *const *list)
{
    return wp_words_find(words, list) < words->n_words;
}

/* True when the phrase's words are those from index on. */
static bool is_phrase_at(const struct wp_words *words, size_t index, const char *phrase)
{
    while (*phrase != '\0') {
        const size_t length = strcspn(phrase, " ");
        if (index >= words->n_words || strlen(words->word[index]) != length ||
            memcmp(words->word[index], phrase, length) != 0) {
            return false;
        }
        index++;
        phrase += length + (phrase[length] == ' ');
    }
    return true;
}

size_t wp_words_find_phrase(const struct wp_words *words, const char *phrase)
{
    size_t index = 0;
    while (index < words->n_words && !is_phrase_at(words, index, phrase)) {
        index++;
    }
    return index;
}
