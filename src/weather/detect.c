/* SPDX-License-Identifier: MIT */
/* Tells what format a weather file has and hands it to that format's reader. */
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "weather/agency.h"
#include "weather/json_lines.h"
#include "weather/line_format.h"
#include "weather/reader.h"
#include "weather/table.h"
#include "weather/tally.h"

/* The beginning of a file, as far as detection looks. */
struct sample {
    struct wp_slice head;  /* the first bytes */
    struct wp_slice first; /* first line that is not blank, trimmed */
    struct wp_slice row;   /* first line that is neither blank nor a comment, trimmed */
    struct wp_slice next;  /* the one after that */
};

/* A format: how to know it, and its reader: of the whole, or of lines. Without any it is known but
 * refused. */
struct format {
    const char *name;
    bool (*is_it)(const struct sample *sample);
    wp_read_function *read;
    const struct wp_line_format *(*lines)(void);
    const char *hint; /* what to do with one that is refused; NULL: the usual */
};

enum { SAMPLE_SIZE = 65536 };

static bool begins_with(struct wp_slice slice, const char *bytes, size_t n_bytes)
{
    return slice.length >= n_bytes && memcmp(slice.at, bytes, n_bytes) == 0;
}

static bool begins_with_word(struct wp_slice slice, const char *word)
{
    return begins_with(slice, word, strlen(word));
}

/* True when the slice begins like the pattern: 9 a digit, A a capital, B either, else the same
 * letter. */
static bool begins_like(struct wp_slice slice, const char *pattern)
{
    size_t i = 0;
    for (; pattern[i] != '\0' && i < slice.length; i++) {
        const char letter = slice.at[i];
        const bool is_digit = letter >= '0' && letter <= '9';
        const bool is_capital = letter >= 'A' && letter <= 'Z';
        const bool fits = pattern[i] == '9'   ? is_digit
                          : pattern[i] == 'A' ? is_capital
                          : pattern[i] == 'B' ? is_digit || is_capital
                                              : letter == pattern[i];
        if (!fits) {
            return false;
        }
    }
    return pattern[i] == '\0';
}

static bool has(struct wp_slice slice, const char *word)
{
    return wp_slice_find(slice, word) != NULL;
}

static bool is_netcdf(const struct sample *sample)
{
    return begins_with(sample->head, "CDF\x01", 4) || begins_with(sample->head, "CDF\x02", 4) ||
           begins_with(sample->head, "CDF\x05", 4) || begins_with(sample->head, "\x89HDF", 4);
}

static bool is_grib_or_bufr(const struct sample *sample)
{
    return begins_with_word(sample->head, "GRIB") || begins_with_word(sample->head, "BUFR");
}

static bool is_packed(const struct sample *sample)
{
    return begins_with(sample->head, "PK\x03\x04", 4) || begins_with(sample->head, "\x1F\x8B", 2) ||
           begins_with(sample->head, "\xD0\xCF\x11\xE0", 4);
}

/* With a byte order mark, or two letters and their zeroes without one. */
static bool is_utf16(const struct sample *sample)
{
    const char *const at = sample->head.at;
    const bool is_long = sample->head.length >= 4;
    const bool is_little = is_long && at[0] && !at[1] && at[2] && !at[3];
    const bool is_big = is_long && !at[0] && at[1] && !at[2] && at[3];
    return begins_with(sample->head, "\xFF\xFE", 2) || begins_with(sample->head, "\xFE\xFF", 2) ||
           is_little || is_big;
}

/* Zero bytes in one line of four, padding at the end aside. Fewer are faults of a text, as where a
 * logger lost its power. */
static bool is_binary(const struct sample *sample)
{
    struct wp_lines lines;
    struct wp_slice line;
    int column = 0;
    size_t n_broken = 0;
    size_t n_whole = 0;
    wp_lines_init(&lines, sample->head.at, sample->head.length);
    while (wp_lines_next_broken(&lines, &column)) {
        n_broken++;
    }
    wp_lines_init(&lines, sample->head.at, sample->head.length);
    while (wp_lines_next(&lines, &line)) {
        n_whole++;
    }
    const bool is_padded =
        n_broken > 0 && n_whole >= 2 && sample->head.at[sample->head.length - 1] == '\0';
    return 3 * (n_broken - is_padded) > n_whole;
}

