/* SPDX-License-Identifier: MIT */
/* Reads delimited text with a heading: what stations export, spreadsheets save, agencies offer. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "weather/columns.h"
#include "weather/compass.h"
#include "weather/reader.h"
#include "weather/records.h"
#include "weather/table.h"

/* What a column may hold, in SI units, and how its faults are counted. */
struct kind {
    enum wp_meaning meaning;
    double least;
    double most;
    enum wp_repair if_text;
    enum wp_repair if_outside;
};

/* Limits are what no station reports that chimes hang beside. Air: -89.2 and 56.7 degrees Celsius
 * are the extremes of WMO's archive (from memory). */
static const struct kind speed_kind = {WP_MEANS_SPEED, 0.0, 75.0, WP_REPAIR_SPEED_TEXT,
                                       WP_REPAIR_SPEED_RANGE};
static const struct kind gust_kind = {WP_MEANS_GUST, 0.0, 75.0, WP_REPAIR_GUST_TEXT,
                                      WP_REPAIR_GUST_RANGE};
static const struct kind from_kind = {WP_MEANS_FROM, 0.0, 360.0, WP_REPAIR_FROM_TEXT,
                                      WP_REPAIR_FROM_RANGE};
static const struct kind temperature_kind = {WP_MEANS_TEMPERATURE, -90.0, 60.0,
                                             WP_REPAIR_TEMPERATURE, WP_REPAIR_TEMPERATURE};

/* A reading in progress. */
struct reading {
    const struct wp_source *source;
    struct wp_columns columns;
    enum wp_letter_o letter_o;
    size_t n_needed; /* fields of a row up to its time and wind speed */
    struct wp_rows rows;
    struct wp_tally tally;
    size_t n_without_zone; /* stamps */
};

/* Time column of a row: a stamp, or date and clock put together in buffer. */
static struct wp_slice stamp_text(const struct wp_columns *columns, const struct wp_slice *fields,
                                  char *buffer, size_t buffer_size)
{
    const int stamp = columns->of[WP_MEANS_STAMP].index;
    const int date = columns->of[WP_MEANS_DATE].index;
    const int clock = columns->of[WP_MEANS_CLOCK].index;
    if (stamp >= 0 || date < 0 || clock < 0) {
        return fields[stamp >= 0 ? stamp : date >= 0 ? date : clock];
    }
    const size_t length = fields[date].length + 1 + fields[clock].length;
    struct wp_slice text = {buffer, 0};
    if (length <= buffer_size) {
        memcpy(buffer, fields[date].at, fields[date].length);
        buffer[fields[date].length] = ' ';
        memcpy(buffer + fields[date].length + 1, fields[clock].at, fields[clock].length);
        text.length = length;
    }
    return text;
}

/* The field of a meaning, empty when the table has no such column or the row ends before it. */
static struct wp_slice field_of(const struct wp_columns *columns, enum wp_meaning meaning,
                                const struct wp_slice *fields, size_t n_fields)
{
    static const struct wp_slice none = {"", 0};
    const int index = columns->of[meaning].index;
    return index >= 0 && (size_t)index < n_fields ? fields[index] : none;
}

/* A field in SI units; NAN when it is missing or cannot be, which is counted. */
static double read_value(struct reading *reading, const struct kind *kind, struct wp_slice field,
                         int line)
{
    double value = 0.0;
    if (wp_field_is_missing(field)) {
        return NAN;
    }
    if (!wp_number_read(field, &value)) {
        wp_tally_add(&reading->tally, kind->if_text, line);
        return NAN;
    }
    value = wp_unit_to_si(reading->columns.of[kind->meaning].unit, value);
    if (value >= kind->least && value <= kind->most) {
        return value + 0.0; /* -0 becomes 0 */
    }
    /* All nines mean 'missing' only where they cannot be a value: 99 km/h and 99 deg are values. */
    if (!wp_field_is_code(field)) {
        wp_tally_add(&reading->tally, kind->if_outside, line);
    }
    return NAN;
}

static double read_from(struct reading *reading, struct wp_slice field, int line)
{
    double from_deg = NAN;
    if (wp_compass_is_variable(field) || wp_compass_read(field, reading->letter_o, &from_deg)) {
        return from_deg;
    }
    return read_value(reading, &from_kind, field, line);
}

