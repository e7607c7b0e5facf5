/* SPDX-License-Identifier: MIT */
/*
 * Reads EPW, the weather files of building simulation: eight lines of heading, then 35 values an
 * hour or less. U.S. Department of Energy, EnergyPlus Auxiliary Programs, "EnergyPlus Weather File
 * (EPW) Data Dictionary": N1 to N5 the time in the local standard time that LOCATION names, hours 1
 * to 24; N20 direction (999 missing), N21 speed in m/s (999 missing), N6 temperature (99.9), N9 the
 * station's pressure in Pa (999999).
 */
#include <math.h>

#include "weather/calendar.h"
#include "weather/line_format.h"

enum field {
    YEAR,
    MONTH,
    DAY,
    HOUR,
    MINUTE,
    TEMPERATURE = 6,
    PRESSURE = 9,
    FROM = 20,
    SPEED = 21,
    LEAST = 22,
    ZONE = 8 /* of the line LOCATION */
};

struct state {
    double zone_s;
    int first_year;
};

static bool read_whole(struct wp_slice field, int *number)
{
    double value = 0.0;
    if (!wp_number_read(field, &value) || !(value >= 0.0 && value <= 9999.0) ||
        value != floor(value)) {
        return false;
    }
    *number = (int)value;
    return true;
}

static enum wp_line_outcome read_location(struct wp_intake *intake, const struct wp_slice *fields,
                                          size_t n, int line)
{
    struct state *const state = intake->state;
    double hours = 0.0;
    if (n <= ZONE || !wp_number_read(fields[ZONE], &hours) || !(fabs(hours) <= 14.0)) {
        return wp_intake_fail(intake, WP_E_SYNTAX, line, NULL,
                              "LOCATION names no time zone; expected hours from UTC in its ninth "
                              "field");
    }
    state->zone_s = 3600.0 * hours;
    return WP_LINE_NOTHING;
}

/* Typical years are made of months from different years: only the user can say which to call it. */
static bool settle_year(struct wp_intake *intake, int *year, int line)
{
    struct state *const state = intake->state;
    if (intake->config->year > 0) {
        *year = intake->config->year;
        return true;
    }
    state->first_year = state->first_year > 0 ? state->first_year : *year;
    if (*year == state->first_year) {
        return true;
    }
    (void)wp_intake_fail(intake, WP_E_AMBIGUOUS, line, "give the year to take it for: --year 2026",
                         "the months come from different years (%d, %d): a typical year; expected "
                         "one year",
                         state->first_year, *year);
    return false;
}

/* Hour 1 runs to 01:00; a minute of 0 or 60 is the end of the hour. */
static bool read_time(struct wp_intake *intake, const struct wp_slice *fields, int line,
                      double *t_s)
{
    const struct state *const state = intake->state;
    int time[MINUTE + 1] = {0};
    for (int i = YEAR; i <= MINUTE; i++) {
        if (!read_whole(fields[i], &time[i])) {
            (void)wp_intake_reject(intake, WP_REPAIR_NO_TIME, line, fields[i]);
            return false;
        }
    }
    if (!settle_year(intake, &time[YEAR], line)) {
        return false;
    }
    const struct wp_date date = {time[YEAR], time[MONTH], time[DAY]};
    if (!wp_date_is_valid(date) || time[HOUR] < 1 || time[HOUR] > 24 || time[MINUTE] > 60) {
        (void)wp_intake_reject(intake, WP_REPAIR_NO_SUCH_TIME, line, fields[HOUR]);
        return false;
    }
    const int minute = time[MINUTE] == 0 ? 60 : time[MINUTE];
    *t_s = 86400.0 * (double)wp_date_to_days(date) + 3600.0 * (time[HOUR] - 1) + 60.0 * minute -
           state->zone_s;
    return true;
}

static enum wp_line_outcome read_row(struct wp_intake *intake, struct wp_slice line, int number,
                                     struct wp_record *record)
{
    struct wp_slice fields[36];
    int year = 0;
    size_t n = wp_fields_split(line, ',', fields, 36);
    n = n < 36 ? n : 36;
    if (wp_slice_is(fields[0], "LOCATION")) {
        return read_location(intake, fields, n, number);
    }
    if (!read_whole(fields[0], &year)) {
        return WP_LINE_NOTHING; /* the rest of the heading */
    }
    if (n < LEAST) {
        return wp_intake_reject(intake, WP_REPAIR_TOO_SHORT, number, line);
    }
    if (!read_time(intake, fields, number, &record->t_s)) {
        return WP_LINE_REJECTED;
    }
    record->mean_m_s = wp_intake_value(intake, WP_MEANS_SPEED, WP_UNIT_M_S, fields[SPEED], number);
    record->from_deg = wp_intake_value(intake, WP_MEANS_FROM, WP_UNIT_DEGREE, fields[FROM], number);
    record->temperature_c =
        wp_intake_value(intake, WP_MEANS_TEMPERATURE, WP_UNIT_CELSIUS, fields[TEMPERATURE], number);
    record->pressure_pa =
        wp_intake_value(intake, WP_MEANS_PRESSURE, WP_UNIT_PA, fields[PRESSURE], number);
    return WP_LINE_RECORD;
}

static void describe(struct wp_intake *intake)
{
    intake->has_even_lines = true;
    intake->zone_known = "local standard time, told by LOCATION";
    wp_intake_describe(intake, "time", (struct wp_slice){"N1 to N5", 8}, WP_UNIT_NONE,
                       "zone of LOCATION");
    wp_intake_describe(intake, "speed", (struct wp_slice){"N21", 3}, WP_UNIT_M_S, "by the format");
    wp_intake_describe(intake, "from", (struct wp_slice){"N20", 3}, WP_UNIT_DEGREE,
                       "by the format");
    wp_intake_describe(intake, "temperature", (struct wp_slice){"N6", 2}, WP_UNIT_CELSIUS,
                       "by the format");
    wp_intake_describe(intake, "pressure", (struct wp_slice){"N9", 2}, WP_UNIT_PA, "by the format");
}

const struct wp_line_format *wp_epw_format(void)
{
    static const struct wp_line_format format = {"EPW", sizeof(struct state), read_row, describe};
    return &format;
}