/* An object, or an array of something; a heading may stand in brackets. */
static bool is_json(const struct sample *sample)
{
    if (!begins_with_word(sample->first, "[")) {
        return begins_with_word(sample->first, "{");
    }
    const struct wp_slice rest =
        wp_slice_trim((struct wp_slice){sample->first.at + 1, sample->first.length - 1});
    return rest.length == 0 || strchr("{[]\"-0123456789", rest.at[0]) != NULL;
}

/* An object behind a word, as a topic. */
static bool is_json_behind_word(const struct sample *sample)
{
    const struct wp_slice row = sample->row;
    const char *const mark = wp_slice_find(row, " {\"");
    return mark && row.at[row.length - 1] == '}' && !memchr(row.at, ',', (size_t)(mark - row.at)) &&
           !memchr(row.at, ';', (size_t)(mark - row.at)) &&
           !memchr(row.at, ' ', (size_t)(mark - row.at));
}

static bool is_markup(const struct sample *sample)
{
    return begins_with_word(sample->first, "<");
}

static bool is_epw(const struct sample *sample)
{
    return begins_with_word(sample->first, "LOCATION,");
}

static bool is_ndbc(const struct sample *sample)
{
    return begins_with_word(sample->first, "#YY") || begins_with_word(sample->first, "YY  MM DD") ||
           begins_with_word(sample->first, "YY MM DD") ||
           begins_with_word(sample->first, "YYYY MM DD hh");
}

static bool is_isd(const struct sample *sample)
{
    return has(sample->row, "STATION") && has(sample->row, "DATE") &&
           (has(sample->row, ",WND,") || has(sample->row, "\"WND\""));
}

/* Twelve numbers, the first four a date and hour. */
static bool is_isd_lite(const struct sample *sample)
{
    struct wp_slice fields[13];
    double value = 0.0;
    const size_t n = wp_fields_split(sample->row, ' ', fields, 13);
    return n == 12 && begins_like(sample->row, "9999 99 99 99 ") &&
           wp_number_read(fields[8], &value) && !has(sample->row, ",") && !has(sample->row, ";");
}

static bool is_asos_5_minutes(const struct sample *sample)
{
    return begins_like(sample->row, "99999BBBB BBB99999999") && has(sample->row, "5-MIN");
}

static bool is_asos_other(const struct sample *sample)
{
    return begins_like(sample->row, "99999BBBB BBB9999999999999999");
}

/* Headings of the hourly text, in a comment or not. */
static bool is_hourly(const struct sample *sample)
{
    return has(sample->head, "YYYYMMDD") &&
           (has(sample->head, ", FH") || has(sample->head, "   FH")) && has(sample->head, "STN");
}

static bool is_agency(const struct sample *sample)
{
    return has(sample->row, "FF_10") && has(sample->row, ";");
}

/* A sentence, perhaps with a logger's time in front. */
static bool is_sentence(struct wp_slice line)
{
    const char *const mark = memchr(line.at, '$', line.length);
    if (!mark) {
        return begins_like(line, "!BBBBB,");
    }
    return begins_like((struct wp_slice){mark, line.length - (size_t)(mark - line.at)}, "$BBBBB,");
}

static bool is_nmea(const struct sample *sample)
{
    return is_sentence(sample->row);
}

static bool is_push(const struct sample *sample)
{
    return has(sample->row, "&") && has(sample->row, "wind") && has(sample->row, "speed") &&
           has(sample->row, "=");
}

/* A METAR has its day and time (ddhhmmZ) among the first words. */
static bool is_report(struct wp_slice line)
{
    struct wp_slice words[6];
    const size_t n = wp_fields_split(line, ' ', words, 6);
    for (size_t i = 0; i < n && i < 6; i++) {
        if (words[i].length == 7 && begins_like(words[i], "999999Z")) {
            return true;
        }
    }
    return n >= 2 && n <= 5 && wp_slice_is(words[n - 1], "NIL=");
}