/* The time of a row; false: the row is rejected and counted. */
static bool read_time(struct reading *reading, const struct wp_slice *fields, int line, double *t_s)
{
    char buffer[64];
    const struct wp_slice text = stamp_text(&reading->columns, fields, buffer, sizeof buffer);
    struct wp_stamp stamp = {0.0, false};
    const enum wp_status status = wp_stamp_read(text, &reading->columns.rule, &stamp);
    if (status) {
        wp_tally_add(&reading->tally,
                     status == WP_E_RANGE ? WP_REPAIR_NO_SUCH_TIME : WP_REPAIR_NO_TIME, line);
        return false;
    }
    reading->n_without_zone += !stamp.has_zone;
    *t_s = stamp.t_s;
    return true;
}

/* True when the row has as many fields as it needs and no value without a heading. */
static bool check_length(struct reading *reading, const struct wp_slice *fields, size_t n_fields,
                         int line)
{
    if (n_fields < reading->n_needed) {
        wp_tally_add(&reading->tally, WP_REPAIR_TOO_SHORT, line);
        return false;
    }
    for (size_t i = reading->columns.n_headings; i < n_fields && i < WP_FIELDS_MAX; i++) {
        if (fields[i].length > 0) {
            wp_tally_add(&reading->tally, WP_REPAIR_TOO_LONG, line);
            return false;
        }
    }
    return true;
}

static enum wp_status read_row(struct reading *reading, struct wp_slice line, int number)
{
    const struct wp_columns *const columns = &reading->columns;
    struct wp_slice fields[WP_FIELDS_MAX];
    const size_t n = wp_fields_split(line, columns->separator, fields, WP_FIELDS_MAX);
    struct wp_record record = {0.0, NAN, NAN, NAN, NAN, NAN};
    if (!check_length(reading, fields, n, number) ||
        !read_time(reading, fields, number, &record.t_s)) {
        return WP_OK;
    }
    const struct wp_slice speed = field_of(columns, WP_MEANS_SPEED, fields, n);
    const struct wp_slice gust = field_of(columns, WP_MEANS_GUST, fields, n);
    const struct wp_slice from = field_of(columns, WP_MEANS_FROM, fields, n);
    const struct wp_slice temperature = field_of(columns, WP_MEANS_TEMPERATURE, fields, n);
    record.mean_m_s = read_value(reading, &speed_kind, speed, number);
    record.gust_m_s = read_value(reading, &gust_kind, gust, number);
    record.from_deg = read_from(reading, from, number);
    record.temperature_c = read_value(reading, &temperature_kind, temperature, number);
    wp_record_repair(&record, &reading->tally, number);
    return wp_rows_add(&reading->rows, &record, number);
}

/* Headings that a logger writes again after a pause. */
static bool is_heading_again(const struct wp_columns *columns, struct wp_slice line)
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
        if (lines->number >= columns->heading.first_row && !is_heading_again(columns, *line)) {
            return true;
        }
    }
    return false;
}

/* What only the whole column shows: the order of day and month, the letter for east. */
struct survey {
    int day_first_line;   /* first date with a day above 12 in front, 0: none */
    int month_first_line; /* first one with it in the middle */
    int open_line;        /* first date that could be either */
    int letter_o_line;    /* first direction with an O */
    struct wp_slice letter_o_word;
    struct wp_compass_letters letters;
};

static void survey_row(const struct wp_columns *columns, struct wp_slice line, int number,
                       struct survey *survey)
{
    struct wp_slice fields[WP_FIELDS_MAX];
    const size_t n = wp_fields_split(line, columns->separator, fields, WP_FIELDS_MAX);
    const bool has_stamp = columns->of[WP_MEANS_STAMP].index >= 0;
    const struct wp_slice date =
        field_of(columns, has_stamp ? WP_MEANS_STAMP : WP_MEANS_DATE, fields, n);
    const struct wp_slice from = field_of(columns, WP_MEANS_FROM, fields, n);
    enum wp_date_order order = WP_ORDER_UNKNOWN;
    if (wp_stamp_needs_order(date, &order)) {
        int *const first = order == WP_ORDER_DAY_FIRST     ? &survey->day_first_line
                           : order == WP_ORDER_MONTH_FIRST ? &survey->month_first_line
                                                           : &survey->open_line;
        *first = *first > 0 ? *first : number;
    }
    const bool had_o = survey->letters.has_o;
    if (wp_compass_note(from, &survey->letters) && survey->letters.has_o && !had_o) {
        survey->letter_o_line = number;
        survey->letter_o_word = from;
    }
}

