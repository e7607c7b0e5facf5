/* SPDX-License-Identifier: MIT */
/*
 * Reads the text files of the National Data Buoy Center: standard meteorological data, and
 * continuous winds. NDBC, "Measurement Descriptions and Units" (columns, units, MM and nines for
 * missing values, UTC) and "What are continuous wind measurements?".
 */
#include <math.h>
#include <string.h>

#include "weather/calendar.h"
#include "weather/line_format.h"

enum column {
    YEAR,
    MONTH,
    DAY,
    HOUR,
    MINUTE,
    FROM,
    SPEED,
    GUST,
    GUST_TIME,
    PRESSURE,
    TEMPERATURE,
    N_COLUMNS,
};

/* The hour's strongest gust, which waits for the record of its time. */
struct hour_gust {
    double t_s; /* NAN: none waits */
    double gust_m_s;
};

struct state {
    bool has_heading;
    int index[N_COLUMNS]; /* -1: the file has none */
    bool is_continuous;
    struct hour_gust waiting;
};

/* Means of ten minutes in continuous winds; else of eight on buoys, of two on land. */
static const double continuous_s = 600.0;
static const double standard_s = 480.0;
static const double gust_s = 5.0; /* 5 or 8 s by the payload */

/* Headings of all years. Months and minutes differ in case only. */
static const char *const names[N_COLUMNS][4] = {[YEAR] = {"#YY", "YY", "YYYY", "#YYYY"},
                                                [MONTH] = {"MM"},
                                                [DAY] = {"DD"},
                                                [HOUR] = {"hh"},
                                                [MINUTE] = {"mm"},
                                                [FROM] = {"WDIR", "WD", "DIR"},
                                                [SPEED] = {"WSPD", "SPD"},
                                                [GUST] = {"GST", "GSP"},
                                                [GUST_TIME] = {"GTIME", "GMN"},
                                                [PRESSURE] = {"PRES", "BAR", "BARO"},
                                                [TEMPERATURE] = {"ATMP"}};

static bool is_word(struct wp_slice field, const char *word)
{
    return strlen(word) == field.length && memcmp(word, field.at, field.length) == 0;
}

static int find_column(const struct wp_slice *fields, size_t n, enum column column)
{
    for (size_t name = 0; name < 4 && names[column][name]; name++) {
        for (size_t i = 0; i < n; i++) {
            if (is_word(fields[i], names[column][name])) {
                return (int)i;
            }
        }
    }
    return -1;
}

static void describe_columns(struct wp_intake *intake, const struct wp_slice *fields)
{
    static const struct {
        enum column column;
        const char *meaning;
        enum wp_unit unit;
    } used[] = {{SPEED, "speed", WP_UNIT_M_S},
                {GUST, "gust", WP_UNIT_M_S},
                {FROM, "from", WP_UNIT_DEGREE},
                {TEMPERATURE, "temperature", WP_UNIT_CELSIUS},
                {PRESSURE, "pressure", WP_UNIT_HPA}};
    const struct state *const state = intake->state;
    wp_intake_describe(intake, "time", (struct wp_slice){"YY MM DD hh mm", 14}, WP_UNIT_NONE,
                       "UTC");
    for (size_t i = 0; i < sizeof used / sizeof used[0]; i++) {
        const int index = state->index[used[i].column];
        if (index >= 0) {
            wp_intake_describe(intake, used[i].meaning, fields[index], used[i].unit,
                               "by the format");
        }
    }
}

/* True when the line is a heading, with a year and a wind speed. */
static bool take_heading(struct wp_intake *intake, const struct wp_slice *fields, size_t n)
{
    struct state *const state = intake->state;
    if (find_column(fields, n, YEAR) != 0 || find_column(fields, n, SPEED) < 0) {
        return false;
    }
    if (state->has_heading) {
        return true;
    }
    for (int column = 0; column < N_COLUMNS; column++) {
        state->index[column] = find_column(fields, n, (enum column)column);
    }
    state->has_heading = true;
    state->waiting.t_s = NAN;
    state->is_continuous = state->index[GUST_TIME] >= 0;
    intake->weather->averaging_s = state->is_continuous ? continuous_s : standard_s;
    if (!state->is_continuous) {
        wp_weather_note(intake->weather, "means are taken as those of 8 minutes, as on buoys; land "
                                         "stations average over 2");
    }
    describe_columns(intake, fields);
    return true;
}

static struct wp_slice field_of(const struct state *state, enum column column,
                                const struct wp_slice *fields, size_t n)
{
    const int index = state->index[column];
    return index >= 0 && (size_t)index < n ? fields[index] : (struct wp_slice){"", 0};
}

/* A whole number from 0; -1: none. */
static int whole(struct wp_slice field)
{
    double number = 0.0;
    const bool is_whole = wp_number_read(field, &number) && number >= 0.0 && number <= 9999.0 &&
                          number == floor(number);
    return is_whole ? (int)number : -1;
}