/* A date may stand in a line above the report. */
static bool is_metar(const struct sample *sample)
{
    return is_report(sample->row) ||
           (begins_like(sample->row, "9999/99/99 99:99") && is_report(sample->next));
}

static bool is_bare(struct wp_slice line)
{
    double value = 0.0;
    return wp_number_read(line, &value);
}

static bool is_bare_speeds(const struct sample *sample)
{
    return is_bare(sample->row) && (sample->next.length == 0 || is_bare(sample->next));
}

/* name,tag=value field=value 1795586400000000000 */
static bool is_line_protocol(const struct sample *sample)
{
    struct wp_slice words[3];
    return wp_fields_split(sample->row, ' ', words, 3) == 3 && has(words[1], "=") &&
           begins_like(words[2], "9999999999") && !has(words[2], ",");
}

/* CALL>PATH:... */
static bool is_aprs(const struct sample *sample)
{
    const char *const mark = wp_slice_find(sample->row, ">");
    if (!mark || mark - sample->row.at > 9 || !begins_like(sample->row, "B")) {
        return false;
    }
    const struct wp_slice rest = {mark, sample->row.length - (size_t)(mark - sample->row.at)};
    return has(rest, ":") && has(rest, "_");
}

static bool is_session(const struct sample *sample)
{
    return wp_session_is_log(sample->first);
}

static bool is_table(const struct sample *sample)
{
    (void)sample;
    return true;
}

static const char array_hint[] =
    "write the variables out as text: 'ncdump -v time,wind_speed FILE' prints them, a spreadsheet "
    "or "
    "script makes CSV with the columns time, speed, gust, direction of them";
static const char unpack_hint[] = "unpack it (gunzip, unzip), or save the sheet as CSV text";
static const char utf16_hint[] = "save it as UTF-8: 'iconv -f UTF-16 -t UTF-8 FILE' writes that";

/* In this order: the certain ones first, delimited text last. */
static const struct format formats[] = {
    {"session log", is_session, wp_session_read, NULL, NULL},
    {"NetCDF or HDF5", is_netcdf, NULL, NULL, array_hint},
    {"GRIB or BUFR", is_grib_or_bufr, NULL, NULL, NULL},
    {"a packed file or a spreadsheet", is_packed, NULL, NULL, unpack_hint},
    {"UTF-16 text", is_utf16, NULL, NULL, utf16_hint},
    {"a binary file", is_binary, NULL, NULL, NULL},
    {"JSON", is_json, wp_json_read, wp_json_format, NULL},
    {"JSON", is_json_behind_word, wp_json_read, wp_json_format, NULL},
    {"XML or HTML", is_markup, NULL, NULL, NULL},
    {"EPW", is_epw, NULL, wp_epw_format, NULL},
    {"NDBC text", is_ndbc, NULL, wp_ndbc_format, NULL},
    {"NOAA ISD, CSV", is_isd, NULL, wp_isd_format, NULL},
    {"NOAA ISD-Lite", is_isd_lite, NULL, wp_isd_lite_format, NULL},
    {"ASOS 5-minute text", is_asos_5_minutes, NULL, wp_asos_format, NULL},
    {"ASOS 1-minute text", is_asos_other, NULL, NULL, NULL},
    {"NMEA 0183", is_nmea, NULL, wp_nmea_format, NULL},
    {"station push requests", is_push, NULL, wp_push_format, NULL},
    {"METAR reports", is_metar, NULL, wp_metar_format, NULL},
    {"APRS packets", is_aprs, NULL, NULL, NULL},
    {"line protocol", is_line_protocol, NULL, NULL, NULL},
    {"agency hourly text", is_hourly, NULL, wp_hourly_format, NULL},
    {"agency 10-minute text", is_agency, wp_agency_read, NULL, NULL},
    {"wind speeds, one a line", is_bare_speeds, NULL, wp_bare_speed_format, NULL},
    {"delimited text", is_table, wp_delimited_read, NULL, NULL},
};

