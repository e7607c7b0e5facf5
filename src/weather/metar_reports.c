/* SPDX-License-Identifier: MIT */
/* Reads files of METAR and SPECI reports, one a line (WMO-No. 306, FM 15 and FM 16). */
#include <math.h>

#include "weather/calendar.h"
#include "weather/line_format.h"
#include "weather/metar_record.h"

/*
 * Means are those of 10 minutes and gusts the strongest 3 seconds within these (WMO-No. 8, part I,
 * chapter 5); in the United States means are those of 2 minutes (Federal Meteorological Handbook
 * No. 1; Air Force Manual 15-111, 7.4.1 to 7.4.3).
 */
static const double averaging_s = 600.0;
static const double us_averaging_s = 120.0;
static const double gust_s = 3.0;

/* Reports tell the day only: the month follows from a date nearby. */
struct state {
    double near_s;      /* the report before, or the date line above */
    bool is_near_known; /* near_s is set */
};

/* The latest such day that is not after the reference; a day's grace for clocks. */
static double time_before(double reference_s, const struct wp_metar *metar)
{
    struct wp_date date = wp_date_at(reference_s);
    for (int step = 0; step < 12; step++) {
        const double t_s = wp_metar_time_in(date.year, date.month, metar);
        if (t_s <= reference_s + 86400.0) {
            return t_s;
        }
        date.month--;
        if (date.month == 0) {
            date.month = 12;
            date.year--;
        }
    }
    return NAN;
}

static void tell_month(struct wp_intake *intake, double t_s, const char *why)
{
    const struct wp_date date = wp_date_at(t_s);
    wp_weather_note(intake->weather,
                    "the reports tell the day only: year and month of the first one, %04d-%02d, "
                    "are %s",
                    date.year, date.month, why);
}

/* The first report's time: by what the user says, or by the date of the file. */
static double first_time(struct wp_intake *intake, const struct wp_metar *metar, int number)
{
    const struct wp_weather_config *const config = intake->config;
    const bool has_reference = isfinite(config->reference_s) && fabs(config->reference_s) < 2e11;
    if (config->year > 0 && config->month > 0) {
        return wp_metar_time_in(config->year, config->month, metar);
    }
    double t_s = NAN;
    if (has_reference) {
        t_s = time_before(config->reference_s, metar);
        if (config->year == 0 || wp_date_at(t_s).year == config->year) {
            tell_month(intake, t_s, "those of the file's date (--year 2026-11 sets them)");
            return t_s;
        }
    }
    (void)wp_intake_fail(intake, WP_E_MISSING, number, "give both with --year, as 2026-11",
                         "METAR reports tell the day only; expected a year and a month");
    return NAN;
}

static bool is_time_possible(const struct wp_metar *metar)
{
    return metar->has_time && metar->day >= 1 && metar->day <= 31 && metar->hour <= 23 &&
           metar->minute <= 59;
}

/* False: rejected, or the reading ends. */
static bool place(struct wp_intake *intake, const struct wp_metar *metar, struct wp_slice line,
                  int number, double *t_s)
{
    struct state *const state = intake->state;
    if (!is_time_possible(metar)) {
        (void)wp_intake_reject(intake, metar->has_time ? WP_REPAIR_NO_SUCH_TIME : WP_REPAIR_FORM,
                               number, line);
        return false;
    }
    *t_s = state->is_near_known ? wp_metar_time_near(state->near_s, metar)
                                : first_time(intake, metar, number);
    if (intake->status) {
        return false;
    }
    if (isnan(*t_s)) {
        (void)wp_intake_reject(intake, WP_REPAIR_NO_SUCH_TIME, number, line);
        return false;
    }
    state->near_s = *t_s;
    state->is_near_known = true;
    return true;
}

/* "2026/11/25 06:00" above a report, "202611250600" in front of it: the date, whole. */
static bool take_date(struct wp_intake *intake, struct wp_slice *line)
{
    struct state *const state = intake->state;
    const struct wp_stamp_rule rule = {.order = WP_ORDER_UNKNOWN};
    struct wp_slice words[2];
    struct wp_stamp stamp;
    const size_t n = wp_fields_split(*line, ' ', words, 2);
    const bool is_whole = n == 2 && !wp_stamp_read(*line, &rule, &stamp);
    if (!is_whole && (n < 2 || words[0].length < 10 || wp_stamp_read(words[0], &rule, &stamp))) {
        return false;
    }
    state->near_s = stamp.t_s;
    state->is_near_known = true;
    line->length = is_whole ? 0 : (size_t)(line->at + line->length - words[1].at);
    line->at = is_whole ? line->at : words[1].at;
    return true;
}

/* United States stations begin with K and average over 2 minutes. */
static void tell_averaging(struct wp_intake *intake, struct wp_slice station)
{
    const bool is_us = station.length > 0 && station.at[0] == 'K';
    intake->weather->gust_over_s = averaging_s;
    if (intake->weather->averaging_s == 0.0) { /* the first report's: strays do not change it */
        intake->weather->averaging_s = is_us ? us_averaging_s : averaging_s;
    }
}

static enum wp_line_outcome read_report(struct wp_intake *intake, struct wp_slice line, int number,
                                        struct wp_record *record)
{
    struct wp_metar metar;
    const struct wp_slice whole = wp_slice_trim(line);
    line = whole;
    if (wp_line_is_comment(line)) {
        return WP_LINE_NOTHING;
    }
    const bool has_date = take_date(intake, &line);
    if (has_date && line.length == 0) {
        return WP_LINE_NOTHING;
    }
    wp_metar_read(line, &metar);
    if (metar.is_nil || (!metar.has_time && metar.wind_is == WP_METAR_NONE)) {
        return WP_LINE_NOTHING; /* no report, a report's second line, a bulletin's heading */
    }
    if (!wp_intake_station(intake, (struct wp_slice){"station", 7}, false, metar.station, number)) {
        return WP_LINE_NOTHING;
    }
    if (!place(intake, &metar, whole, number, &record->t_s)) {
        return WP_LINE_REJECTED;
    }
    wp_metar_take(intake, &metar, number, record);
    tell_averaging(intake, metar.station);
    return WP_LINE_RECORD;
}

static void describe(struct wp_intake *intake)
{
    intake->zone_known = "UTC, as the format has it";
    intake->takes_strays = true;
    intake->weather->gust_s = gust_s;
    static const struct wp_slice group = {"dddffGff", 8};
    wp_intake_describe(intake, "time", (struct wp_slice){"ddhhmmZ", 7}, WP_UNIT_NONE, "UTC");
    wp_intake_describe(intake, "speed", group, WP_UNIT_NONE, "each group names its unit");
    wp_intake_describe(intake, "gust", group, WP_UNIT_NONE, "each group names its unit");
    wp_intake_describe(intake, "from", group, WP_UNIT_DEGREE, "by the format");
    wp_intake_describe(intake, "temperature", (struct wp_slice){"TT/TT", 5}, WP_UNIT_CELSIUS,
                       "by the format");
    wp_intake_describe(intake, "pressure", (struct wp_slice){"Qpppp or Apppp", 14}, WP_UNIT_NONE,
                       "Q: hPa, A: hundredths of inHg");
}

const struct wp_line_format *wp_metar_format(void)
{
    static const struct wp_line_format format = {"METAR reports", sizeof(struct state), read_report,
                                                 describe};
    return &format;
}
