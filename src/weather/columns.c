/* SPDX-License-Identifier: MIT */
/* Decides which column of a table is what, in which unit, and says so. */
#include "weather/columns.h"

#include <limits.h>
#include <stdio.h>
#include <string.h>

#include "weather/column_spec.h"
#include "weather/tally.h"
#include "weather/words.h"

/* What every step needs to name the place of an error. */
struct search {
    struct wp_intake *intake;
    int line;
};

static enum wp_status report(const struct search *search, enum wp_status status, int line,
                             const char *hint, const char *text)
{
    (void)wp_intake_fail(search->intake, status, line, hint, "%s", text);
    return status;
}

static enum wp_status report_no_heading(const struct search *search,
                                        const struct wp_heading_rows *rows)
{
    static const char hint[] = "put a line such as 'time,speed (m/s),gust (m/s),direction' above "
                               "the values, or tell the columns: --columns time=1,speed=2";
    if (rows->first_row > 0) {
        return report(search, WP_E_MISSING, rows->first_row, hint,
                      "no heading above the first values; expected a line that names the columns");
    }
    if (rows->n_lines == 0) {
        return report(search, WP_E_EMPTY, 1, hint,
                      "no lines but blank ones and comments; expected a heading and lines of "
                      "values");
    }
    return report(search, WP_E_EMPTY, rows->number[rows->n_lines - 1], hint,
                  "no line of times and wind speeds; expected some below the heading");
}

/* "'a', 'b', 'c'" for messages. */
static void list_headings(const struct wp_candidates *candidates, char *list, size_t list_size)
{
    list[0] = '\0';
    for (size_t i = 0; i < candidates->n_columns; i++) {
        const size_t used = strlen(list);
        const int length = snprintf(list + used, list_size - used, "%s'%.40s'", i > 0 ? ", " : "",
                                    candidates->text[i]);
        if (length < 0 || (size_t)length >= list_size - used - 5) {
            (void)snprintf(list + used, list_size - used, ", ..."); /* room was kept for it */
            return;
        }
    }
}

/* The fields of the first row of values. */
static size_t first_fields(const struct search *search, const struct wp_columns *columns,
                           struct wp_slice fields[WP_FIELDS_MAX])
{
    const struct wp_source *const source = &search->intake->source;
    struct wp_lines lines;
    struct wp_slice line = {"", 0};
    wp_lines_init(&lines, source->text, source->size);
    while (lines.number < columns->heading.first_row && wp_lines_next(&lines, &line)) {
    }
    return wp_fields_split(line, columns->separator, fields, WP_FIELDS_MAX);
}

/* The first column that means nothing else and holds a stamp (are_stamps) or a number in the first
 * row of values; 0: none. Counted from 1. */
static size_t find_unused(const struct search *search, const struct wp_columns *columns,
                          const struct wp_candidates *candidates, bool are_stamps)
{
    static const struct wp_stamp_rule any = {.order = WP_ORDER_DAY_FIRST, .year = 2000};
    struct wp_slice fields[WP_FIELDS_MAX];
    const size_t n = first_fields(search, columns, fields);
    for (size_t i = 0; i < n && i < candidates->n_columns; i++) {
        struct wp_stamp stamp;
        double number = 0.0;
        const bool fits = are_stamps ? !wp_stamp_read(fields[i], &any, &stamp)
                                     : wp_number_read(fields[i], &number);
        if (fits && candidates->heading[i].meaning == WP_MEANS_NOTHING) {
            return i + 1;
        }
    }
    return 0;
}

/* East and north, as models give it. */
static bool has_components(const struct wp_candidates *candidates)
{
    static const char *const component_words[] = {"u", "u10", "eastward", "ugrd", NULL};
    for (size_t i = 0; i < candidates->n_columns; i++) {
        struct wp_words words;
        wp_words_split((struct wp_slice){candidates->text[i], strlen(candidates->text[i])}, &words);
        if (wp_words_have(&words, component_words)) {
            return true;
        }
    }
    return false;
}