static enum wp_status settle_order(struct reading *reading, const struct survey *survey,
                                   struct wp_diags *diags)
{
    const struct wp_mark open = {survey->open_line, 1};
    const struct wp_mark later = {survey->day_first_line > survey->month_first_line
                                      ? survey->day_first_line
                                      : survey->month_first_line,
                                  1};
    if (survey->day_first_line > 0 && survey->month_first_line > 0) {
        return wp_diags_add(diags, WP_E_SYNTAX, reading->source->name, later,
                            "write all dates as 2026-04-11",
                            "this date has day and month the other way round than one on line %d; "
                            "expected one order",
                            survey->day_first_line + survey->month_first_line - later.line);
    }
    if (survey->open_line > 0 && survey->day_first_line == 0 && survey->month_first_line == 0) {
        return wp_diags_add(diags, WP_E_AMBIGUOUS, reading->source->name, open,
                            "write ISO dates (2026-04-11), or include a day after the 12th",
                            "no date tells whether day or month comes first; expected at least one "
                            "number above 12");
    }
    reading->columns.rule.order = survey->day_first_line > 0     ? WP_ORDER_DAY_FIRST
                                  : survey->month_first_line > 0 ? WP_ORDER_MONTH_FIRST
                                                                 : WP_ORDER_UNKNOWN;
    return WP_OK;
}

static enum wp_status settle_letter_o(struct reading *reading, const struct survey *survey,
                                      struct wp_diags *diags)
{
    char word[8];
    reading->letter_o = wp_compass_decide(&survey->letters);
    if (!survey->letters.has_o || reading->letter_o != WP_O_UNKNOWN) {
        return WP_OK;
    }
    wp_slice_show(survey->letter_o_word, word, sizeof word);
    return wp_diags_add(
        diags, WP_E_AMBIGUOUS, reading->source->name, (struct wp_mark){survey->letter_o_line, 1},
        "write degrees, or N, NE, E, SE, S, SW, W, NW",
        "the O of direction '%s' may be east (Ost) or west (ouest, oeste); expected "
        "letters that tell",
        word);
}

/* A first pass over the rows, for what single rows cannot tell. */
static enum wp_status survey_rows(struct reading *reading, struct wp_diags *diags)
{
    struct survey survey = {0, 0, 0, 0, {"", 0}, {false, false, false}};
    struct wp_lines lines;
    struct wp_slice line;
    wp_lines_init(&lines, reading->source->text, reading->source->size);
    while (next_row(&reading->columns, &lines, &line)) {
        survey_row(&reading->columns, line, lines.number, &survey);
    }
    const enum wp_status status = settle_order(reading, &survey, diags);
    return status ? status : settle_letter_o(reading, &survey, diags);
}

static enum wp_status read_rows(struct reading *reading)
{
    struct wp_lines lines;
    struct wp_slice line;
    enum wp_status status = WP_OK;
    wp_lines_init(&lines, reading->source->text, reading->source->size);
    while (!status && next_row(&reading->columns, &lines, &line)) {
        status = read_row(reading, line, lines.number);
    }
    return status;
}

static void note_zone(const struct reading *reading, const struct wp_weather_config *config,
                      struct wp_weather *weather)
{
    if (reading->n_without_zone == 0 || reading->columns.has_zone) {
        return;
    }
    if (config->is_offset_given) {
        const int minutes = (int)lround(config->utc_offset_s / 60.0);
        wp_weather_note(weather, "times without a zone are taken at UTC%c%02d:%02d, as given",
                        minutes < 0 ? '-' : '+', abs(minutes) / 60, abs(minutes) % 60);
    } else {
        wp_weather_note(weather, "times without a zone are taken as UTC (--tz sets it)");
    }
}

