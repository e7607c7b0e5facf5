/* SPDX-License-Identifier: MIT */
/* What all readers share: checked values, gathered records, the sum of what was wrong. */
#include "weather/intake.h"

#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "weather/clock_change.h"

/* What a value may be, in SI units, and how its faults are counted. */
struct kind {
    double least;
    double most;
    enum wp_repair if_text;
    enum wp_repair if_outside;
    bool is_scaled;
};

/* Limits are what no station reports that chimes hang beside. Air: -89.2 and 56.7 degrees Celsius
 * are the extremes of WMO's archive (from memory); pressure from a high mountain's to more than any
 * at sea level. */
static const struct kind kinds[WP_MEANING_COUNT] = {
    [WP_MEANS_SPEED] = {0.0, 75.0, WP_REPAIR_SPEED_TEXT, WP_REPAIR_SPEED_RANGE, true},
    [WP_MEANS_GUST] = {0.0, 75.0, WP_REPAIR_GUST_TEXT, WP_REPAIR_GUST_RANGE, true},
    [WP_MEANS_FROM] = {0.0, 360.0, WP_REPAIR_FROM_TEXT, WP_REPAIR_FROM_RANGE, false},
    [WP_MEANS_TEMPERATURE] = {-90.0, 60.0, WP_REPAIR_TEMPERATURE, WP_REPAIR_TEMPERATURE, false},
    [WP_MEANS_PRESSURE] = {3e4, 1.1e5, WP_REPAIR_PRESSURE, WP_REPAIR_PRESSURE, false},
};

static enum wp_status read_given_unit(struct wp_intake *intake)
{
    const char *const unit = intake->config->unit;
    if (!unit) {
        return WP_OK;
    }
    intake->given_unit = wp_heading_unit((struct wp_slice){unit, strlen(unit)});
    if (wp_unit_is_speed(intake->given_unit)) {
        return WP_OK;
    }
    return wp_diags_add(intake->diags, WP_E_UNIT, NULL, (struct wp_mark){0, 0}, NULL,
                        "'%.40s' is no unit of wind speed; expected m/s, km/h, mph, kt, ft/s, cm/s "
                        "or Bft",
                        unit);
}

/* Lines that readers do not get to see. */
static void count_broken(struct wp_intake *intake)
{
    struct wp_lines lines;
    int column = 0;
    wp_lines_init(&lines, intake->source.text, intake->source.size);
    while (wp_lines_next_broken(&lines, &column)) {
        char found[24];
        const int length = snprintf(found, sizeof found, "column %d", column);
        wp_tally_add(&intake->tally, WP_REPAIR_ZERO, lines.number,
                     (struct wp_slice){found, (size_t)length});
    }
}

/* A row for each line, where there are many: most lines of a file are records. */
static void make_room(struct wp_intake *intake)
{
    enum { FEW = 1 << 12, MANY = 1 << 22 };
    const char *at = intake->source.text;
    const char *const end = at + intake->source.size;
    size_t n = 1;
    while (n < MANY && (at = memchr(at, '\n', (size_t)(end - at))) != NULL) {
        at++;
        n++;
    }
    if (n > FEW) {
        wp_rows_reserve(&intake->rows, n);
    }
}

enum wp_status wp_intake_init(struct wp_intake *intake, const struct wp_source *source,
                              const struct wp_weather_config *config, struct wp_weather *weather,
                              struct wp_diags *diags)
{
    *intake = (struct wp_intake){.source = *source,
                                 .config = config,
                                 .weather = weather,
                                 .diags = diags,
                                 .given_unit = WP_UNIT_NONE,
                                 .missing = NAN,
                                 .day_s = NAN};
    if (config->missing) {
        (void)wp_number_read((struct wp_slice){config->missing, strlen(config->missing)},
                             &intake->missing);
    }
    if (!(config->scale > 0.0 && config->scale <= 1e6)) {
        return wp_diags_add(diags, WP_E_RANGE, NULL, (struct wp_mark){0, 0}, NULL,
                            "speeds times %g make no sense; expected a factor above 0",
                            config->scale);
    }
    if (intake->source.text) {
        count_broken(intake);
        make_room(intake);
    }
    return read_given_unit(intake);
}