static enum wp_status report_no_speed(const struct search *search, const struct wp_columns *columns,
                                      const struct wp_candidates *candidates)
{
    static const char *const speed_words[] = {"wind speed", "speed", "wind", "windspeed"};
    char list[160];
    char hint[160] = "call the right column 'wind speed (m/s)'";
    const size_t column = find_unused(search, columns, candidates, false);
    list_headings(candidates, list, sizeof list);
    if (has_components(candidates)) {
        (void)snprintf(hint, sizeof hint,
                       "components of a wind are not read; its speed is sqrt(u^2 + v^2), and it "
                       "comes from atan2(-u, -v)");
    } else if (column > 0) {
        (void)snprintf(hint, sizeof hint,
                       "call the right column 'wind speed (m/s)', or tell it, as --columns "
                       "speed=%zu",
                       column);
    }
    for (size_t i = 0; i < candidates->n_columns; i++) {
        if (wp_nearest_word(candidates->text[i], speed_words, 4)) {
            (void)snprintf(hint, sizeof hint,
                           "write 'wind speed (m/s)' if '%.40s' was meant to be it",
                           candidates->text[i]);
            break;
        }
    }
    (void)wp_intake_fail(search->intake, WP_E_MISSING, search->line, hint,
                         "no column of wind speed; expected a heading such as 'wind speed (m/s)', "
                         "found %s",
                         list);
    return WP_E_MISSING;
}

static const char *meaning_text(int meaning)
{
    static const char *const texts[WP_MEANING_COUNT] = {
        "",         "the time",      "the date",        "the time of day", "the wind speed",
        "the gust", "the direction", "the temperature", "the pressure"};
    return texts[meaning];
}

/* No column of times: one that means nothing else may be it. Records at even distances need
 * none. */
static enum wp_status report_no_time(const struct search *search, const struct wp_columns *columns,
                                     const struct wp_candidates *candidates)
{
    char list[160];
    char hint[200] = "call the right column 'time'";
    const size_t stamp = find_unused(search, columns, candidates, true);
    const size_t number = find_unused(search, columns, candidates, false);
    if (stamp > 0) {
        (void)snprintf(hint, sizeof hint,
                       "call the right column 'time', or tell it, as --columns time=%zu", stamp);
    } else if (number > 0) {
        (void)snprintf(hint, sizeof hint,
                       "call the right column 'time', or tell it, as --columns time=%zu and, if it "
                       "counts seconds, --time-unit s",
                       number);
    }
    const size_t used = strlen(hint);
    (void)snprintf(hint + used, sizeof hint - used,
                   "; lines at even distances: --interval '10 min'");
    list_headings(candidates, list, sizeof list);
    (void)wp_intake_fail(search->intake, WP_E_MISSING, search->line, hint,
                         "no column of times; expected a heading such as 'time', found %s", list);
    return WP_E_MISSING;
}

static enum wp_status check_choice(const struct search *search, const struct wp_columns *columns,
                                   const struct wp_candidates *candidates)
{
    if (candidates->best[WP_MEANS_SPEED] < 0) {
        return report_no_speed(search, columns, candidates);
    }
    if (!wp_candidates_have_time(candidates) && !(search->intake->config->interval_s > 0.0)) {
        return report_no_time(search, columns, candidates);
    }
    for (int meaning = WP_MEANS_STAMP; meaning < WP_MEANS_TEMPERATURE; meaning++) {
        if (candidates->best[meaning] >= 0 && candidates->rival[meaning] >= 0) {
            char hint[120];
            (void)snprintf(hint, sizeof hint,
                           "rename or remove the one that is not meant, or tell it, as --columns "
                           "%s=%d",
                           wp_column_word((enum wp_meaning)meaning), candidates->best[meaning] + 1);
            (void)wp_intake_fail(search->intake, WP_E_AMBIGUOUS, search->line, hint,
                                 "columns '%.60s' and '%.60s' both fit %s; expected one",
                                 candidates->text[candidates->best[meaning]],
                                 candidates->text[candidates->rival[meaning]],
                                 meaning_text(meaning));
            return WP_E_AMBIGUOUS;
        }
    }
    return WP_OK;
}

