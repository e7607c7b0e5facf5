/* SPDX-License-Identifier: MIT */
/*
 * Reads ISD-Lite, NOAA's hourly data in twelve columns of numbers. NCDC, "Integrated Surface Data -
 * Lite Format Documentation" (June 20, 2006): tenths of degrees Celsius, hectopascals and m/s;
 * -9999 missing; direction 0 in calm; UTC; times rounded to the hour.
 */
#include <math.h>

#include "weather/calendar.h"
#include "weather/line_format.h"

enum column { YEAR, MONTH, DAY, HOUR, TEMPERATURE, DEW_POINT, PRESSURE, FROM, SPEED, LEAST = 9 };

static bool read_whole(struct wp_slice field, int *number)
{
    double value = 0.0;
    if (!wp_number_read(field, &value) || !(fabs(value) < 1e6) || value != floor(value)) {
        return false;
    }
    *number = (int)value;
    return true;
}

static double read_tenths(struct wp_intake *intake, enum wp_meaning meaning, enum wp_unit unit,
                          struct wp_slice field, int line)
{
    int tenths = 0;
    if (!read_whole(field, &tenths)) {
        return wp_intake_value(intake, meaning, unit, field, line);
    }
    return tenths == -9999 ? (double)NAN
                           : wp_intake_number(intake, meaning, unit, tenths / 10.0, field, line);
}

static enum wp_line_outcome read_row(struct wp_intake *intake, struct wp_slice line, int number,
                                     struct wp_record *record)
{
    struct wp_slice fields[12];
    int time[HOUR + 1] = {0};
    const size_t n = wp_fields_split(line, ' ', fields, 12);
    if (n < LEAST) {
        return wp_intake_reject(intake, WP_REPAIR_TOO_SHORT, number, line);
    }
    for (int i = YEAR; i <= HOUR; i++) {
        if (!read_whole(fields[i], &time[i])) {
            return wp_intake_reject(intake, WP_REPAIR_NO_TIME, number, fields[i]);
        }
    }
    const struct wp_date date = {time[YEAR], time[MONTH], time[DAY]};
    if (!wp_date_is_valid(date) || time[HOUR] < 0 || time[HOUR] > 23) {
        return wp_intake_reject(intake, WP_REPAIR_NO_SUCH_TIME, number, line);
    }
    record->t_s = 86400.0 * (double)wp_date_to_days(date) + 3600.0 * time[HOUR];
    record->mean_m_s = read_tenths(intake, WP_MEANS_SPEED, WP_UNIT_M_S, fields[SPEED], number);
    if (!wp_slice_is(fields[FROM], "-9999")) {
        record->from_deg =
            wp_intake_value(intake, WP_MEANS_FROM, WP_UNIT_DEGREE, fields[FROM], number);
    }
    record->temperature_c =
        read_tenths(intake, WP_MEANS_TEMPERATURE, WP_UNIT_CELSIUS, fields[TEMPERATURE], number);
    record->pressure_pa =
        read_tenths(intake, WP_MEANS_PRESSURE, WP_UNIT_HPA, fields[PRESSURE], number);
    return WP_LINE_RECORD;
}

static void describe(struct wp_intake *intake)
{
    intake->has_even_lines = true;
    intake->zone_known = "UTC, as the format has it";
    wp_intake_describe(intake, "time", (struct wp_slice){"numbers 1 to 4", 14}, WP_UNIT_NONE,
                       "UTC, to the hour");
    wp_intake_describe(intake, "speed", (struct wp_slice){"number 9", 8}, WP_UNIT_M_S,
                       "tenths, by the format");
    wp_intake_describe(intake, "from", (struct wp_slice){"number 8", 8}, WP_UNIT_DEGREE,
                       "by the format");
    wp_intake_describe(intake, "temperature", (struct wp_slice){"number 5", 8}, WP_UNIT_CELSIUS,
                       "tenths, by the format");
    wp_intake_describe(intake, "pressure", (struct wp_slice){"number 7", 8}, WP_UNIT_HPA,
                       "tenths, by the format");
}

const struct wp_line_format *wp_isd_lite_format(void)
{
    static const struct wp_line_format format = {"NOAA ISD-Lite", 0, read_row, describe};
    return &format;
}