void wp_intake_free(struct wp_intake *intake)
{
    wp_rows_free(&intake->rows);
    wp_tally_free(&intake->tally);
}

bool wp_intake_is_possible(const struct wp_intake *intake, enum wp_meaning meaning,
                           enum wp_unit unit, double number, double *value)
{
    const struct kind *const kind = &kinds[meaning];
    double si = wp_unit_to_si(unit, number);
    if (kind->is_scaled) {
        si *= intake->config->scale;
    }
    *value = si + 0.0; /* -0 becomes 0 */
    return si >= kind->least && si <= kind->most && number != intake->missing;
}

double wp_intake_number(struct wp_intake *intake, enum wp_meaning meaning, enum wp_unit unit,
                        double number, struct wp_slice found, int line)
{
    double value = 0.0;
    if (wp_intake_is_possible(intake, meaning, unit, number, &value)) {
        return value;
    }
    /* All nines mean 'missing' only where they cannot be a value: 99 km/h and 99 deg are values. */
    if (number != intake->missing && !wp_field_is_code(found)) {
        wp_tally_add(&intake->tally, kinds[meaning].if_outside, line, found);
    }
    return NAN;
}

static bool is_missing(const struct wp_intake *intake, struct wp_slice field)
{
    const char *const missing = intake->config->missing;
    return wp_field_is_missing(field) || (missing && wp_slice_is(field, missing));
}

/* "12 km/h", "225 deg": a number with a unit of its own, which goes before the column's. */
static bool read_with_unit(struct wp_intake *intake, enum wp_meaning meaning, struct wp_slice field,
                           enum wp_unit *unit, double *number)
{
    struct wp_heading heading;
    size_t n = 0;
    while (n < field.length && memchr("+-.,0123456789", field.at[n], 14)) {
        n++;
    }
    const struct wp_slice rest = wp_slice_trim((struct wp_slice){field.at + n, field.length - n});
    wp_heading_read_as(rest, meaning, &heading);
    const bool is_sign = wp_slice_is(rest, "\xC2\xB0") || wp_slice_is(rest, "\xB0");
    if (meaning == WP_MEANS_FROM && is_sign) {
        return wp_number_read((struct wp_slice){field.at, n}, number);
    }
    if (heading.unit == WP_UNIT_NONE || wp_heading_unit(rest) != heading.unit ||
        !wp_number_read((struct wp_slice){field.at, n}, number)) {
        return false;
    }
    intake->n_own_units += heading.unit != *unit;
    *unit = heading.unit;
    return true;
}

double wp_intake_value(struct wp_intake *intake, enum wp_meaning meaning, enum wp_unit unit,
                       struct wp_slice field, int line)
{
    double number = 0.0;
    if (is_missing(intake, field)) {
        return NAN;
    }
    if (!wp_number_read(field, &number) &&
        !read_with_unit(intake, meaning, field, &unit, &number)) {
        wp_tally_add(&intake->tally, kinds[meaning].if_text, line, field);
        return NAN;
    }
    return wp_intake_number(intake, meaning, unit, number, field, line);
}

double wp_intake_from(struct wp_intake *intake, enum wp_unit unit, enum wp_letter_o letter_o,
                      struct wp_slice field, int line)
{
    double from_deg = NAN;
    if (wp_compass_is_variable(field) || wp_compass_read(field, letter_o, &from_deg)) {
        return from_deg;
    }
    return wp_intake_value(intake, WP_MEANS_FROM, unit, field, line);
}

