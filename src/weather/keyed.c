/* SPDX-License-Identifier: MIT */
/* Understands keys, and makes a record of the values under them. */
#include "weather/keyed.h"

#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <string.h>

#include "weather/words.h"

static struct wp_slice slice_of(const char *text)
{
    return (struct wp_slice){text, strlen(text)};
}

/* Remembers the first problem of a report. */
static void WP_PRINTF(4, 5) note_problem(struct wp_keyed_values *values, enum wp_status status,
                                         const char *hint, const char *format, ...)
{
    struct wp_keyed_problem *const problem = &values->problem;
    va_list arguments;
    if (problem->status) {
        return;
    }
    va_start(arguments, format);
    (void)vsnprintf(problem->text, sizeof problem->text, format, arguments);
    va_end(arguments);
    problem->status = status;
    problem->hint = hint;
}

/* The meaning that the user gives the key. */
static enum wp_meaning chosen_meaning(const struct wp_keyed *keyed, const char *name)
{
    for (int meaning = 0; meaning < WP_MEANING_COUNT; meaning++) {
        if (wp_slice_is(keyed->choices[meaning].name, name)) {
            return (enum wp_meaning)meaning;
        }
    }
    return WP_MEANS_NOTHING;
}

/* Keys within a key of a speed name what of it they hold: an average, a maximum, a unit. Other
 * words there make it something else. */
static bool is_foreign(const struct wp_key *key)
{
    const char *const mark = strrchr(key->name, '.');
    const bool is_speed = key->heading.meaning == WP_MEANS_SPEED;
    char text[WP_KEY_SIZE + 16];
    struct wp_heading last;
    if (!mark || (!is_speed && key->heading.meaning != WP_MEANS_GUST)) {
        return false;
    }
    wp_heading_read(slice_of(mark + 1), &last);
    if (last.meaning == key->heading.meaning) {
        return false;
    }
    (void)snprintf(text, sizeof text, "%s %s", is_speed ? "wind speed" : "gust", mark + 1);
    wp_heading_read(slice_of(text), &last);
    return last.meaning != key->heading.meaning || last.fit < WP_FIT_PLAIN;
}

/* "wind_speed_unit", "wind.units", "unit": the rest of the name says of what. */
static bool read_unit_key(struct wp_key *key)
{
    static const char *const unit_words[] = {"unit", "units", NULL};
    char rest[WP_KEY_SIZE];
    struct wp_words words;
    wp_words_split(slice_of(key->name), &words);
    const size_t index = wp_words_find(&words, unit_words);
    if (index == words.n_words) {
        return false;
    }
    const char *const at = wp_slice_find(slice_of(key->name), "unit");
    const size_t before = (size_t)(at - key->name);
    const size_t length = strlen(words.word[index]);
    (void)snprintf(rest, sizeof rest, "%.*s %s", (int)before, key->name, at + length);
    wp_heading_read(slice_of(rest), &key->heading);
    key->is_of_unit = key->heading.meaning != WP_MEANS_NOTHING || words.n_words == 1;
    return true;
}

static void understand(const struct wp_keyed *keyed, struct wp_key *key)
{
    const enum wp_meaning chosen = chosen_meaning(keyed, key->name);
    if (chosen != WP_MEANS_NOTHING) {
        wp_heading_read_as(slice_of(key->name), chosen, &key->heading);
        key->heading.fit = WP_FIT_CHOSEN;
        return;
    }
    if (read_unit_key(key)) {
        return;
    }
    wp_heading_read(slice_of(key->name), &key->heading);
    if (is_foreign(key)) {
        key->heading.meaning = WP_MEANS_NOTHING;
    }
    /* One key holds all of the time. */
    if (key->heading.meaning == WP_MEANS_DATE || key->heading.meaning == WP_MEANS_CLOCK) {
        key->heading.meaning = WP_MEANS_STAMP;
    }
    const bool is_part =
        key->heading.meaning >= WP_MEANS_YEAR && key->heading.meaning <= WP_MEANS_SECOND;
    key->heading.meaning = is_part ? WP_MEANS_NOTHING : key->heading.meaning;
}

