/* SPDX-License-Identifier: MIT */
/* Reads wind speeds alone, one a line, in the given unit. */
#include "weather/line_format.h"

static enum wp_line_outcome read_speed(struct wp_intake *intake, struct wp_slice line, int number,
                                       struct wp_record *record)
{
    const char *why = "";
    if (wp_line_is_comment(line)) {
        return WP_LINE_NOTHING;
    }
    const enum wp_unit unit = wp_intake_speed_unit(intake, WP_UNIT_NONE, &why);
    record->mean_m_s = wp_intake_value(intake, WP_MEANS_SPEED, unit, wp_slice_trim(line), number);
    return WP_LINE_RECORD;
}

static void describe(struct wp_intake *intake)
{
    const char *why = "";
    const enum wp_unit unit = wp_intake_speed_unit(intake, WP_UNIT_NONE, &why);
    const bool is_given = intake->given_unit != WP_UNIT_NONE;
    wp_intake_describe(intake, "speed", (struct wp_slice){"number 1", 8}, unit,
                       is_given ? "given" : "assumed, nothing tells it");
    if (!is_given) {
        wp_weather_note(intake->weather, "bare numbers are taken as m/s (--unit sets it)");
    }
}

const struct wp_line_format *wp_bare_speed_format(void)
{
    static const struct wp_line_format format = {"wind speeds, one a line", 0, read_speed,
                                                 describe};
    return &format;
}