/* A time of day without a date: in the day given, or in that to which the one before leads. */
static enum wp_status place_clock(struct wp_intake *intake, const struct wp_stamp_rule *rule,
                                  double clock_s, struct wp_stamp *stamp)
{
    static const double day_s = 86400.0;
    if (isnan(intake->config->day_s)) {
        return intake->n_times == 0 ? WP_E_MISSING : WP_E_SYNTAX;
    }
    if (isnan(intake->day_s)) {
        intake->day_s = intake->config->day_s;
    } else if (fabs(clock_s - intake->clock_s) > 0.5 * day_s) {
        intake->day_s += clock_s < intake->clock_s ? day_s : -day_s;
    }
    intake->clock_s = clock_s;
    *stamp = (struct wp_stamp){intake->day_s + clock_s - rule->zone_s, false, false};
    return WP_OK;
}

bool wp_intake_time(struct wp_intake *intake, const struct wp_stamp_rule *rule,
                    struct wp_slice text, int line, double *t_s)
{
    struct wp_stamp stamp = {0.0, false, false};
    double clock_s = 0.0;
    enum wp_status status = wp_stamp_read(text, rule, &stamp);
    const bool is_clock = status == WP_E_SYNTAX && wp_clock_read(text, &clock_s);
    if (is_clock) {
        status = place_clock(intake, rule, clock_s, &stamp);
    }
    if (status == WP_E_MISSING) {
        (void)wp_intake_fail(intake, WP_E_MISSING, line,
                             is_clock ? "give that of the first, as --date 2026-11-25"
                                      : "add --year",
                             is_clock ? "this time of day has no date; expected one"
                                      : "this date has no year; expected one");
        return false;
    }
    if (status == WP_E_AMBIGUOUS) {
        (void)wp_intake_fail(intake, WP_E_AMBIGUOUS, line, "give --date-order dmy, mdy or ymd",
                             "this date does not tell whether day or month comes first; expected "
                             "an order");
        return false;
    }
    if (status) {
        (void)wp_intake_reject(
            intake, status == WP_E_RANGE ? WP_REPAIR_NO_SUCH_TIME : WP_REPAIR_NO_TIME, line, text);
        return false;
    }
    if (!stamp.has_zone && intake->n_without_zone++ == 0) {
        intake->without_zone_line = line;
    }
    intake->n_times++;
    intake->n_counts += stamp.is_count;
    *t_s = stamp.t_s;
    return true;
}

struct wp_stamp_rule wp_intake_rule(const struct wp_intake *intake)
{
    return (struct wp_stamp_rule){.order = intake->config->date_order,
                                  .zone_s = intake->config->utc_offset_s,
                                  .tick_s = intake->config->tick_s,
                                  .has_serial_days = intake->config->has_serial_days,
                                  .year = intake->config->year};
}

bool wp_intake_station(struct wp_intake *intake, struct wp_slice heading, bool is_doubtful,
                       struct wp_slice name, int line)
{
    const char *const chosen = intake->config->station;
    const struct wp_slice trimmed = wp_slice_trim(name);
    if (trimmed.length > 0) {
        wp_stations_add(&intake->stations, trimmed, line);
        intake->stations.is_doubtful = is_doubtful;
        if (intake->station_heading[0] == '\0') {
            wp_slice_show(heading, intake->station_heading, sizeof intake->station_heading);
        }
    }
    const bool is_wanted = !chosen || wp_slice_is(trimmed, chosen);
    intake->n_left_out += !is_wanted;
    return is_wanted;
}

enum wp_line_outcome wp_intake_reject(struct wp_intake *intake, enum wp_repair repair, int line,
                                      struct wp_slice found)
{
    wp_tally_add(&intake->tally, repair, line, found);
    return WP_LINE_REJECTED;
}

enum wp_line_outcome wp_intake_fail(struct wp_intake *intake, enum wp_status status, int line,
                                    const char *hint, const char *format, ...)
{
    char text[320];
    va_list arguments;
    va_start(arguments, format);
    (void)vsnprintf(text, sizeof text, format, arguments);
    va_end(arguments);
    intake->status = wp_diags_add(intake->diags, status, intake->source.name,
                                  (struct wp_mark){line, line > 0 ? 1 : 0}, hint, "%s", text);
    return WP_LINE_REJECTED;
}