/* Reads what the user says of keys, before the first of them. */
static void get_ready(struct wp_intake *intake, struct wp_keyed *keyed)
{
    keyed->is_ready = true;
    if (!intake->config->columns || wp_column_spec_read(intake, keyed->choices)) {
        return;
    }
    for (int meaning = 0; meaning < WP_MEANING_COUNT; meaning++) {
        if (keyed->choices[meaning].index >= 0) {
            (void)wp_intake_fail(intake, WP_E_CONFLICT, 0, "as in --columns speed=wind.avg",
                                 "this format has no columns to count; expected names of keys");
            return;
        }
    }
}

/* The key of a name; NULL when there is no room for more. */
static struct wp_key *find_key(struct wp_intake *intake, struct wp_keyed *keyed, const char *name)
{
    if (!keyed->is_ready) {
        get_ready(intake, keyed);
    }
    for (size_t k = 0; k < keyed->n_keys; k++) {
        const size_t i = (keyed->next + k) % keyed->n_keys; /* reports keep to one order */
        if (strcmp(keyed->keys[i].name, name) == 0) {
            keyed->next = i + 1;
            return &keyed->keys[i];
        }
    }
    const size_t length = strlen(name);
    if (keyed->n_keys == WP_KEYS_MAX || length >= WP_KEY_SIZE) {
        return NULL;
    }
    struct wp_key *const key = &keyed->keys[keyed->n_keys++];
    memcpy(key->name, name, length + 1);
    understand(keyed, key);
    key->has_zone = wp_stamp_zone_in(slice_of(name), &key->zone_s);
    keyed->next = keyed->n_keys;
    return key;
}

/* Positive when a key fits its meaning better than another one, 0 when nothing tells. */
static int compare_keys(const struct wp_key *a, const struct wp_key *b)
{
    const int by_fit = a->heading.fit - b->heading.fit;
    const size_t a_length = strlen(a->name);
    const size_t b_length = strlen(b->name);
    return by_fit != 0 ? by_fit : (a_length < b_length) - (a_length > b_length);
}

static void copy_text(char text[WP_KEY_TEXT_SIZE], struct wp_slice value)
{
    static const struct wp_slice too_long = {"(too long)", 10};
    value = wp_slice_trim(value);
    value = value.length < WP_KEY_TEXT_SIZE ? value : too_long;
    memcpy(text, value.at, value.length);
    text[value.length] = '\0';
}

/* The meaning that a value under the key has, if it is better than what is there already. */
static enum wp_meaning claim(struct wp_key *key, struct wp_keyed_values *values)
{
    const enum wp_meaning meaning =
        key && !key->is_of_unit ? key->heading.meaning : WP_MEANS_NOTHING;
    if (meaning == WP_MEANS_NOTHING) {
        return WP_MEANS_NOTHING;
    }
    const struct wp_key *const best = values->best[meaning];
    const int order = best && best != key ? compare_keys(key, best) : 1;
    if (order == 0 && meaning <= WP_MEANS_FROM) {
        note_problem(values, WP_E_AMBIGUOUS,
                     "say which one with --columns, as --columns speed=wind.avg",
                     "keys '%.60s' and '%.60s' both fit; expected one", best->name, key->name);
    }
    if (order <= 0) {
        return WP_MEANS_NOTHING;
    }
    values->best[meaning] = key;
    return meaning;
}