static enum wp_status check_unit(const struct search *search,
                                 const struct wp_candidates *candidates, int meaning,
                                 bool is_unit_given)
{
    const int index = candidates->best[meaning];
    if (index < 0 || candidates->heading[index].unknown_unit[0] == '\0' || is_unit_given) {
        return WP_OK;
    }
    (void)wp_intake_fail(search->intake, WP_E_UNIT, search->line,
                         "write the unit in brackets, as in 'wind speed (km/h)', or give --unit",
                         "'%s' in the heading '%.80s' is no known unit of speed; expected m/s, "
                         "km/h, mph, kt, ft/s, cm/s or Bft",
                         candidates->heading[index].unknown_unit, candidates->text[index]);
    return WP_E_UNIT;
}

/* Tells what a column was taken for. */
static void describe(struct wp_intake *intake, const struct wp_candidates *candidates, int meaning,
                     enum wp_unit unit, const char *why)
{
    static const char *const names[WP_MEANS_YEAR] = {
        "", "time", "time", "time", "speed", "gust", "from", "temperature", "pressure"};
    const char *const text = candidates->text[candidates->best[meaning]];
    wp_intake_describe(intake, meaning < WP_MEANS_YEAR ? names[meaning] : "time",
                       (struct wp_slice){text, strlen(text)}, unit, why);
}

/* The unit of a column of speeds and where it came from: the heading, the caller, the column beside
 * it, else m/s. */
static enum wp_unit settle_speed_unit(enum wp_unit own, enum wp_unit given, enum wp_unit beside,
                                      const char **why)
{
    if (own != WP_UNIT_NONE) {
        *why = "in the heading";
        return own;
    }
    if (given != WP_UNIT_NONE) {
        *why = "given, the heading has none";
        return given;
    }
    if (beside != WP_UNIT_NONE) {
        *why = "that of the column beside it";
        return beside;
    }
    *why = "assumed, the heading has none";
    return WP_UNIT_M_S;
}

static void settle_speeds(const struct wp_candidates *candidates, struct wp_columns *columns,
                          struct wp_intake *intake)
{
    const enum wp_unit given = intake->given_unit;
    const int speed = candidates->best[WP_MEANS_SPEED];
    const int gust = candidates->best[WP_MEANS_GUST];
    const enum wp_unit speed_unit = candidates->heading[speed].unit;
    const enum wp_unit gust_unit = gust >= 0 ? candidates->heading[gust].unit : WP_UNIT_NONE;
    const char *why = "";
    enum wp_unit unit = settle_speed_unit(speed_unit, given, gust_unit, &why);
    if (speed_unit == WP_UNIT_NONE && given == WP_UNIT_NONE && gust_unit == WP_UNIT_NONE) {
        wp_weather_note(intake->weather,
                        "no unit in the heading '%.60s': taken as m/s (--unit sets it)",
                        candidates->text[speed]);
    }
    columns->of[WP_MEANS_SPEED].unit = unit;
    describe(intake, candidates, WP_MEANS_SPEED, unit, why);
    if (gust >= 0) {
        unit = settle_speed_unit(gust_unit, given, unit, &why);
        columns->of[WP_MEANS_GUST].unit = unit;
        describe(intake, candidates, WP_MEANS_GUST, unit, why);
    }
}

static void settle_times(const struct wp_candidates *candidates, struct wp_columns *columns,
                         struct wp_intake *intake)
{
    columns->rule = wp_intake_rule(intake);
    columns->has_zone = false;
    const double given_tick_s = intake->config->tick_s;
    for (int meaning = WP_MEANS_STAMP; meaning < WP_MEANS_STATION; meaning++) {
        const int index = candidates->best[meaning];
        if (index < 0 || !wp_meaning_is_time((enum wp_meaning)meaning)) {
            continue;
        }
        const char *const text = candidates->text[index];
        double zone_s = 0.0;
        if (wp_stamp_zone_in((struct wp_slice){text, strlen(text)}, &zone_s)) {
            columns->rule.zone_s = zone_s;
            columns->has_zone = true;
        }
        const enum wp_unit unit = candidates->heading[index].unit;
        columns->rule.tick_s = given_tick_s > 0.0            ? given_tick_s
                               : unit == WP_UNIT_SECOND      ? 1.0
                               : unit == WP_UNIT_MILLISECOND ? 1e-3
                                                             : columns->rule.tick_s;
        describe(intake, candidates, meaning, WP_UNIT_NONE,
                 columns->has_zone ? "zone in the heading" : "");
    }
}