/* What helps when the first rows are rejected for this reason. */
static const char *rejection_hint(enum wp_repair repair)
{
    switch (repair) {
    case WP_REPAIR_TOO_LONG:
        return "separate values with decimal commas by semicolons, or put them in quotes";
    case WP_REPAIR_TOO_SHORT:
        return "write as many values as headings";
    default:
        return "write times such as 2026-04-11T14:00:00Z";
    }
}

/* The most useful reason why no record has a wind speed. */
static enum wp_status report_nothing(const struct reading *reading, struct wp_diags *diags)
{
    const struct wp_tally *const tally = &reading->tally;
    const size_t n_rows = reading->rows.n_rows;
    int line = reading->columns.heading.first_row;
    const enum wp_repair rejected = wp_tally_first_rejected(tally, &line);
    if (rejected != WP_REPAIR_COUNT && wp_tally_rejected(tally) >= n_rows) {
        const size_t n = tally->count[rejected];
        return wp_diags_add(diags, WP_E_EMPTY, reading->source->name, (struct wp_mark){line, 1},
                            rejection_hint(rejected),
                            "no usable record: %zu line%s %s, this one first; expected a time and "
                            "a wind speed",
                            n, n == 1 ? "" : "s", wp_repair_text(rejected));
    }
    const bool is_text = tally->count[WP_REPAIR_SPEED_TEXT] > 0;
    if (is_text) {
        line = tally->line[WP_REPAIR_SPEED_TEXT][0];
    }
    return wp_diags_add(diags, WP_E_EMPTY, reading->source->name, (struct wp_mark){line, 1},
                        is_text ? "write bare numbers, and the unit in the heading"
                                : "look whether the right column is called wind speed",
                        "no usable record: of %zu line%s with a time none has a wind speed of 0 to "
                        "75 m/s; expected numbers",
                        n_rows, n_rows == 1 ? "" : "s");
}

/* One time in four twice, with other values: two stations in one file, which no 'last one counts'
 * sorts out. The hour that is repeated in autumn stays below. */
static enum wp_status check_one_station(const struct reading *reading, struct wp_diags *diags)
{
    const size_t n_replaced = reading->tally.count[WP_REPAIR_REPLACED];
    if (n_replaced <= 12 || 4 * n_replaced <= reading->rows.n_rows) {
        return WP_OK;
    }
    return wp_diags_add(diags, WP_E_AMBIGUOUS, reading->source->name,
                        (struct wp_mark){reading->tally.line[WP_REPAIR_REPLACED][0], 1},
                        "keep the lines of one station or sensor",
                        "%zu lines give other values for times that had some, this one first; "
                        "expected one station",
                        n_replaced);
}

static enum wp_status read_table(struct reading *reading, const struct wp_weather_config *config,
                                 struct wp_weather *weather, struct wp_diags *diags)
{
    enum wp_status status =
        wp_columns_find(reading->source, config, &reading->columns, weather, diags);
    if (status) {
        return status;
    }
    for (int meaning = WP_MEANS_STAMP; meaning <= WP_MEANS_SPEED; meaning++) {
        const size_t needed = (size_t)(reading->columns.of[meaning].index + 1);
        reading->n_needed = needed > reading->n_needed ? needed : reading->n_needed;
    }
    status = survey_rows(reading, diags);
    if (status) {
        return status;
    }
    status = read_rows(reading);
    if (!status) {
        status = wp_rows_finish(&reading->rows, &reading->tally, weather);
    }
    if (status) {
        return wp_diags_add(diags, status, reading->source->name, (struct wp_mark){0, 0}, NULL,
                            "not enough memory for the records");
    }
    if (weather->n_missing == weather->n_records) {
        return report_nothing(reading, diags);
    }
    status = check_one_station(reading, diags);
    if (status) {
        return status;
    }
    note_zone(reading, config, weather);
    wp_tally_write(&reading->tally, weather);
    weather->n_rejected = wp_tally_rejected(&reading->tally);
    return WP_OK;
}

enum wp_status wp_delimited_read(const struct wp_source *source,
                                 const struct wp_weather_config *config, struct wp_weather *weather,
                                 struct wp_diags *diags)
{
    struct reading reading;
    memset(&reading, 0, sizeof reading);
    reading.source = source;
    const enum wp_status status = read_table(&reading, config, weather, diags);
    wp_rows_free(&reading.rows);
    return status;
}