/* A unit that goes with a value. */
static void take_unit(const struct wp_intake *intake, const struct wp_key *key,
                      struct wp_keyed_values *values, struct wp_slice text)
{
    const bool is_for_all = key->heading.meaning == WP_MEANS_NOTHING;
    const enum wp_meaning meaning =
        is_for_all ? (enum wp_meaning)WP_MEANS_SPEED : key->heading.meaning;
    const bool is_speed = meaning == WP_MEANS_SPEED || meaning == WP_MEANS_GUST;
    struct wp_heading heading;
    wp_heading_read_as(text, meaning, &heading);
    values->unit[meaning] = heading.unit;
    if (is_speed && !is_for_all && heading.unit == WP_UNIT_NONE &&
        intake->given_unit == WP_UNIT_NONE) {
        char shown[24];
        wp_slice_show(text, shown, sizeof shown);
        note_problem(values, WP_E_UNIT, "give it with --unit",
                     "'%s' under '%.60s' is no known unit of speed; expected m/s, km/h, mph, kt, "
                     "ft/s, cm/s or Bft",
                     shown, key->name);
    }
}

void wp_keyed_take(struct wp_intake *intake, struct wp_keyed *keyed, struct wp_keyed_values *values,
                   const char *name, struct wp_slice text)
{
    struct wp_key *const key = find_key(intake, keyed, name);
    if (key && key->is_of_unit) {
        take_unit(intake, key, values, text);
        return;
    }
    const enum wp_meaning meaning = claim(key, values);
    values->number[meaning] = NAN;
    copy_text(values->text[meaning], text);
}

void wp_keyed_take_number(struct wp_intake *intake, struct wp_keyed *keyed,
                          struct wp_keyed_values *values, const char *name, double number)
{
    struct wp_key *const key = find_key(intake, keyed, name);
    const enum wp_meaning meaning = claim(key, values);
    values->number[meaning] = number;
    values->text[meaning][0] = '\0';
}

void wp_keyed_take_array(struct wp_intake *intake, struct wp_keyed *keyed,
                         struct wp_keyed_values *values, const char *name)
{
    const struct wp_key *const key = find_key(intake, keyed, name);
    const enum wp_meaning meaning = key ? key->heading.meaning : WP_MEANS_NOTHING;
    if (meaning == WP_MEANS_STAMP) {
        note_problem(values, WP_E_SYNTAX, "write an object for each report, or a table of them",
                     "an array stands under '%.60s'; expected one time, and its values beside it",
                     key->name);
    } else if (meaning == WP_MEANS_SPEED) {
        wp_keyed_take(intake, keyed, values, name, slice_of("[...]"));
    }
}

void wp_keyed_check_object(struct wp_intake *intake, struct wp_keyed *keyed,
                           struct wp_keyed_values *values, const char *name)
{
    const struct wp_key *const key = find_key(intake, keyed, name);
    const bool is_speed =
        key && key->heading.meaning == WP_MEANS_SPEED && key->heading.fit >= WP_FIT_PLAIN;
    if (is_speed && !values->best[WP_MEANS_SPEED] && !values->best[WP_MEANS_GUST]) {
        wp_keyed_take(intake, keyed, values, name, slice_of("{...}"));
    }
}

/* A value as text, whatever it came as. */
static struct wp_slice text_of(const struct wp_keyed_values *values, enum wp_meaning meaning,
                               char buffer[WP_KEY_TEXT_SIZE])
{
    const double number = values->number[meaning];
    if (isnan(number)) {
        return slice_of(values->text[meaning]);
    }
    if (number == floor(number) && fabs(number) < 9e15) {
        (void)snprintf(buffer, WP_KEY_TEXT_SIZE, "%lld", (long long)number);
    } else {
        (void)snprintf(buffer, WP_KEY_TEXT_SIZE, fabs(number) >= 1e6 ? "%.6f" : "%.15g", number);
    }
    return slice_of(buffer);
}

static double read_value(struct wp_intake *intake, const struct wp_keyed_values *values,
                         enum wp_meaning meaning, enum wp_unit unit, int line)
{
    if (!values->best[meaning]) {
        return NAN;
    }
    char buffer[WP_KEY_TEXT_SIZE];
    double value = 0.0;
    if (wp_intake_is_possible(intake, meaning, unit, values->number[meaning], &value)) {
        return value; /* most are, and need no text */
    }
    return wp_intake_value(intake, meaning, unit, text_of(values, meaning, buffer), line);
}