/* Direction and temperature. Of two temperatures alike none is used: nobody waits for it. */
static void settle_from(const struct wp_candidates *candidates, struct wp_columns *columns,
                        struct wp_intake *intake)
{
    const int from = candidates->best[WP_MEANS_FROM];
    if (from >= 0) {
        const bool is_tens = candidates->heading[from].unit == WP_UNIT_TEN_DEGREES;
        columns->of[WP_MEANS_FROM].unit = is_tens ? WP_UNIT_TEN_DEGREES : WP_UNIT_DEGREE;
        describe(intake, candidates, WP_MEANS_FROM, columns->of[WP_MEANS_FROM].unit,
                 is_tens ? "in the heading" : "degrees or points of the compass");
    }
}

/* Temperature and pressure. Of two alike none is used: nobody waits for it. */
static void settle_air(struct wp_candidates *candidates, enum wp_meaning meaning,
                       enum wp_unit fallback, struct wp_columns *columns, struct wp_intake *intake)
{
    const int index = candidates->best[meaning];
    if (index < 0) {
        return;
    }
    const char *const heading = candidates->text[index];
    if (candidates->rival[meaning] >= 0) {
        wp_weather_note(intake->weather, "columns '%.60s' and '%.60s' both fit %s: none used",
                        heading, candidates->text[candidates->rival[meaning]],
                        meaning_text(meaning));
        candidates->best[meaning] = columns->of[meaning].index = -1;
        return;
    }
    const enum wp_unit named = candidates->heading[index].unit;
    columns->of[meaning].unit = named != WP_UNIT_NONE ? named : fallback;
    if (named == WP_UNIT_NONE) {
        wp_weather_note(intake->weather, "no unit in the heading '%.60s': taken as %s", heading,
                        fallback == WP_UNIT_CELSIUS ? "degrees Celsius" : wp_unit_name(fallback));
    }
    describe(intake, candidates, (int)meaning, columns->of[meaning].unit,
             named != WP_UNIT_NONE ? "in the heading" : "assumed, the heading has none");
}

static void note_others(const struct wp_candidates *candidates, struct wp_intake *intake)
{
    for (int meaning = WP_MEANS_SPEED; meaning <= WP_MEANS_FROM; meaning++) {
        if (candidates->best[meaning] >= 0 && candidates->other[meaning] >= 0) {
            wp_weather_note(intake->weather, "'%.60s' is taken for %s, not '%.60s'",
                            candidates->text[candidates->best[meaning]], meaning_text(meaning),
                            candidates->text[candidates->other[meaning]]);
        }
    }
}

/* The first rows that head a table; else those with the fewest flaws, for the message. Values above
 * may belong to a preamble: a station's height and place, with headings of their own. */
static void find_heading(const struct wp_source *source, struct wp_columns *columns,
                         struct wp_candidates *candidates)
{
    enum { LINES_OF_PREAMBLE = 500 };
    const struct wp_slice text = {source->text, source->size};
    struct wp_heading_rows rows;
    wp_heading_rows_find(text, columns->separator, 0, &rows);
    columns->heading = rows;
    int fewest = INT_MAX;
    while (fewest > 0 && rows.first_row > 0 && rows.first_row < LINES_OF_PREAMBLE) {
        const int n_flaws = rows.n_lines > 0
                                ? wp_candidates_choose(&rows, columns->separator, candidates)
                                : INT_MAX;
        if (n_flaws < fewest) {
            fewest = n_flaws;
            columns->heading = rows;
        }
        wp_heading_rows_find(text, columns->separator, rows.first_row, &rows);
    }
    if (columns->heading.n_lines > 0) {
        (void)wp_candidates_choose(&columns->heading, columns->separator, candidates);
    }
}

/* The column that was chosen; -1 after the error that there is none of that name. */
static int chosen_index(const struct search *search, const struct wp_candidates *candidates,
                        const struct wp_column_choice *choice)
{
    char list[160];
    char name[64];
    if (choice->index >= 0) {
        return choice->index;
    }
    for (size_t i = 0; i < candidates->n_columns; i++) {
        if (wp_slice_is(choice->name, candidates->text[i])) {
            return (int)i;
        }
    }
    list_headings(candidates, list, sizeof list);
    wp_slice_show(choice->name, name, sizeof name);
    (void)wp_intake_fail(search->intake, WP_E_UNKNOWN_NAME, search->line,
                         "a column's number will do as well, as --columns speed=3",
                         "no column is called '%s'; expected one of %s", name, list);
    return -1;
}

