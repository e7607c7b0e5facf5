/* SPDX-License-Identifier: MIT */
/*
 * Reads five-minute data of the Automated Surface Observing System: a fixed heading with the local
 * date, then a report like a METAR. NCDC data set 6401, documentation td6401b (from memory; the
 * layout checked against public readers of these files). ASOS User's Guide, 3.2.2: means of 2
 * minutes, gusts the strongest 3 s (until 2007 5 s) of the last 10 minutes.
 */
#include <math.h>
#include <string.h>

#include "weather/calendar.h"
#include "weather/line_format.h"
#include "weather/metar_record.h"

/* wban number, call sign, blank, identifier, yyyymmddhhmm ... */
enum { DATE_AT = 13, DATE_LENGTH = 8, HOUR_LENGTH = 12 };

static int digits(const char *at, int n)
{
    int number = 0;
    for (int i = 0; i < n; i++) {
        if (at[i] < '0' || at[i] > '9') {
            return -1;
        }
        number = 10 * number + (at[i] - '0');
    }
    return number;
}

/* Local time of the heading: less than a day from the report's own. NAN: none. */
static double local_time(struct wp_slice line)
{
    if (line.length < DATE_AT + HOUR_LENGTH) {
        return NAN;
    }
    const char *const at = line.at + DATE_AT;
    const struct wp_date date = {digits(at, 4), digits(at + 4, 2), digits(at + 6, 2)};
    const int hour = digits(at + DATE_LENGTH, 2);
    if (!wp_date_is_valid(date) || hour < 0) {
        return NAN;
    }
    return 86400.0 * (double)wp_date_to_days(date) + 3600.0 * hour;
}

static enum wp_line_outcome read_line(struct wp_intake *intake, struct wp_slice line, int number,
                                      struct wp_record *record)
{
    static const char mark[] = "5-MIN";
    struct wp_metar metar;
    const double near_s = local_time(line);
    const char *const at = wp_slice_find(line, mark);
    if (!at || isnan(near_s)) {
        return wp_intake_reject(intake, WP_REPAIR_FORM, number, line);
    }
    const char *const text = at + sizeof mark - 1;
    wp_metar_read((struct wp_slice){text, (size_t)(line.at + line.length - text)}, &metar);
    if (metar.is_nil) {
        return WP_LINE_NOTHING;
    }
    if (!wp_intake_station(intake, (struct wp_slice){"station", 7}, false, metar.station, number)) {
        return WP_LINE_NOTHING;
    }
    if (!metar.has_time || metar.hour > 23 || metar.minute > 59) {
        return wp_intake_reject(intake, WP_REPAIR_NO_TIME, number, line);
    }
    record->t_s = wp_metar_time_near(near_s, &metar);
    if (!(fabs(record->t_s - near_s) < 2.0 * 86400.0)) {
        return wp_intake_reject(intake, WP_REPAIR_NO_SUCH_TIME, number, line);
    }
    wp_metar_take(intake, &metar, number, record);
    return WP_LINE_RECORD;
}

static void describe(struct wp_intake *intake)
{
    static const struct wp_slice group = {"dddffGff", 8};
    intake->zone_known = "UTC, as the format has it";
    intake->weather->averaging_s = 120.0;
    intake->weather->gust_s = 3.0;
    intake->weather->gust_over_s = 600.0;
    wp_intake_describe(intake, "time", (struct wp_slice){"ddhhmmZ", 7}, WP_UNIT_NONE,
                       "UTC; year and month in front");
    wp_intake_describe(intake, "speed", group, WP_UNIT_NONE, "each group names its unit");
    wp_intake_describe(intake, "gust", group, WP_UNIT_NONE, "each group names its unit");
    wp_intake_describe(intake, "from", group, WP_UNIT_DEGREE, "by the format");
}

const struct wp_line_format *wp_asos_format(void)
{
    static const struct wp_line_format format = {"ASOS 5-minute text", 0, read_line, describe};
    return &format;
}
