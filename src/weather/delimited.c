/* SPDX-License-Identifier: MIT */
/* Reads delimited text with a heading: what stations export, spreadsheets save, agencies offer. */
#include "weather/delimited.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#include "weather/calendar.h"

/* The field of a meaning, empty when the table has no such column or the row ends before it. */
static struct wp_slice field_of(const struct wp_columns *columns, enum wp_meaning meaning,
                                const struct wp_slice *fields, size_t n_fields)
{
    static const struct wp_slice none = {"", 0};
    const int index = columns->of[meaning].index;
    return index >= 0 && (size_t)index < n_fields ? fields[index] : none;
}

/* A whole number of a row, as a part of its time; 0 without such a column. */
static bool read_part(const struct wp_columns *columns, enum wp_meaning part,
                      const struct wp_slice *fields, size_t n_fields, double *number)
{
    *number = 0.0;
    return columns->of[part].index < 0 ||
           (wp_number_read(field_of(columns, part, fields, n_fields), number) &&
            *number == floor(*number) && fabs(*number) < 1e4);
}

/* Year, month and day, or the day of the year, as a date of ISO 8601; empty: none. */
static void write_date(const struct wp_columns *columns, const struct wp_slice *fields,
                       size_t n_fields, char *text, size_t text_size)
{
    double year = 0.0;
    double month = 1.0;
    double day = 0.0;
    const bool has_month = columns->of[WP_MEANS_MONTH].index >= 0;
    const enum wp_meaning day_part = has_month ? WP_MEANS_DAY : WP_MEANS_DAY_OF_YEAR;
    text[0] = '\0';
    if (!read_part(columns, WP_MEANS_YEAR, fields, n_fields, &year) ||
        (has_month && !read_part(columns, WP_MEANS_MONTH, fields, n_fields, &month)) ||
        !read_part(columns, day_part, fields, n_fields, &day)) {
        return;
    }
    struct wp_date date = {wp_year_in_full((int)year, year < 100.0 ? 2 : 4), (int)month, (int)day};
    if (!has_month && date.year > 0 && day >= 1.0 && day <= 366.0) {
        date = wp_date_from_days(wp_date_to_days((struct wp_date){date.year, 1, 1}) + date.day - 1);
    }
    (void)snprintf(text, text_size, "%04d-%02d-%02d", date.year, date.month, date.day);
}

/* Hour, minute and second as a clock; empty: no column of hours, or none of it. */
static void write_clock(const struct wp_columns *columns, const struct wp_slice *fields,
                        size_t n_fields, char *text, size_t text_size)
{
    double hour = 0.0;
    double minute = 0.0;
    double second = 0.0;
    text[0] = '\0';
    if (!read_part(columns, WP_MEANS_HOUR, fields, n_fields, &hour) ||
        !read_part(columns, WP_MEANS_MINUTE, fields, n_fields, &minute) ||
        !read_part(columns, WP_MEANS_SECOND, fields, n_fields, &second) ||
        columns->of[WP_MEANS_HOUR].index < 0) {
        return;
    }
    if (columns->is_hour_with_minutes) {
        minute = fmod(hour, 100.0);
        hour = floor(hour / 100.0);
    }
    (void)snprintf(text, text_size, "%02.0f:%02.0f:%02.0f", hour, minute, second);
}

/* The time of a row: a stamp as it stands, or date and clock, or their parts, put together. */
static struct wp_slice stamp_text(const struct wp_columns *columns, const struct wp_slice *fields,
                                  size_t n_fields, char *buffer, size_t buffer_size)
{
    const struct wp_slice stamp = field_of(columns, WP_MEANS_STAMP, fields, n_fields);
    struct wp_slice date = field_of(columns, WP_MEANS_DATE, fields, n_fields);
    struct wp_slice clock = field_of(columns, WP_MEANS_CLOCK, fields, n_fields);
    char date_text[40];
    char clock_text[40];
    if (columns->of[WP_MEANS_STAMP].index >= 0) {
        return stamp;
    }
    if (columns->of[WP_MEANS_YEAR].index >= 0) {
        write_date(columns, fields, n_fields, date_text, sizeof date_text);
        date = (struct wp_slice){date_text, strlen(date_text)};
    }
    if (columns->of[WP_MEANS_HOUR].index >= 0) {
        write_clock(columns, fields, n_fields, clock_text, sizeof clock_text);
        clock = (struct wp_slice){clock_text, strlen(clock_text)};
    }
    if (memchr(date.at, ':', date.length)) {
        return date; /* which has a clock of its own */
    }
    const int length = snprintf(buffer, buffer_size, "%.*s %.*s", (int)date.length, date.at,
                                (int)clock.length, clock.at);
    const bool fits = length >= 0 && (size_t)length < buffer_size;
    return wp_slice_trim((struct wp_slice){buffer, fits ? (size_t)length : 0});
}