enum wp_unit wp_intake_speed_unit(const struct wp_intake *intake, enum wp_unit unit,
                                  const char **why)
{
    if (unit != WP_UNIT_NONE) {
        *why = "in the heading";
        return unit;
    }
    const bool is_given = intake->given_unit != WP_UNIT_NONE;
    *why = is_given ? "given, the heading has none" : "assumed, the heading has none";
    return is_given ? intake->given_unit : WP_UNIT_M_S;
}

void wp_intake_describe(struct wp_intake *intake, const char *meaning, struct wp_slice heading,
                        enum wp_unit unit, const char *why)
{
    struct wp_weather *const weather = intake->weather;
    if (weather->n_columns == WP_COLUMNS_MAX) {
        return;
    }
    struct wp_weather_column *const column = &weather->columns[weather->n_columns];
    wp_slice_show(heading, column->heading, sizeof column->heading);
    for (size_t i = 0; i < weather->n_columns; i++) {
        if (strcmp(weather->columns[i].meaning, meaning) == 0 &&
            strcmp(weather->columns[i].heading, column->heading) == 0) {
            return;
        }
    }
    (void)snprintf(column->meaning, sizeof column->meaning, "%s", meaning);
    (void)snprintf(column->unit, sizeof column->unit, "%s", wp_unit_name(unit));
    (void)snprintf(column->why, sizeof column->why, "%s", why);
    weather->n_columns++;
}

void wp_intake_add(struct wp_intake *intake, struct wp_record *record, int line)
{
    const double interval_s = intake->config->interval_s;
    if (isnan(record->t_s)) {
        if (!(interval_s > 0.0)) {
            (void)wp_intake_fail(intake, WP_E_MISSING, line,
                                 "add --interval, as '1 s', for records at even distances",
                                 "no time goes with this value; expected one");
            return;
        }
        intake->n_without_time++;
        record->t_s = interval_s * (double)intake->n_without_time;
    }
    wp_record_repair(record, &intake->tally, line);
    if (wp_rows_add(&intake->rows, record, line)) {
        (void)wp_intake_fail(intake, WP_E_NO_MEMORY, 0, NULL, "not enough memory for the records");
    }
}

/* What helps when the first rows are rejected for this reason. */
static const char *rejection_hint(const struct wp_tally *tally, enum wp_repair repair, int line)
{
    double number = 0.0;
    switch (repair) {
    case WP_REPAIR_NO_TIME:
        for (size_t i = 0; i < tally->n_items; i++) {
            const char *const found = tally->items[i].found;
            if (tally->items[i].line == line &&
                wp_number_read((struct wp_slice){found, strlen(found)}, &number)) {
                return "say what the numbers count, as --time-unit s, or write times such as "
                       "2026-04-11T14:00:00Z";
            }
        }
        return "write times such as 2026-04-11T14:00:00Z or +02:00; names of zones are not known";
    case WP_REPAIR_TOO_LONG:
        return "separate values with decimal commas by semicolons, or put them in quotes";
    case WP_REPAIR_TOO_SHORT:
        return "write as many values as headings";
    case WP_REPAIR_CHECKSUM:
    case WP_REPAIR_INVALID:
        return "look at the instrument and its cable";
    case WP_REPAIR_FORM:
        return "keep the lines of one format";
    default:
        return "write times such as 2026-04-11T14:00:00Z";
    }
}

