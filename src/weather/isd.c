/* SPDX-License-Identifier: MIT */
/*
 * Reads NOAA's global hourly data as CSV: the groups WND, OC1, TMP and SLP of the Integrated
 * Surface Database, each a quoted list. NCEI and U.S. Air Force 14th Weather Squadron, "Federal
 * Climate Complex Data Documentation for Integrated Surface Data" (2018), mandatory data section.
 */
#include <math.h>
#include <string.h>

#include "weather/line_format.h"

enum column { STATION, DATE, TYPE, WIND, GUST, TEMPERATURE, PRESSURE, N_COLUMNS };

struct state {
    bool has_heading;
    int index[N_COLUMNS]; /* -1: the file has none */
};

enum { PARTS_MAX = 5 };

static const char *const names[N_COLUMNS] = {"STATION", "DATE", "REPORT_TYPE", "WND",
                                             "OC1",     "TMP",  "SLP"};

static void take_heading(struct wp_intake *intake, const struct wp_slice *fields, size_t n)
{
    static const char *const meanings[N_COLUMNS] = {NULL,   "time",        NULL,      "speed",
                                                    "gust", "temperature", "pressure"};
    static const enum wp_unit units[N_COLUMNS] = {WP_UNIT_NONE, WP_UNIT_NONE, WP_UNIT_NONE,
                                                  WP_UNIT_M_S,  WP_UNIT_M_S,  WP_UNIT_CELSIUS,
                                                  WP_UNIT_HPA};
    struct state *const state = intake->state;
    state->has_heading = true;
    for (int column = 0; column < N_COLUMNS; column++) {
        state->index[column] = -1;
        for (size_t i = 0; i < n; i++) {
            if (wp_slice_is(fields[i], names[column])) {
                state->index[column] = (int)i;
            }
        }
        if (state->index[column] >= 0 && meanings[column]) {
            wp_intake_describe(intake, meanings[column], fields[state->index[column]],
                               units[column], column == DATE ? "UTC" : "tenths, by the format");
        }
    }
    if (state->index[WIND] >= 0) {
        wp_intake_describe(intake, "from", fields[state->index[WIND]], WP_UNIT_DEGREE,
                           "by the format");
    }
    if (state->index[DATE] < 0 || state->index[WIND] < 0) {
        (void)wp_intake_fail(intake, WP_E_MISSING, 1, "keep the columns DATE and WND",
                             "no columns DATE and WND; expected both");
    }
}

/* Parts of a group; none when the file has no such column or the field is empty. */
static size_t split(const struct state *state, enum column column, const struct wp_slice *fields,
                    size_t n_fields, struct wp_slice parts[PARTS_MAX])
{
    const int index = state->index[column];
    if (index < 0 || (size_t)index >= n_fields || fields[index].length == 0) {
        return 0;
    }
    const size_t n = wp_fields_split(fields[index], ',', parts, PARTS_MAX);
    return n < PARTS_MAX ? n : PARTS_MAX;
}

/* Quality codes 2 and 6: suspect; 3 and 7: erroneous. */
static bool is_suspect(struct wp_slice code)
{
    return wp_slice_is(code, "2") || wp_slice_is(code, "3") || wp_slice_is(code, "6") ||
           wp_slice_is(code, "7");
}

/* A value in tenths with its quality code. */
static double read_tenths(struct wp_intake *intake, enum wp_meaning meaning, enum wp_unit unit,
                          const struct wp_slice *value, const struct wp_slice *code, int line)
{
    double tenths = 0.0;
    struct wp_slice digits = *value;
    if (digits.length > 0 && digits.at[0] == '+') {
        digits.at++;
        digits.length--;
    }
    if (wp_field_is_code(digits) && digits.length >= 4) {
        return NAN;
    }
    if (is_suspect(*code)) {
        wp_tally_add(&intake->tally, WP_REPAIR_SUSPECT, line, *value);
        return NAN;
    }
    if (!wp_number_read(digits, &tenths)) {
        return wp_intake_value(intake, meaning, unit, *value, line);
    }
    return wp_intake_number(intake, meaning, unit, tenths / 10.0, *value, line);
}

