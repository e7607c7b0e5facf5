/* SPDX-License-Identifier: MIT */
/* Reads the wind of a METAR or SPECI report (WMO-No. 306, Manual on Codes I.1, FM 15 and FM 16). */
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "weather/steady.h"
#include "weather/table.h"
#include "weather/tally.h"
#include "weather/unit.h"

enum { WORDS_MAX = 64 };

/* A wind group, dddff[f][Gff[f]]KT, MPS or KMH. */
struct wind_group {
    bool is_speed_missing; /* slashes */
    bool is_from_missing;
    bool is_variable; /* VRB */
    int from_deg;
    int mean;
    int gust;           /* -1: none */
    bool is_mean_above; /* P in front: "more than" */
    bool is_gust_above;
    enum wp_unit unit;
};

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

static bool read_group(struct wp_slice word, struct wind_group *group)
{
    *group = (struct wind_group){.gust = -1};
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
    static const char *const ends[] = {"TEMPO", "BECMG", "NOSIG", "RMK"};
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

static enum wp_status report(struct wp_diags *diags, enum wp_status status, struct wp_slice word,
                             const char *what)
{
    char shown[24];
    wp_slice_show(word, shown, sizeof shown);
    return wp_diags_add(diags, status, NULL, (struct wp_mark){0, 0},
                        "24015G25KT is 15 knots with gusts of 25 knots from 240 degrees", "'%s' %s",
                        shown, what);
}

/* True for a word that was meant to be a wind group: a unit behind digits. */
static bool is_nearly_group(struct wp_slice word)
{
    enum wp_unit unit = WP_UNIT_NONE;
    if (!take_unit(&word, &unit)) {
        return false;
    }
    bool has_digit = false;
    for (size_t i = 0; i < word.length; i++) {
        has_digit |= word.at[i] >= '0' && word.at[i] <= '9';
    }
    return has_digit;
}

/* Finds the wind in the words of a report; its index, or the error. */
static enum wp_status find_wind(const struct wp_slice *words, size_t n_words,
                                struct wind_group *group, size_t *index, struct wp_diags *diags)
{
    static const char form[] = "holds no wind group; expected three digits or VRB, two or three "
                               "digits, perhaps G and the gust, then KT, MPS or KMH";
    for (size_t i = 0; i < n_words && !is_end(words[i]); i++) {
        if (wp_slice_is(words[i], "NIL")) {
            return report(diags, WP_E_MISSING, words[i],
                          "means a report without content; expected one with a wind group");
        }
        if (!read_group(words[i], group)) {
            if (is_nearly_group(words[i])) {
                return report(diags, WP_E_SYNTAX, words[i], form);
            }
            continue;
        }
        if (group->is_speed_missing) {
            return report(diags, WP_E_MISSING, words[i],
                          "means a wind that is not reported; expected a report with its speed");
        }
        *index = i;
        return WP_OK;
    }
    return report(diags, WP_E_SYNTAX, n_words > 0 ? words[0] : (struct wp_slice){"", 0}, form);
}

/* What else the report tells: temperature and the sector of the direction. */
static void read_rest(const struct wp_slice *words, size_t n_words, size_t index,
                      struct wp_record *record, struct wp_weather *weather)
{
    int left_deg = 0;
    int right_deg = 0;
    if (index + 1 < n_words && read_sector(words[index + 1], &left_deg, &right_deg)) {
        wp_weather_note(weather, "the direction varies between %d and %d deg", left_deg, right_deg);
    }
    for (size_t i = index + 1; i < n_words && !is_end(words[i]); i++) {
        double temperature_c = 0.0;
        if (read_temperature(words[i], &temperature_c)) {
            record->temperature_c = temperature_c;
            return;
        }
    }
}

/* The group as a record; what was left out or taken for something else is noted. */
static struct wp_record record_of(const struct wind_group *group, struct wp_weather *weather)
{
    struct wp_record record = {0.0, wp_unit_to_si(group->unit, group->mean), NAN, NAN, NAN, NAN};
    if (group->gust > group->mean) {
        record.gust_m_s = wp_unit_to_si(group->unit, group->gust);
    } else if (group->gust >= 0) {
        wp_weather_note(weather, "the gust is not above the mean: taken as missing");
    }
    if (group->is_mean_above || group->is_gust_above) {
        wp_weather_note(weather, "P means more than this speed: taken as this speed");
    }
    const bool has_from = !group->is_variable && !group->is_from_missing;
    if (has_from && group->from_deg > 0 && group->mean > 0) {
        record.from_deg = group->from_deg;
    } else if (!group->is_variable && group->mean > 0) {
        /* 000 is no direction: north is 360, still air 00000. */
        wp_weather_note(weather, "the direction is not reported: taken as variable");
    }
    return record;
}

enum wp_status wp_weather_metar(struct wp_weather *weather, const char *text, double duration_s,
                                struct wp_diags *diags)
{
    memset(weather, 0, sizeof *weather);
    const char *const end = strchr(text, '='); /* closes a report */
    const struct wp_slice line = {text, end ? (size_t)(end - text) : strlen(text)};
    struct wp_slice words[WORDS_MAX];
    struct wind_group group = {.gust = -1};
    size_t index = 0;
    size_t n = wp_fields_split(line, ' ', words, WORDS_MAX);
    n = n < WORDS_MAX ? n : WORDS_MAX;
    enum wp_status status = find_wind(words, n, &group, &index, diags);
    if (status) {
        return status;
    }
    struct wp_record record = record_of(&group, weather);
    if (record.mean_m_s > 75.0 || record.gust_m_s > 75.0) {
        status = report(diags, WP_E_RANGE, words[index],
                        "is above 75 m/s, where no chimes hang; expected less");
    } else {
        read_rest(words, n, index, &record, weather);
        (void)snprintf(weather->format, sizeof weather->format, "METAR");
        status = wp_steady_fill(weather, &record, duration_s, diags);
    }
    if (status) {
        wp_weather_finish(weather);
    }
    return status;
}