/* Tells what a key was taken for, once. */
static bool describe(struct wp_intake *intake, struct wp_key *key, const char *meaning,
                     enum wp_unit unit, const char *why)
{
    const bool is_new = !key->is_described;
    if (is_new) {
        wp_intake_describe(intake, meaning, slice_of(key->name), unit, why);
        key->is_described = true;
    }
    return is_new;
}

/* A speed's unit: the one beside the value, the key's, else the given one, else that of the other
 * speed, else m/s. */
static enum wp_unit settle_unit(const struct wp_intake *intake,
                                const struct wp_keyed_values *values, enum wp_meaning meaning,
                                const char **why)
{
    const enum wp_meaning other = meaning == WP_MEANS_SPEED ? WP_MEANS_GUST : WP_MEANS_SPEED;
    const struct wp_key *const key = values->best[meaning];
    const struct wp_key *const beside = values->best[other];
    *why = "told beside the value";
    if (values->unit[meaning] != WP_UNIT_NONE) {
        return values->unit[meaning];
    }
    *why = "in the key";
    if (key->heading.unit != WP_UNIT_NONE) {
        return key->heading.unit;
    }
    *why = "given, the key has none";
    if (intake->given_unit != WP_UNIT_NONE) {
        return intake->given_unit;
    }
    *why = "that of the key beside it";
    if (values->unit[other] != WP_UNIT_NONE) {
        return values->unit[other];
    }
    if (beside && beside->heading.unit != WP_UNIT_NONE) {
        return beside->heading.unit;
    }
    *why = "assumed, the key has none";
    return WP_UNIT_NONE;
}

static enum wp_unit speed_unit(struct wp_intake *intake, const struct wp_keyed_values *values,
                               enum wp_meaning meaning)
{
    const bool is_speed = meaning == WP_MEANS_SPEED;
    struct wp_key *const key = values->best[meaning];
    const char *why = "";
    if (!key) {
        return WP_UNIT_M_S;
    }
    const enum wp_unit settled = settle_unit(intake, values, meaning, &why);
    const enum wp_unit unit = settled != WP_UNIT_NONE ? settled : (enum wp_unit)WP_UNIT_M_S;
    const bool is_new = describe(intake, key, is_speed ? "speed" : "gust", unit, why);
    if (settled == WP_UNIT_NONE && is_new) {
        wp_weather_note(intake->weather,
                        "no unit in the key '%.60s': taken as m/s (--unit sets it)", key->name);
    }
    return unit;
}

/* The unit of a key for direction or air, described. */
static enum wp_unit other_unit(struct wp_intake *intake, const struct wp_keyed_values *values,
                               enum wp_meaning meaning)
{
    static const struct {
        const char *name;
        enum wp_unit fallback;
    } known[WP_MEANING_COUNT] = {[WP_MEANS_FROM] = {"from", WP_UNIT_DEGREE},
                                 [WP_MEANS_TEMPERATURE] = {"temperature", WP_UNIT_CELSIUS},
                                 [WP_MEANS_PRESSURE] = {"pressure", WP_UNIT_HPA}};
    struct wp_key *const key = values->best[meaning];
    if (!key) {
        return known[meaning].fallback;
    }
    const bool is_told = values->unit[meaning] != WP_UNIT_NONE;
    const enum wp_unit named = is_told ? values->unit[meaning] : key->heading.unit;
    const enum wp_unit unit = named != WP_UNIT_NONE ? named : known[meaning].fallback;
    (void)describe(intake, key, known[meaning].name, unit,
                   is_told                 ? "told beside the value"
                   : named != WP_UNIT_NONE ? "in the key"
                                           : "assumed, the key has none");
    return unit;
}

static double read_from(struct wp_intake *intake, const struct wp_keyed_values *values, int line)
{
    const enum wp_unit unit = other_unit(intake, values, WP_MEANS_FROM);
    char buffer[WP_KEY_TEXT_SIZE];
    double from_deg = 0.0;
    if (wp_intake_is_possible(intake, WP_MEANS_FROM, unit, values->number[WP_MEANS_FROM],
                              &from_deg)) {
        return from_deg;
    }
    return wp_intake_from(intake, unit, intake->config->letter_o,
                          text_of(values, WP_MEANS_FROM, buffer), line);
}