/* The most useful reason why no record has a wind speed. */
static enum wp_status report_nothing(const struct wp_intake *intake, size_t n_rows, int line)
{
    const struct wp_tally *const tally = &intake->tally;
    const enum wp_repair rejected = wp_tally_first_rejected(tally, &line);
    if (rejected != WP_REPAIR_COUNT && wp_tally_rejected(tally) >= n_rows) {
        const size_t n = tally->count[rejected];
        return wp_diags_add(intake->diags, WP_E_EMPTY, intake->source.name,
                            (struct wp_mark){line, 1}, rejection_hint(tally, rejected, line),
                            "no usable record: %zu line%s %s, this one first; expected a time and "
                            "a wind speed",
                            n, n == 1 ? "" : "s", wp_repair_text(rejected));
    }
    if (n_rows == 0) {
        return wp_diags_add(intake->diags, WP_E_EMPTY, intake->source.name, (struct wp_mark){1, 1},
                            "look whether the file holds wind at all",
                            "no line of this file (%s) tells a wind speed; expected some",
                            intake->weather->format);
    }
    const bool is_text = tally->count[WP_REPAIR_SPEED_TEXT] > 0;
    if (is_text) {
        line = tally->line[WP_REPAIR_SPEED_TEXT][0];
    }
    return wp_diags_add(intake->diags, WP_E_EMPTY, intake->source.name, (struct wp_mark){line, 1},
                        is_text ? "write bare numbers, and the unit in the heading"
                                : "look whether the right column is called wind speed",
                        "no usable record: of %zu line%s with a time none has a wind speed of 0 to "
                        "75 m/s; expected numbers",
                        n_rows, n_rows == 1 ? "" : "s");
}

/* Several stations make no wind: which one is meant is the user's to say. */
static enum wp_status check_station(struct wp_intake *intake)
{
    const struct wp_stations *const stations = &intake->stations;
    const bool are_rows =
        stations->is_doubtful && (stations->has_more || 2 * stations->n > intake->rows.n_rows);
    char list[160];
    char hint[80];
    wp_stations_list(stations, list, sizeof list);
    if (stations->n < 2 || are_rows) {
        return WP_OK;
    }
    if (intake->takes_strays && wp_stations_are_strays(stations)) {
        wp_weather_note(intake->weather,
                        "reports of several stations (%s) are taken as one's (--station chooses)",
                        list);
        return WP_OK;
    }
    (void)snprintf(hint, sizeof hint, "choose one, as --station '%s'", stations->name[0]);
    (void)wp_intake_fail(intake, WP_E_AMBIGUOUS, stations->line[1], hint,
                         "the records of several stations (by '%s': %s) share this file; expected "
                         "one",
                         intake->station_heading, list);
    return WP_E_AMBIGUOUS;
}

/* The station that the user chose must be there; it is told as a column. */
static enum wp_status check_chosen_station(struct wp_intake *intake)
{
    const char *const chosen = intake->config->station;
    char list[160];
    char why[64];
    if (intake->stations.n == 0) {
        (void)wp_intake_fail(intake, WP_E_UNKNOWN_NAME, 0, "tell the column: --columns station=2",
                             "nothing in this file names stations, so none is '%.40s'; expected a "
                             "column or key that does",
                             chosen);
        return WP_E_UNKNOWN_NAME;
    }
    if (intake->rows.n_rows == 0) {
        wp_stations_list(&intake->stations, list, sizeof list);
        (void)wp_intake_fail(intake, WP_E_UNKNOWN_NAME, intake->stations.line[0], NULL,
                             "no record here is of station '%.40s'; expected one of %s", chosen,
                             list);
        return WP_E_UNKNOWN_NAME;
    }
    (void)snprintf(why, sizeof why, "'%.16s', as given; %u of others left out", chosen,
                   (unsigned int)intake->n_left_out);
    wp_intake_describe(intake, "station",
                       (struct wp_slice){intake->station_heading, strlen(intake->station_heading)},
                       WP_UNIT_NONE, why);
    return WP_OK;
}

/* More than one time in four with several values: two stations in one file, or times that are cut
 * to minutes. Fewer are corrections, of which the last counts. */
static enum wp_status check_same_times(const struct wp_intake *intake, size_t n_records)
{
    const size_t n_replaced = intake->tally.count[WP_REPAIR_REPLACED];
    if (intake->config->same_time != WP_SAME_TIME_OPEN || n_replaced <= 2 ||
        4 * n_replaced <= n_records) {
        return WP_OK;
    }
    return wp_diags_add(intake->diags, WP_E_AMBIGUOUS, intake->source.name,
                        (struct wp_mark){intake->tally.line[WP_REPAIR_REPLACED][0], 1},
                        "--same-time last takes the last line of each time, first the first; a "
                        "column that tells stations apart: --columns station=2 --station NAME",
                        "%zu lines give other values for times that had some, this one first; "
                        "expected one station, and one line a time",
                        n_replaced);
}