static void take_sample(const struct wp_source *source, struct sample *sample)
{
    const size_t size = source->size < SAMPLE_SIZE ? source->size : SAMPLE_SIZE;
    struct wp_lines lines;
    struct wp_slice line;
    *sample = (struct sample){{source->text, size}, {"", 0}, {"", 0}, {"", 0}};
    wp_lines_init(&lines, source->text, size);
    while (sample->next.length == 0 && wp_lines_next(&lines, &line)) {
        const struct wp_slice text = wp_slice_trim(line);
        if (sample->first.length == 0) {
            sample->first = text;
        }
        if (wp_line_is_comment(text) || text.length == 0) {
            continue;
        }
        if (sample->row.length == 0) {
            sample->row = text;
        } else {
            sample->next = text;
        }
    }
}

static const struct format *find_format(const struct sample *sample)
{
    size_t i = 0;
    while (!formats[i].is_it(sample)) {
        i++;
    }
    return &formats[i];
}

bool wp_line_format_detect(struct wp_slice line, const struct wp_line_format **format,
                           const char **name)
{
    const struct wp_slice text = wp_slice_trim(line);
    const struct sample sample = {text, text, text, {"", 0}};
    const struct format *const found = find_format(&sample);
    *name = found->name;
    *format = found->lines ? found->lines() : NULL;
    return found->lines || found->read == wp_delimited_read || found->read == wp_agency_read;
}

static const struct format *detect(const struct wp_source *source)
{
    struct sample sample;
    take_sample(source, &sample);
    return find_format(&sample);
}

static enum wp_status check_request(const struct wp_source *source,
                                    const struct wp_weather_config *config, struct wp_diags *diags)
{
    if (!(fabs(config->utc_offset_s) <= 86400.0)) {
        return wp_diags_add(diags, WP_E_RANGE, NULL, (struct wp_mark){0, 0}, NULL,
                            "the offset from UTC must lie within a day");
    }
    struct wp_lines lines;
    struct wp_slice line;
    wp_lines_init(&lines, source->text, source->size);
    while (wp_lines_next(&lines, &line)) {
        if (begins_with_word(wp_slice_trim(line), "t_s,tube,")) {
            return wp_diags_add(diags, WP_E_CONFLICT, source->name, (struct wp_mark){1, 1},
                                "render --strikes plays a list back",
                                "this is a list of strikes; expected weather");
        }
        if (!wp_line_is_blank(line)) {
            return WP_OK;
        }
    }
    if (source->size > 0 && memchr(source->text, '\0', source->size)) {
        return WP_OK; /* not empty, but no text either */
    }
    return wp_diags_add(diags, WP_E_EMPTY, source->name, (struct wp_mark){1, 1},
                        "a table with the columns time, speed, gust, direction is read",
                        "the file is empty; expected a heading and lines of values");
}

enum wp_status wp_weather_parse(struct wp_weather *weather, const char *name, const char *text,
                                size_t text_size, const struct wp_weather_config *config,
                                struct wp_diags *diags)
{
    struct wp_weather_config fallback;
    wp_weather_config_default(&fallback);
    config = config ? config : &fallback;
    memset(weather, 0, sizeof *weather);
    const struct wp_source source = {name ? name : "", text, text_size};
    enum wp_status status = check_request(&source, config, diags);
    if (status) {
        return status;
    }
    const struct format *const format = detect(&source);
    if (!format->read && !format->lines) {
        return wp_diags_add(diags, WP_E_NOT_BUILT, name, (struct wp_mark){1, 1},
                            format->hint ? format->hint
                                         : "save it as CSV text with the columns time, speed, "
                                           "gust, direction",
                            "this looks like %s: not in this version; expected delimited text with "
                            "a heading, JSON, METAR or another format of weather stations",
                            format->name);
    }
    (void)snprintf(weather->format, sizeof weather->format, "%s", format->name);
    wp_slice_show((struct wp_slice){source.name, strlen(source.name)}, weather->file,
                  sizeof weather->file);
    status = format->read ? format->read(&source, config, weather, diags)
                          : wp_line_format_read(format->lines(), &source, config, weather, diags);
    if (status) {
        wp_weather_finish(weather);
    }
    return status;
}