static double read_value(struct wp_intake *intake, const struct wp_columns *columns,
                         enum wp_meaning meaning, const struct wp_slice *fields, size_t n_fields,
                         int line)
{
    return wp_intake_value(intake, meaning, columns->of[meaning].unit,
                           field_of(columns, meaning, fields, n_fields), line);
}

/* True when the row has as many fields as it needs and no value without a heading. */
static bool check_length(struct wp_intake *intake, const struct wp_delimited *table,
                         const struct wp_slice *fields, size_t n_fields, int line)
{
    const struct wp_slice *const last =
        &fields[(n_fields < WP_FIELDS_MAX ? n_fields : WP_FIELDS_MAX) - 1];
    const bool is_short = n_fields < table->n_usual;
    if (is_short && last->at + last->length == intake->source.text + intake->source.size) {
        (void)wp_intake_reject(intake, WP_REPAIR_UNFINISHED, line, *last);
        return false;
    }
    if (n_fields < table->n_needed) {
        (void)wp_intake_reject(intake, WP_REPAIR_TOO_SHORT, line, *last);
        return false;
    }
    if (is_short && n_fields < table->n_wanted) {
        wp_tally_add(&intake->tally, WP_REPAIR_CUT, line, *last);
    }
    for (size_t i = table->columns.n_headings; i < n_fields && i < WP_FIELDS_MAX; i++) {
        if (fields[i].length > 0) {
            (void)wp_intake_reject(intake, WP_REPAIR_TOO_LONG, line, fields[i]);
            return false;
        }
    }
    return true;
}

enum wp_line_outcome wp_delimited_row(struct wp_intake *intake, const struct wp_delimited *table,
                                      struct wp_slice line, int number, struct wp_record *record)
{
    const struct wp_columns *const columns = &table->columns;
    struct wp_slice fields[WP_FIELDS_MAX];
    char buffer[64];
    const size_t n = wp_fields_split(line, columns->separator, fields, WP_FIELDS_MAX);
    if (n == 0 || !check_length(intake, table, fields, n, number)) {
        return n == 0 ? WP_LINE_NOTHING : WP_LINE_REJECTED;
    }
    const struct wp_slice heading = {columns->station_heading, strlen(columns->station_heading)};
    if (columns->of[WP_MEANS_STATION].index >= 0 &&
        !wp_intake_station(intake, heading, columns->is_station_doubtful,
                           field_of(columns, WP_MEANS_STATION, fields, n), number)) {
        return WP_LINE_NOTHING;
    }
    const struct wp_slice time = stamp_text(columns, fields, n, buffer, sizeof buffer);
    if (table->has_times && !wp_intake_time(intake, &columns->rule, time, number, &record->t_s)) {
        return WP_LINE_REJECTED;
    }
    record->mean_m_s = read_value(intake, columns, WP_MEANS_SPEED, fields, n, number);
    record->gust_m_s = read_value(intake, columns, WP_MEANS_GUST, fields, n, number);
    const struct wp_slice from = field_of(columns, WP_MEANS_FROM, fields, n);
    record->from_deg =
        wp_intake_from(intake, columns->of[WP_MEANS_FROM].unit, table->letter_o, from, number);
    record->temperature_c = read_value(intake, columns, WP_MEANS_TEMPERATURE, fields, n, number);
    record->pressure_pa = read_value(intake, columns, WP_MEANS_PRESSURE, fields, n, number);
    return WP_LINE_RECORD;
}

bool wp_delimited_is_heading(const struct wp_columns *columns, struct wp_slice line)
{
    for (size_t i = 0; i < columns->heading.n_lines; i++) {
        const struct wp_slice *const heading = &columns->heading.line[i];
        if (heading->length == line.length && memcmp(heading->at, line.at, line.length) == 0) {
            return true;
        }
    }
    return false;
}