/* WND: direction, code, type, tenths of m/s, code. Types: C calm, V variable, N normal, 9 missing
 * (with a speed of 0000: calm). */
static void read_wind(struct wp_intake *intake, const struct wp_slice *parts, int line,
                      struct wp_record *record)
{
    record->mean_m_s = read_tenths(intake, WP_MEANS_SPEED, WP_UNIT_M_S, &parts[3], &parts[4], line);
    if (wp_slice_is(parts[2], "V") || wp_slice_is(parts[0], "999")) {
        return;
    }
    if (is_suspect(parts[1])) {
        wp_tally_add(&intake->tally, WP_REPAIR_SUSPECT, line, parts[0]);
        return;
    }
    record->from_deg = wp_intake_value(intake, WP_MEANS_FROM, WP_UNIT_DEGREE, parts[0], line);
}

static enum wp_line_outcome read_row(struct wp_intake *intake, struct wp_slice line, int number,
                                     struct wp_record *record)
{
    const struct state *const state = intake->state;
    struct wp_slice fields[WP_FIELDS_MAX];
    struct wp_slice parts[PARTS_MAX];
    size_t n = wp_fields_split(line, ',', fields, WP_FIELDS_MAX);
    n = n < WP_FIELDS_MAX ? n : WP_FIELDS_MAX;
    if (!state->has_heading) {
        take_heading(intake, fields, n);
        return WP_LINE_NOTHING;
    }
    const int type = state->index[TYPE];
    if (type >= 0 && (size_t)type < n && fields[type].length > 2 && fields[type].at[0] == 'S' &&
        fields[type].at[1] == 'O') {
        return WP_LINE_NOTHING; /* summaries of days and months */
    }
    if ((size_t)state->index[DATE] >= n || (size_t)state->index[WIND] >= n) {
        return wp_intake_reject(intake, WP_REPAIR_TOO_SHORT, number, line);
    }
    const int station = state->index[STATION];
    if (station >= 0 && (size_t)station < n &&
        !wp_intake_station(intake, (struct wp_slice){names[STATION], strlen(names[STATION])}, false,
                           fields[station], number)) {
        return WP_LINE_NOTHING;
    }
    const struct wp_stamp_rule rule = {.order = WP_ORDER_UNKNOWN};
    if (!wp_intake_time(intake, &rule, fields[state->index[DATE]], number, &record->t_s)) {
        return WP_LINE_REJECTED;
    }
    if (split(state, WIND, fields, n, parts) == PARTS_MAX) {
        read_wind(intake, parts, number, record);
    } else {
        wp_tally_add(&intake->tally, WP_REPAIR_SPEED_TEXT, number, fields[state->index[WIND]]);
    }
    if (split(state, GUST, fields, n, parts) >= 2) {
        record->gust_m_s =
            read_tenths(intake, WP_MEANS_GUST, WP_UNIT_M_S, &parts[0], &parts[1], number);
    }
    if (split(state, TEMPERATURE, fields, n, parts) >= 2) {
        record->temperature_c = read_tenths(intake, WP_MEANS_TEMPERATURE, WP_UNIT_CELSIUS,
                                            &parts[0], &parts[1], number);
    }
    if (split(state, PRESSURE, fields, n, parts) >= 2) {
        record->pressure_pa =
            read_tenths(intake, WP_MEANS_PRESSURE, WP_UNIT_HPA, &parts[0], &parts[1], number);
    }
    return WP_LINE_RECORD;
}

static void describe(struct wp_intake *intake)
{
    intake->has_even_lines = true;
    intake->zone_known = "UTC, as the format has it";
}

const struct wp_line_format *wp_isd_format(void)
{
    static const struct wp_line_format format = {"NOAA ISD, CSV", sizeof(struct state), read_row,
                                                 describe};
    return &format;
}