/* Columns that the user names go before what the headings say. */
static enum wp_status apply_spec(const struct search *search, struct wp_columns *columns,
                                 struct wp_candidates *candidates)
{
    struct wp_column_choice choices[WP_MEANING_COUNT];
    const enum wp_status status = wp_column_spec_read(search->intake, choices);
    if (status) {
        return status;
    }
    if (columns->heading.n_lines == 0) {
        wp_candidates_empty(candidates);
        columns->has_headings = false;
    }
    for (int meaning = 0; meaning < WP_MEANING_COUNT; meaning++) {
        if (wp_column_is_chosen(&choices[meaning])) {
            const int index = chosen_index(search, candidates, &choices[meaning]);
            if (index < 0) {
                return search->intake->status;
            }
            wp_candidates_set(candidates, (enum wp_meaning)meaning, index);
        }
    }
    const bool has_year = wp_column_is_chosen(&choices[WP_MEANS_YEAR]);
    if (!wp_column_is_chosen(&choices[WP_MEANS_STAMP]) &&
        (has_year || wp_column_is_chosen(&choices[WP_MEANS_DATE]))) {
        candidates->best[WP_MEANS_STAMP] = -1;
        candidates->best[WP_MEANS_DATE] = has_year ? -1 : candidates->best[WP_MEANS_DATE];
    }
    wp_candidates_settle_time(candidates);
    return WP_OK;
}

enum wp_status wp_columns_find(struct wp_intake *intake, struct wp_columns *columns)
{
    struct wp_candidates candidates;
    struct search search = {intake, 0};
    const struct wp_source *const source = &intake->source;
    enum wp_status status = WP_OK;
    columns->separator = wp_separator_find(source->text, source->size);
    columns->has_headings = true;
    find_heading(source, columns, &candidates);
    const struct wp_heading_rows *const rows = &columns->heading;
    const bool is_told = intake->config->columns != NULL;
    if (rows->first_row == 0 || (rows->n_lines == 0 && !is_told)) {
        return report_no_heading(&search, rows);
    }
    search.line = rows->n_lines > 0 ? rows->number[rows->n_lines - 1] : rows->first_row;
    if (is_told) {
        status = apply_spec(&search, columns, &candidates);
    }
    status = status ? status : check_choice(&search, columns, &candidates);
    for (int meaning = WP_MEANS_SPEED; !status && meaning <= WP_MEANS_GUST; meaning++) {
        status = check_unit(&search, &candidates, meaning, intake->given_unit != WP_UNIT_NONE);
    }
    if (status) {
        return status;
    }
    columns->n_headings = columns->has_headings ? candidates.n_columns : WP_FIELDS_MAX;
    for (int meaning = 0; meaning < WP_MEANING_COUNT; meaning++) {
        columns->of[meaning] = (struct wp_column){candidates.best[meaning], WP_UNIT_NONE};
    }
    const int station = candidates.best[WP_MEANS_STATION];
    columns->is_hour_with_minutes = false;
    columns->is_station_doubtful =
        station >= 0 && candidates.heading[station].fit == WP_FIT_DOUBTFUL;
    (void)snprintf(columns->station_heading, sizeof columns->station_heading, "%s",
                   station >= 0 ? candidates.text[station] : "");
    settle_times(&candidates, columns, intake);
    settle_speeds(&candidates, columns, intake);
    settle_from(&candidates, columns, intake);
    settle_air(&candidates, WP_MEANS_TEMPERATURE, WP_UNIT_CELSIUS, columns, intake);
    settle_air(&candidates, WP_MEANS_PRESSURE, WP_UNIT_HPA, columns, intake);
    note_others(&candidates, intake);
    return WP_OK;
}

enum wp_meaning wp_columns_date(const struct wp_columns *columns)
{
    if (columns->of[WP_MEANS_STAMP].index >= 0) {
        return WP_MEANS_STAMP;
    }
    return columns->of[WP_MEANS_DATE].index >= 0 ? WP_MEANS_DATE : WP_MEANS_CLOCK;
}
