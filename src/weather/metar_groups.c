/* SPDX-License-Identifier: MIT */
/* Takes a METAR or SPECI report apart. */
#include "weather/metar_groups.h"

#include <math.h>
#include <string.h>

enum { WORDS_MAX = 64 };

static bool take(struct wp_slice *rest, const char *word)
{
    const size_t length = strlen(word);
    if (rest->length < length || !wp_slice_is((struct wp_slice){rest->at, length}, word)) {
        return false;
    }
    rest->at += length;
    rest->length -= length;
    return true;
}

/* Takes n_least to n_most digits. */
static bool take_number(struct wp_slice *rest, int n_least, int n_most, int *number)
{
    int n = 0;
    *number = 0;
    while (n < n_most && rest->length > 0 && rest->at[0] >= '0' && rest->at[0] <= '9') {
        *number = 10 * *number + (rest->at[0] - '0');
        rest->at++;
        rest->length--;
        n++;
    }
    return n >= n_least;
}

/* Any wind group ends in its unit. */
static bool take_unit(struct wp_slice *word, enum wp_unit *unit)
{
    static const struct {
        const char *word;
        enum wp_unit unit;
    } units[] = {{"KT", WP_UNIT_KNOT}, {"MPS", WP_UNIT_M_S}, {"KMH", WP_UNIT_KM_H}};
    for (size_t i = 0; i < sizeof units / sizeof units[0]; i++) {
        const size_t length = strlen(units[i].word);
        if (word->length < length) {
            continue;
        }
        const struct wp_slice end = {word->at + word->length - length, length};
        if (wp_slice_is(end, units[i].word)) {
            word->length -= length;
            *unit = units[i].unit;
            return true;
        }
    }
    return false;
}

static bool read_group(struct wp_slice word, struct wp_metar_wind *group)
{
    *group = (struct wp_metar_wind){.gust = -1};
    if (!take_unit(&word, &group->unit)) {
        return false;
    }
    group->is_variable = take(&word, "VRB");
    group->is_from_missing = !group->is_variable && take(&word, "///");
    if (!group->is_variable && !group->is_from_missing &&
        !take_number(&word, 3, 3, &group->from_deg)) {
        return false;
    }
    group->is_speed_missing = take(&word, "//");
    if (!group->is_speed_missing) {
        group->is_mean_above = take(&word, "P");
        if (!take_number(&word, 2, 3, &group->mean)) {
            return false;
        }
    }
    if (take(&word, "G")) {
        group->is_gust_above = take(&word, "P");
        if (!take(&word, "//") && !take_number(&word, 2, 3, &group->gust)) {
            return false;
        }
    }
    return word.length == 0 && group->from_deg <= 360;
}

/* True for the words that end the report proper: trend forecast and remarks. */
static bool is_end(struct wp_slice word)
{
    static const char *const ends[] = {"TEMPO", "BECMG",  "NOSIG", "RMK",
                                       "INTER", "PROB30", "PROB40"};
    int time = 0;
    struct wp_slice rest = word;
    if (take(&rest, "FM") && take_number(&rest, 4, 6, &time)) {
        return true; /* FM250900: a forecast */
    }
    for (size_t i = 0; i < sizeof ends / sizeof ends[0]; i++) {
        if (wp_slice_is(word, ends[i])) {
            return true;
        }
    }
    return false;
}

/* M02/M10, 06/04, 06/: the temperature in whole degrees. */
static bool read_temperature(struct wp_slice word, double *temperature_c)
{
    const bool is_negative = take(&word, "M");
    int degrees = 0;
    int dew_point = 0;
    if (!take_number(&word, 2, 2, &degrees) || !take(&word, "/")) {
        return false;
    }
    (void)take(&word, "M");
    if (word.length > 0 && !take(&word, "//") && !take_number(&word, 2, 2, &dew_point)) {
        return false;
    }
    *temperature_c = is_negative ? -degrees : degrees;
    return word.length == 0;
}

/* 180V250: the sector over which the direction swings. */
static bool read_sector(struct wp_slice word, int *from_deg, int *to_deg)
{
    return take_number(&word, 3, 3, from_deg) && take(&word, "V") &&
           take_number(&word, 3, 3, to_deg) && word.length == 0;
}

/* True for a word that was meant to be a wind group: a unit behind digits. */
static bool is_nearly_group(struct wp_slice word)
{
    enum wp_unit unit = WP_UNIT_NONE;
    if (!take_unit(&word, &unit)) {
        return false;
    }
    for (size_t i = 0; i < word.length; i++) {
        if (word.at[i] >= '0' && word.at[i] <= '9') {
            return true;
        }
    }
    return false;
}

/* 250630Z */
static bool read_time(struct wp_slice word, struct wp_metar *metar)
{
    return word.length == 7 && take_number(&word, 2, 2, &metar->day) &&
           take_number(&word, 2, 2, &metar->hour) && take_number(&word, 2, 2, &metar->minute) &&
           take(&word, "Z");
}

/* Q1013 or A2992: hectopascals, or hundredths of an inch of mercury. */
static bool read_pressure(struct wp_slice word, double *pressure_pa)
{
    int number = 0;
    const bool is_inches = take(&word, "A");
    if ((!is_inches && !take(&word, "Q")) || !take_number(&word, 4, 4, &number) ||
        word.length > 0) {
        return false;
    }
    *pressure_pa = is_inches ? wp_unit_to_si(WP_UNIT_INCH_HG, number / 100.0)
                             : wp_unit_to_si(WP_UNIT_HPA, number);
    return true;
}

/* The first word that is, or was meant to be, the wind; its index or n_words. */
static size_t find_wind(const struct wp_slice *words, size_t n_words, struct wp_metar *metar)
{
    for (size_t i = 0; i < n_words && !is_end(words[i]); i++) {
        if (read_group(words[i], &metar->wind)) {
            metar->wind_is = metar->wind.is_speed_missing ? WP_METAR_MISSING : WP_METAR_WIND;
        } else if (is_nearly_group(words[i])) {
            metar->wind_is = WP_METAR_BAD;
        } else {
            continue;
        }
        metar->wind_word = words[i];
        return i;
    }
    return n_words;
}

void wp_metar_read(struct wp_slice report, struct wp_metar *metar)
{
    struct wp_slice words[WORDS_MAX];
    const char *const mark = memchr(report.at, '=', report.length); /* closes a report */
    report.length = mark ? (size_t)(mark - report.at) : report.length;
    size_t n = wp_fields_split(report, ' ', words, WORDS_MAX);
    n = n < WORDS_MAX ? n : WORDS_MAX;
    *metar = (struct wp_metar){
        .temperature_c = NAN, .pressure_pa = NAN, .wind = {.gust = -1}, .wind_word = report};
    metar->wind_word = n > 0 ? words[0] : (struct wp_slice){"", 0};
    for (size_t i = 0; i < n && i < 6; i++) {
        if (!metar->has_time && read_time(words[i], metar)) {
            metar->has_time = true;
            metar->station = i > 0 ? words[i - 1] : metar->station;
        }
        metar->is_nil |= wp_slice_is(words[i], "NIL");
    }
    const size_t wind = find_wind(words, n, metar);
    for (size_t i = wind + 1; i < n && !is_end(words[i]); i++) {
        if (i == wind + 1) {
            metar->has_sector = read_sector(words[i], &metar->left_deg, &metar->right_deg);
        }
        if (isnan(metar->temperature_c)) {
            (void)read_temperature(words[i], &metar->temperature_c);
        }
        if (isnan(metar->pressure_pa)) {
            (void)read_pressure(words[i], &metar->pressure_pa);
        }
    }
}