/* The next row of values. */
static bool next_row(const struct wp_columns *columns, struct wp_lines *lines,
                     struct wp_slice *line)
{
    while (wp_lines_next_row(lines, line)) {
        if (lines->number >= columns->heading.first_row &&
            !wp_delimited_is_heading(columns, *line)) {
            return true;
        }
    }
    return false;
}

/* What only the whole column shows: the order of day and month, the letter for east, whether bare
 * numbers are days, hours are hhmm. */
struct survey {
    size_t n_fields; /* of the longest row */
    size_t n_dates;
    size_t n_serial; /* of them, days as spreadsheets count them */
    double most_hour;
    int line[WP_ORDER_YEAR_FIRST + 1]; /* the first that proves an order; [0]: that could be any */
    int letter_o_line;                 /* first direction with an O */
    struct wp_slice letter_o_word;
    struct wp_compass_letters letters;
};

static void survey_row(const struct wp_columns *columns, struct wp_slice line, int number,
                       struct survey *survey)
{
    struct wp_slice fields[WP_FIELDS_MAX];
    const size_t n = wp_fields_split(line, columns->separator, fields, WP_FIELDS_MAX);
    const struct wp_slice date = field_of(columns, wp_columns_date(columns), fields, n);
    const struct wp_slice from = field_of(columns, WP_MEANS_FROM, fields, n);
    enum wp_date_order order = WP_ORDER_UNKNOWN;
    double hour = 0.0;
    survey->n_fields = n > survey->n_fields ? n : survey->n_fields;
    survey->n_dates += date.length > 0;
    survey->n_serial += wp_stamp_is_serial(date);
    if (wp_number_read(field_of(columns, WP_MEANS_HOUR, fields, n), &hour)) {
        survey->most_hour = fmax(survey->most_hour, hour);
    }
    if (wp_stamp_needs_order(date, &order) && survey->line[order] == 0) {
        survey->line[order] = number;
    }
    const bool had_o = survey->letters.has_o;
    if (wp_compass_note(from, &survey->letters) && survey->letters.has_o && !had_o) {
        survey->letter_o_line = number;
        survey->letter_o_word = from;
    }
}

/* The order that the dates prove; two different ones, or none where one is needed, are errors. */
static enum wp_status settle_order(struct wp_intake *intake, const struct survey *survey,
                                   struct wp_stamp_rule *rule)
{
    int proven_line = 0;
    for (int order = WP_ORDER_DAY_FIRST; order <= WP_ORDER_YEAR_FIRST; order++) {
        const int line = survey->line[order];
        if (line > 0 && proven_line > 0) {
            (void)wp_intake_fail(intake, WP_E_SYNTAX, line > proven_line ? line : proven_line,
                                 "write all dates as 2026-04-11",
                                 "this date has day and month the other way round than one on "
                                 "line %d; expected one order",
                                 line < proven_line ? line : proven_line);
            return WP_E_SYNTAX;
        }
        if (line > 0) {
            proven_line = line;
            rule->order = (enum wp_date_order)order;
        }
    }
    if (proven_line == 0 && survey->line[WP_ORDER_UNKNOWN] > 0) {
        (void)wp_intake_fail(intake, WP_E_AMBIGUOUS, survey->line[WP_ORDER_UNKNOWN],
                             "give --date-order dmy, mdy or ymd, or write ISO dates (2026-04-11)",
                             "no date tells whether day or month comes first; expected at least "
                             "one number above 12");
        return WP_E_AMBIGUOUS;
    }
    return WP_OK;
}

/* Bare numbers of another kind than the rule has. */
static void settle_numbers(struct wp_intake *intake, const struct survey *survey,
                           struct wp_columns *columns)
{
    columns->is_hour_with_minutes =
        survey->most_hour > 24.0 && columns->of[WP_MEANS_MINUTE].index < 0;
    const bool are_days = survey->n_serial > 0 && survey->n_serial == survey->n_dates;
    if (are_days && columns->rule.tick_s == 0.0 && !columns->rule.has_serial_days) {
        columns->rule.has_serial_days = true;
        wp_weather_note(intake->weather,
                        "bare numbers as times are taken as a spreadsheet's days since 1899-12-30 "
                        "(--time-unit s if they count seconds)");
    }
}