/* False: rejected. A report without a time, or of "now", leaves it NAN. */
static bool read_time(struct wp_intake *intake, const struct wp_keyed_values *values, int line,
                      double *t_s)
{
    char buffer[WP_KEY_TEXT_SIZE];
    struct wp_key *const key = values->best[WP_MEANS_STAMP];
    const struct wp_slice text = key ? text_of(values, WP_MEANS_STAMP, buffer) : slice_of("");
    if (!key || wp_slice_is(text, "now")) {
        return true;
    }
    struct wp_stamp_rule rule = wp_intake_rule(intake);
    const enum wp_unit unit = key->heading.unit;
    rule.zone_s = key->has_zone ? key->zone_s : rule.zone_s;
    rule.tick_s = rule.tick_s > 0.0             ? rule.tick_s
                  : unit == WP_UNIT_MILLISECOND ? 1e-3
                  : unit == WP_UNIT_SECOND      ? 1.0
                                                : 0.0;
    (void)describe(intake, key, "time", WP_UNIT_NONE, key->has_zone ? "zone in the key" : "");
    if (key->has_zone) {
        intake->zone_known = "told in the key";
    }
    return wp_intake_time(intake, &rule, text, line, t_s);
}

/* Something that is used, and either a time or a wind that has just come in. */
static bool is_report(const struct wp_keyed_values *values)
{
    bool has_any = false;
    for (int meaning = WP_MEANS_SPEED; meaning <= WP_MEANS_PRESSURE; meaning++) {
        has_any |= values->best[meaning] != NULL;
    }
    return has_any && (values->best[WP_MEANS_STAMP] || values->best[WP_MEANS_SPEED]);
}

/* An object without wind is nobody's. */
static bool is_of_station(struct wp_intake *intake, const struct wp_keyed_values *values, int line)
{
    char buffer[WP_KEY_TEXT_SIZE];
    const struct wp_key *const key = values->best[WP_MEANS_STATION];
    if (!key || (!values->best[WP_MEANS_SPEED] && !intake->config->station)) {
        return true;
    }
    return wp_intake_station(intake, slice_of(key->name), key->heading.fit == WP_FIT_DOUBTFUL,
                             text_of(values, WP_MEANS_STATION, buffer), line);
}

enum wp_line_outcome wp_keyed_read(struct wp_intake *intake, const struct wp_keyed_values *values,
                                   int line, struct wp_record *record)
{
    const struct wp_keyed_problem *const problem = &values->problem;
    if (problem->status && !intake->status) {
        return wp_intake_fail(intake, problem->status, line, problem->hint, "%s", problem->text);
    }
    if (intake->status || !is_report(values)) {
        return intake->status ? WP_LINE_REJECTED : WP_LINE_NOTHING;
    }
    if (!is_of_station(intake, values, line)) {
        return WP_LINE_NOTHING;
    }
    if (!read_time(intake, values, line, &record->t_s)) {
        return WP_LINE_REJECTED;
    }
    record->mean_m_s = read_value(intake, values, WP_MEANS_SPEED,
                                  speed_unit(intake, values, WP_MEANS_SPEED), line);
    record->gust_m_s =
        read_value(intake, values, WP_MEANS_GUST, speed_unit(intake, values, WP_MEANS_GUST), line);
    if (values->best[WP_MEANS_FROM]) {
        record->from_deg = read_from(intake, values, line);
    }
    record->temperature_c = read_value(intake, values, WP_MEANS_TEMPERATURE,
                                       other_unit(intake, values, WP_MEANS_TEMPERATURE), line);
    record->pressure_pa = read_value(intake, values, WP_MEANS_PRESSURE,
                                     other_unit(intake, values, WP_MEANS_PRESSURE), line);
    return WP_LINE_RECORD;
}
