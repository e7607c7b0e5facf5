/* SPDX-License-Identifier: MIT */
/*
 * Reads hourly text of national services in whole tenths, with the headings STN, YYYYMMDD, HH, DD,
 * FH, FF, FX, T, P in a comment. As in Koninklijk Nederlands Meteorologisch Instituut, hourly data
 * of stations (from memory): HH 1 to 24 is the hour's end in UTC; FH the hour's mean, FF that of
 * its last ten minutes, FX its strongest gust, in 0.1 m/s; DD 0 calm, 990 variable; T in 0.1 degree
 * Celsius; P in 0.1 hPa.
 */
#include <math.h>
#include <string.h>

#include "weather/calendar.h"
#include "weather/line_format.h"

enum column { STATION, DATE, HOUR, FROM, MEAN, LAST_MEAN, GUST, TEMPERATURE, PRESSURE, N_COLUMNS };

struct state {
    bool has_heading;
    int index[N_COLUMNS]; /* -1: the file has none */
};

static const char *const names[N_COLUMNS] = {"STN", "YYYYMMDD", "HH", "DD", "FH",
                                             "FF",  "FX",       "T",  "P"};

/* True for the line of headings, comment or not. */
static bool take_heading(struct wp_intake *intake, const struct wp_slice *fields, size_t n)
{
    static const char *const meanings[N_COLUMNS] = {NULL, "time", "time",        "from",    "speed",
                                                    NULL, "gust", "temperature", "pressure"};
    static const enum wp_unit units[N_COLUMNS] = {WP_UNIT_NONE,   WP_UNIT_NONE,    WP_UNIT_NONE,
                                                  WP_UNIT_DEGREE, WP_UNIT_M_S,     WP_UNIT_NONE,
                                                  WP_UNIT_M_S,    WP_UNIT_CELSIUS, WP_UNIT_HPA};
    struct state *const state = intake->state;
    int found[N_COLUMNS];
    for (int column = 0; column < N_COLUMNS; column++) {
        found[column] = -1;
        for (size_t i = 0; i < n; i++) {
            const bool is_hour = column == HOUR && wp_slice_is(fields[i], "H");
            if (wp_slice_is(fields[i], names[column]) || is_hour) {
                found[column] = (int)i;
            }
        }
    }
    if (found[DATE] < 0 || found[HOUR] < 0 || (found[MEAN] < 0 && found[LAST_MEAN] < 0)) {
        return false;
    }
    found[MEAN] = found[MEAN] >= 0 ? found[MEAN] : found[LAST_MEAN];
    memcpy(state->index, found, sizeof found);
    state->has_heading = true;
    for (int column = 0; column < N_COLUMNS; column++) {
        if (found[column] >= 0 && meanings[column]) {
            wp_intake_describe(intake, meanings[column], fields[found[column]], units[column],
                               column <= HOUR   ? "UTC, the hour's end"
                               : column == FROM ? "by the format"
                                                : "tenths, by the format");
        }
    }
    return true;
}

/* Tenths; blank is missing. */
static double read_tenths(struct wp_intake *intake, enum wp_meaning meaning, enum wp_unit unit,
                          struct wp_slice field, int line)
{
    double tenths = 0.0;
    if (!wp_number_read(field, &tenths)) {
        return wp_intake_value(intake, meaning, unit, field, line);
    }
    return wp_intake_number(intake, meaning, unit, tenths / 10.0, field, line);
}

static struct wp_slice field_of(const struct state *state, enum column column,
                                const struct wp_slice *fields, size_t n)
{
    const int index = state->index[column];
    return index >= 0 && (size_t)index < n ? fields[index] : (struct wp_slice){"", 0};
}

static bool read_time(const struct state *state, const struct wp_slice *fields, size_t n,
                      double *t_s)
{
    double packed = 0.0;
    double hour = 0.0;
    if (!wp_number_read(field_of(state, DATE, fields, n), &packed) ||
        !wp_number_read(field_of(state, HOUR, fields, n), &hour) ||
        !(packed >= 1e7 && packed < 1e8) || !(hour >= 0.0 && hour <= 24.0)) {
        return false;
    }
    const int whole = (int)packed;
    const struct wp_date date = {whole / 10000, whole / 100 % 100, whole % 100};
    if (!wp_date_is_valid(date)) {
        return false;
    }
    *t_s = 86400.0 * (double)wp_date_to_days(date) + 3600.0 * hour;
    return true;
}

static enum wp_line_outcome read_row(struct wp_intake *intake, struct wp_slice line, int number,
                                     struct wp_record *record)
{
    const struct state *const state = intake->state;
    struct wp_slice fields[WP_FIELDS_MAX];
    const bool is_comment = wp_line_is_comment(line);
    struct wp_slice text = wp_slice_trim(line);
    text.at += is_comment;
    text.length -= is_comment;
    size_t n = wp_fields_split(text, ',', fields, WP_FIELDS_MAX);
    n = n < WP_FIELDS_MAX ? n : WP_FIELDS_MAX;
    if (take_heading(intake, fields, n) || is_comment || !state->has_heading) {
        return WP_LINE_NOTHING;
    }
    if (!wp_intake_station(intake, (struct wp_slice){"STN", 3}, false,
                           field_of(state, STATION, fields, n), number)) {
        return WP_LINE_NOTHING;
    }
    if (!read_time(state, fields, n, &record->t_s)) {
        return wp_intake_reject(intake, WP_REPAIR_NO_TIME, number, line);
    }
    const struct wp_slice from = field_of(state, FROM, fields, n);
    record->mean_m_s =
        read_tenths(intake, WP_MEANS_SPEED, WP_UNIT_M_S, field_of(state, MEAN, fields, n), number);
    record->gust_m_s =
        read_tenths(intake, WP_MEANS_GUST, WP_UNIT_M_S, field_of(state, GUST, fields, n), number);
    if (!wp_slice_is(from, "990") && !wp_slice_is(from, "0")) {
        record->from_deg = wp_intake_value(intake, WP_MEANS_FROM, WP_UNIT_DEGREE, from, number);
    }
    record->temperature_c = read_tenths(intake, WP_MEANS_TEMPERATURE, WP_UNIT_CELSIUS,
                                        field_of(state, TEMPERATURE, fields, n), number);
    record->pressure_pa = read_tenths(intake, WP_MEANS_PRESSURE, WP_UNIT_HPA,
                                      field_of(state, PRESSURE, fields, n), number);
    return WP_LINE_RECORD;
}

static void describe(struct wp_intake *intake)
{
    intake->has_even_lines = true;
    intake->zone_known = "UTC, as the format has it";
    intake->weather->averaging_s = 3600.0;
    intake->weather->gust_s = 3.0;
}

const struct wp_line_format *wp_hourly_format(void)
{
    static const struct wp_line_format format = {"agency hourly text", sizeof(struct state),
                                                 read_row, describe};
    return &format;
}
