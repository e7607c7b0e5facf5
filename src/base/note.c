/* SPDX-License-Identifier: MIT */
/* Note names in scientific pitch notation, equal temperament. */
#include "windpeal/quantity.h"

#include <assert.h>
#include <math.h>
#include <stdbool.h>
#include <stdio.h>
#include <string.h>

#include "base/decimal.h"
#include "base/exact.h"

enum { SEMITONES = 12, A4_SEMITONES = 69, CENTS_MAX = 100 };

static const double ln_2 = 0x1.62e42fefa39efp-1;

/* Semitones above C; -1 for a letter that names no note. */
static int letter_semitones(char letter)
{
    static const int above_c[] = {9, 11, 0, 2, 4, 5, 7}; /* A to G */
    return letter >= 'A' && letter <= 'G' ? above_c[letter - 'A'] : -1;
}

/* Sharps or flats, up to two of a kind, in ASCII or as musical signs; adds to semitones. */
static const char *read_accidentals(const char *at, int *semitones)
{
    static const char *const signs[] = {"#", "\xE2\x99\xAF", "b", "\xE2\x99\xAD"};
    for (size_t i = 0; i < 4; i++) {
        const size_t size = strlen(signs[i]);
        if (strncmp(at, signs[i], size) != 0) {
            continue;
        }
        const bool is_double = strncmp(at + size, signs[i], size) == 0;
        const int step = i < 2 ? 1 : -1;
        *semitones += is_double ? 2 * step : step;
        return at + (is_double ? 2 * size : size);
    }
    return at;
}

/* -1 to 10; NULL when none stands there. */
static const char *read_octave(const char *at, int *octave)
{
    if (strncmp(at, "-1", 2) == 0) {
        *octave = -1;
        return at + 2;
    }
    if (strncmp(at, "10", 2) == 0) {
        *octave = 10;
        return at + 2;
    }
    if (*at < '0' || *at > '9') {
        return NULL;
    }
    *octave = *at - '0';
    return at + 1;
}

/* Nothing, or blanks and a signed number up to 100; false for any other text. */
static bool read_cents(const char *at, double *cents)
{
    *cents = 0.0;
    const bool has_blank = *at == ' ';
    while (*at == ' ') {
        at++;
    }
    if (*at == '\0') {
        return true;
    }
    if (!has_blank || (*at != '+' && *at != '-')) {
        return false;
    }
    const char *end = wp_decimal_parse(at, cents);
    return end && *end == '\0' && fabs(*cents) <= CENTS_MAX;
}

enum wp_status wp_note_parse(const char *text, double reference_hz, double *freq_hz)
{
    while (*text == ' ') {
        text++;
    }
    int semitones = letter_semitones(*text);
    int octave;
    double cents;
    if (semitones < 0) {
        return WP_E_SYNTAX;
    }
    const char *at = read_octave(read_accidentals(text + 1, &semitones), &octave);
    if (!at || !read_cents(at, &cents)) {
        return WP_E_SYNTAX;
    }
    /* Whole octaves are powers of two without error. */
    const int above_a4 = semitones + SEMITONES * (octave + 1) - A4_SEMITONES;
    const int octaves = (above_a4 + 11 * SEMITONES) / SEMITONES - 11;
    const double rest = above_a4 - SEMITONES * octaves + cents / 100.0;
    *freq_hz = ldexp(reference_hz * wp_exact_exp(rest * ln_2 / SEMITONES), octaves);
    return WP_OK;
}

static const char *skip_blanks(const char *at)
{
    return at + strspn(at, " \t");
}

/* Copies n bytes of a name behind what stands in note; false when they do not fit. */
static bool append(char *note, size_t note_size, const char *text, size_t n)
{
    const size_t length = strlen(note);
    if (length + n >= note_size) {
        return false;
    }
    memcpy(note + length, text, n);
    note[length + n] = '\0';
    return true;
}

/* Cents as people write them: "+12", "+ 12 c", "-14 cents". Appends " +12"; false for other text.
 */
static bool append_cents(const char *at, char *note, size_t note_size)
{
    static const char *const units[] = {"", "c", "ct", "cent", "cents"};
    const char *number = skip_blanks(at + 1);
    const size_t n_digits = strspn(number, "0123456789.");
    const char *unit = skip_blanks(number + n_digits);
    bool is_unit = false;
    for (size_t i = 0; i < sizeof units / sizeof units[0]; i++) {
        is_unit = is_unit || strcmp(unit, units[i]) == 0;
    }
    return (*at == '+' || *at == '-') && is_unit && append(note, note_size, " ", 1) &&
           append(note, note_size, at, 1) && append(note, note_size, number, n_digits);
}

/* Capital letter, accidentals, octave, cents: each taken with blanks around it. */
static bool respell(const char *text, char *note, size_t note_size)
{
    static const char small[] = "abcdefgh";
    static const char capital[] = "ABCDEFGB"; /* the German H is B here */
    static const char large[] = "ABCDEFGH";
    const char *at = skip_blanks(text);
    const char *found = *at ? strchr(small, *at) : NULL;
    const char *also = *at ? strchr(large, *at) : NULL;
    if (!found && !also) {
        return false;
    }
    const char letter = capital[found ? found - small : also - large];
    int semitones = 0;
    at = skip_blanks(at + 1);
    const char *sign = at;
    const char *sign_end = read_accidentals(at, &semitones);
    const char *number = skip_blanks(sign_end);
    int octave;
    const char *end = read_octave(number, &octave);
    if (!end || !append(note, note_size, &letter, 1) ||
        !append(note, note_size, sign, (size_t)(sign_end - sign)) ||
        !append(note, note_size, number, (size_t)(end - number))) {
        return false;
    }
    end = skip_blanks(end);
    return *end == '\0' || append_cents(end, note, note_size);
}

bool wp_note_suggest(const char *text, char *note, size_t note_size)
{
    double freq_hz;
    assert(note_size > 0);
    note[0] = '\0';
    if (respell(text, note, note_size) && wp_note_parse(note, 440.0, &freq_hz) == WP_OK) {
        return true;
    }
    note[0] = '\0';
    return false;
}

int wp_note_accidental(const char *text)
{
    const char *at = skip_blanks(text);
    int semitones = 0;
    if (letter_semitones(*at) >= 0) {
        (void)read_accidentals(at + 1, &semitones);
    }
    return semitones;
}

void wp_note_format(double freq_hz, double reference_hz, enum wp_spelling spelling, char *text,
                    size_t text_size)
{
    static const char *const names[2][SEMITONES] = {
        [WP_SPELLING_SHARPS] = {"C", "C#", "D", "D#", "E", "F", "F#", "G", "G#", "A", "A#", "B"},
        [WP_SPELLING_FLATS] = {"C", "Db", "D", "Eb", "E", "F", "Gb", "G", "Ab", "A", "Bb", "B"},
    };
    assert(freq_hz > 0.0 && isfinite(freq_hz) && reference_hz > 0.0 && isfinite(reference_hz));
    const double above_a4 = SEMITONES / ln_2 * wp_exact_log(freq_hz / reference_hz);
    const double nearest = floor(above_a4 + 0.5);
    const int cents = (int)floor(100.0 * (above_a4 - nearest) + 0.5);
    const int semitones = (int)nearest + A4_SEMITONES;
    const int octave = (int)floor((double)semitones / SEMITONES) - 1;
    const char *name = names[spelling][semitones - SEMITONES * (octave + 1)];
    if (cents == 0) {
        (void)snprintf(text, text_size, "%s%d", name, octave);
    } else {
        (void)snprintf(text, text_size, "%s%d %+d", name, octave, cents);
    }
}
