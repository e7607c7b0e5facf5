/* SPDX-License-Identifier: MIT */
/* Reads directions in letters. */
#include "weather/compass.h"

#include <string.h>

enum { POINTS = 16, LETTERS_MAX = 3 };

/* The field in capitals; false when it is longer than any point or has other letters. */
static bool copy_letters(struct wp_slice field, char letters[LETTERS_MAX + 1])
{
    if (field.length == 0 || field.length > LETTERS_MAX) {
        return false;
    }
    for (size_t i = 0; i < field.length; i++) {
        const char letter = field.at[i];
        letters[i] = letter >= 'a' && letter <= 'z' ? (char)(letter - 'a' + 'A') : letter;
        if (letters[i] == '\0' || !strchr("NESWO", letters[i])) {
            return false;
        }
    }
    letters[field.length] = '\0';
    return true;
}

bool wp_compass_note(struct wp_slice field, struct wp_compass_letters *letters)
{
    char copy[LETTERS_MAX + 1];
    if (!copy_letters(field, copy)) {
        return false;
    }
    letters->has_e |= strchr(copy, 'E') != NULL;
    letters->has_w |= strchr(copy, 'W') != NULL;
    letters->has_o |= strchr(copy, 'O') != NULL;
    return true;
}

enum wp_letter_o wp_compass_decide(const struct wp_compass_letters *letters)
{
    if (letters->has_e == letters->has_w) {
        return WP_O_UNKNOWN;
    }
    return letters->has_w ? WP_O_EAST : WP_O_WEST;
}

bool wp_compass_read(struct wp_slice field, enum wp_letter_o letter_o, double *from_deg)
{
    static const char points[POINTS][LETTERS_MAX + 1] = {"N",  "NNE", "NE", "ENE", "E",  "ESE",
                                                         "SE", "SSE", "S",  "SSW", "SW", "WSW",
                                                         "W",  "WNW", "NW", "NNW"};
    char letters[LETTERS_MAX + 1];
    if (!copy_letters(field, letters)) {
        return false;
    }
    char *const o = strchr(letters, 'O');
    if (o && letter_o == WP_O_UNKNOWN) {
        return false;
    }
    for (char *letter = o; letter; letter = strchr(letter, 'O')) {
        *letter = letter_o == WP_O_EAST ? 'E' : 'W';
    }
    for (int i = 0; i < POINTS; i++) {
        if (strcmp(letters, points[i]) == 0) {
            *from_deg = 360.0 * i / POINTS;
            return true;
        }
    }
    return false;
}

bool wp_compass_is_variable(struct wp_slice field)
{
    static const char *const words[] = {"VRB", "V", "VAR", "variable", "calm", "C"};
    for (size_t i = 0; i < sizeof words / sizeof words[0]; i++) {
        if (wp_slice_is(field, words[i])) {
            return true;
        }
    }
    return false;
}