static enum wp_status settle_letter_o(struct wp_intake *intake, const struct survey *survey,
                                      enum wp_letter_o *letter_o)
{
    char word[8];
    const enum wp_letter_o given = intake->config->letter_o;
    *letter_o = given != WP_O_UNKNOWN ? given : wp_compass_decide(&survey->letters);
    if (!survey->letters.has_o || *letter_o != WP_O_UNKNOWN) {
        return WP_OK;
    }
    wp_slice_show(survey->letter_o_word, word, sizeof word);
    (void)wp_intake_fail(intake, WP_E_AMBIGUOUS, survey->letter_o_line,
                         "give --letter-o east or west, or write degrees",
                         "the O of direction '%s' may be east (Ost) or west (ouest, oeste); "
                         "expected letters that tell",
                         word);
    return WP_E_AMBIGUOUS;
}

/* A first pass over the rows, for what single rows cannot tell. */
static enum wp_status survey_rows(struct wp_intake *intake, struct wp_delimited *table)
{
    struct survey survey = {.letter_o_line = 0};
    struct wp_lines lines;
    struct wp_slice line;
    wp_lines_init(&lines, intake->source.text, intake->source.size);
    while (next_row(&table->columns, &lines, &line)) {
        survey_row(&table->columns, line, lines.number, &survey);
    }
    table->n_usual = survey.n_fields;
    settle_numbers(intake, &survey, &table->columns);
    const bool is_order_given = intake->config->date_order != WP_ORDER_UNKNOWN;
    const enum wp_status status =
        is_order_given ? WP_OK : settle_order(intake, &survey, &table->columns.rule);
    return status ? status : settle_letter_o(intake, &survey, &table->letter_o);
}

enum wp_status wp_delimited_begin(struct wp_intake *intake, struct wp_delimited *table)
{
    *table = (struct wp_delimited){.letter_o = intake->config->letter_o};
    const enum wp_status status = wp_columns_find(intake, &table->columns);
    if (status) {
        return status;
    }
    for (int meaning = WP_MEANS_STAMP; meaning <= WP_MEANS_STATION; meaning++) {
        const bool is_time = wp_meaning_is_time((enum wp_meaning)meaning);
        const size_t needed = (size_t)(table->columns.of[meaning].index + 1);
        table->has_times = table->has_times || (is_time && needed > 0);
        if ((is_time || meaning == WP_MEANS_SPEED) && needed > table->n_needed) {
            table->n_needed = needed;
        }
        table->n_wanted = needed > table->n_wanted ? needed : table->n_wanted;
    }
    if (table->columns.has_zone) {
        intake->zone_known = "told in the heading";
    }
    return WP_OK;
}

static enum wp_status read_table(struct wp_intake *intake)
{
    struct wp_delimited table;
    struct wp_lines lines;
    struct wp_slice line;
    enum wp_status status = wp_delimited_begin(intake, &table);
    if (!status) {
        status = survey_rows(intake, &table);
    }
    if (status) {
        return status;
    }
    wp_lines_init(&lines, intake->source.text, intake->source.size);
    while (!intake->status && next_row(&table.columns, &lines, &line)) {
        struct wp_record record = wp_record_unknown();
        if (wp_delimited_row(intake, &table, line, lines.number, &record) == WP_LINE_RECORD) {
            wp_intake_add(intake, &record, lines.number);
        }
    }
    return wp_intake_finish(intake);
}

enum wp_status wp_delimited_read_as(const struct wp_source *source,
                                    const struct wp_weather_config *config, const char *zone_known,
                                    struct wp_weather *weather, struct wp_diags *diags)
{
    struct wp_intake intake;
    enum wp_status status = wp_intake_init(&intake, source, config, weather, diags);
    intake.zone_known = zone_known;
    if (!status) {
        status = read_table(&intake);
    }
    wp_intake_free(&intake);
    return status;
}

enum wp_status wp_delimited_read(const struct wp_source *source,
                                 const struct wp_weather_config *config, struct wp_weather *weather,
                                 struct wp_diags *diags)
{
    return wp_delimited_read_as(source, config, NULL, weather, diags);
}