/* How the zone of the times is known. */
static void tell_zone(struct wp_intake *intake)
{
    struct wp_weather *const weather = intake->weather;
    const int minutes = (int)lround(intake->config->utc_offset_s / 60.0);
    char zone[16];
    (void)snprintf(zone, sizeof zone, "UTC%c%02d:%02d", minutes < 0 ? '-' : '+', abs(minutes) / 60,
                   abs(minutes) % 60);
    const size_t n_told = intake->n_times - intake->n_without_zone;
    const bool is_given = intake->config->is_offset_given;
    if (intake->n_without_time > 0) {
        (void)snprintf(weather->zone, sizeof weather->zone, "none: time counts from 0, as given");
    } else if (intake->n_counts > 0 && intake->n_counts == intake->n_times) {
        (void)snprintf(weather->zone, sizeof weather->zone, "none: time counts from some start");
    } else if (intake->n_without_zone == 0 || intake->zone_known) {
        (void)snprintf(weather->zone, sizeof weather->zone, "%s",
                       intake->zone_known ? intake->zone_known : "told in every time");
    } else if (n_told > 0) {
        (void)snprintf(weather->zone, sizeof weather->zone, "told in %u times, %s in %u",
                       (unsigned int)n_told, is_given ? "as given" : "UTC assumed",
                       (unsigned int)intake->n_without_zone);
        wp_weather_note(weather, "%zu time%s without a zone (line %d first) taken %s %s",
                        intake->n_without_zone, intake->n_without_zone == 1 ? "" : "s",
                        intake->without_zone_line, is_given ? "at" : "as",
                        is_given ? zone : "UTC (--tz sets it); the others tell theirs");
    } else if (is_given) {
        (void)snprintf(weather->zone, sizeof weather->zone, "%s, as given", zone);
        wp_weather_note(weather, "times without a zone are taken at %s, as given", zone);
    } else {
        (void)snprintf(weather->zone, sizeof weather->zone, "UTC, assumed");
        wp_weather_note(weather, "times without a zone are taken as UTC (--tz sets it)");
    }
}

/* Times of one local clock, in the order of the file. */
static enum wp_status count_times_on(struct wp_intake *intake)
{
    const bool is_local = !intake->zone_known && intake->n_without_time == 0 &&
                          intake->n_times > 0 && intake->n_without_zone == intake->n_times;
    return is_local
               ? wp_clock_change_undo(&intake->rows, intake->config->utc_offset_s, intake->weather)
               : WP_OK;
}

enum wp_status wp_intake_finish(struct wp_intake *intake)
{
    struct wp_weather *const weather = intake->weather;
    if (intake->status) {
        return intake->status;
    }
    enum wp_status status =
        intake->config->station ? check_chosen_station(intake) : check_station(intake);
    if (status) {
        return status;
    }
    if (intake->rows.n_rows == 0) {
        return report_nothing(intake, 0, 1);
    }
    const int first_line = intake->rows.rows[0].line;
    status = count_times_on(intake);
    status =
        status ? status
               : wp_rows_finish(&intake->rows, intake->config->same_time, &intake->tally, weather);
    if (!status && weather->n_missing == weather->n_records) {
        return report_nothing(intake, weather->n_records, first_line);
    }
    if (!status) {
        status = check_same_times(intake, weather->n_records);
        if (status) {
            return status;
        }
        tell_zone(intake);
        if (intake->n_own_units > 0) {
            wp_weather_note(weather, "%zu value%s another unit than the column: their own counts",
                            intake->n_own_units, intake->n_own_units == 1 ? " names" : "s name");
        }
        weather->n_rejected = wp_tally_rejected(&intake->tally);
        status = wp_tally_write(&intake->tally, weather);
    }
    if (status) {
        (void)wp_intake_fail(intake, status, 0, NULL, "not enough memory for the records");
    }
    return status;
}