/* NAN: no such time. Years of two digits end with 1998. */
static double time_of(const struct state *state, const struct wp_slice *fields, size_t n)
{
    const struct wp_slice year_field = field_of(state, YEAR, fields, n);
    const int year = whole(year_field);
    const struct wp_date date = {year >= 0 && year < 100 ? 1900 + year : year,
                                 whole(field_of(state, MONTH, fields, n)),
                                 whole(field_of(state, DAY, fields, n))};
    const int hour = whole(field_of(state, HOUR, fields, n));
    const int minute = state->index[MINUTE] >= 0 ? whole(field_of(state, MINUTE, fields, n)) : 0;
    if (!wp_date_is_valid(date) || hour < 0 || hour > 23 || minute < 0 || minute > 59) {
        return NAN;
    }
    return 86400.0 * (double)wp_date_to_days(date) + 3600.0 * hour + 60.0 * minute;
}

static bool is_in_record(double gust_time_s, double record_time_s)
{
    return gust_time_s > record_time_s - continuous_s && gust_time_s <= record_time_s;
}

/* Continuous winds give the strongest gust of an hour, with its time (hhmm): it goes to the record
 * that holds that time, before this one in the file or behind it. */
static void place_gust(struct wp_intake *intake, struct wp_slice time, struct wp_record *record)
{
    struct state *const state = intake->state;
    const int clock = whole(time);
    if (!isnan(record->gust_m_s) && clock >= 0 && clock / 100 < 24 && clock % 100 < 60) {
        double t_s =
            86400.0 * floor(record->t_s / 86400.0) + 3600.0 * (clock / 100) + 60.0 * (clock % 100);
        t_s -= t_s > record->t_s ? 86400.0 : 0.0;
        const struct hour_gust gust = {t_s, record->gust_m_s};
        state->waiting = gust;
    }
    record->gust_m_s = NAN;
    for (size_t i = intake->rows.n_rows; i > 0 && i + 8 > intake->rows.n_rows; i--) {
        struct wp_row *const earlier = &intake->rows.rows[i - 1];
        if (is_in_record(state->waiting.t_s, earlier->record.t_s)) {
            earlier->record.gust_m_s = state->waiting.gust_m_s;
            wp_record_repair(&earlier->record, &intake->tally, earlier->line);
            state->waiting.t_s = NAN;
        }
    }
    if (is_in_record(state->waiting.t_s, record->t_s)) {
        record->gust_m_s = state->waiting.gust_m_s;
        state->waiting.t_s = NAN;
    }
}

static enum wp_line_outcome read_row(struct wp_intake *intake, struct wp_slice line, int number,
                                     struct wp_record *record)
{
    struct state *const state = intake->state;
    struct wp_slice fields[WP_FIELDS_MAX];
    size_t n = wp_fields_split(line, ' ', fields, WP_FIELDS_MAX);
    n = n < WP_FIELDS_MAX ? n : WP_FIELDS_MAX;
    if (take_heading(intake, fields, n) || wp_line_is_comment(line)) {
        return WP_LINE_NOTHING;
    }
    if (!state->has_heading || n <= (size_t)state->index[SPEED]) {
        return wp_intake_reject(intake, WP_REPAIR_TOO_SHORT, number, line);
    }
    record->t_s = time_of(state, fields, n);
    if (isnan(record->t_s)) {
        return wp_intake_reject(intake, WP_REPAIR_NO_SUCH_TIME, number, line);
    }
    record->mean_m_s = wp_intake_value(intake, WP_MEANS_SPEED, WP_UNIT_M_S,
                                       field_of(state, SPEED, fields, n), number);
    record->gust_m_s = wp_intake_value(intake, WP_MEANS_GUST, WP_UNIT_M_S,
                                       field_of(state, GUST, fields, n), number);
    record->from_deg = wp_intake_value(intake, WP_MEANS_FROM, WP_UNIT_DEGREE,
                                       field_of(state, FROM, fields, n), number);
    record->temperature_c = wp_intake_value(intake, WP_MEANS_TEMPERATURE, WP_UNIT_CELSIUS,
                                            field_of(state, TEMPERATURE, fields, n), number);
    record->pressure_pa = wp_intake_value(intake, WP_MEANS_PRESSURE, WP_UNIT_HPA,
                                          field_of(state, PRESSURE, fields, n), number);
    if (state->is_continuous) {
        place_gust(intake, field_of(state, GUST_TIME, fields, n), record);
    }
    return WP_LINE_RECORD;
}

static void describe(struct wp_intake *intake)
{
    intake->has_even_lines = true;
    intake->zone_known = "UTC, as the format has it";
    intake->weather->gust_s = gust_s;
}

const struct wp_line_format *wp_ndbc_format(void)
{
    static const struct wp_line_format format = {"NDBC text", sizeof(struct state), read_row,
                                                 describe};
    return &format;
}
