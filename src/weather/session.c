/* SPDX-License-Identifier: MIT */
/* Session logs: what a live feed told, written and read back bit by bit. */
#include "windpeal/session.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/decimal.h"
#include "weather/reader.h"
#include "weather/records.h"
#include "weather/table.h"

static const char first_words[] = "# windpeal session from ";
static const char last_words[] = "# windpeal session ended after ";
static const char averages_words[] =
    "# windpeal session averages in s, of means, gusts, gusts told of: ";
static const char heading[] = "t_s,mean_m_s,gust_m_s,from_deg,temperature_c,pressure_pa";

enum { COLUMNS = 6, NUMBER_SIZE = 32 };

/* What averages may be, as in wp_wind_config: of means, of gusts, and what gusts are told of. */
static const double average_least_s[3] = {0.0, 0.01, 0.0};
static const double average_most_s[3] = {3600.0, 600.0, 3600.0};

/* Digits behind the point, by column. */
static const int digits[COLUMNS] = {3, 4, 4, 2, 2, 1};

/* What a record may hold; t_s counts from the session's beginning. Ten years are enough. */
static const double least[COLUMNS] = {0.0, 0.0, 0.0, 0.0, -100.0, 1e4};
static const double most[COLUMNS] = {3.2e8, 100.0, 150.0, 360.0, 100.0, 2e5};

static void spread(const struct wp_record *record, double start_s, double values[COLUMNS])
{
    values[0] = record->t_s - start_s;
    values[1] = record->mean_m_s;
    values[2] = record->gust_m_s;
    values[3] = record->from_deg;
    values[4] = record->temperature_c;
    values[5] = record->pressure_pa;
}

static struct wp_record gather(const double values[COLUMNS], double start_s)
{
    return (struct wp_record){.t_s = start_s + values[0],
                              .mean_m_s = values[1],
                              .gust_m_s = values[2],
                              .from_deg = values[3],
                              .temperature_c = values[4],
                              .pressure_pa = values[5]};
}

/* Decimal digits with a point, whatever the locale; nothing for a missing value. */
static void write_number(double value, int n_digits, char text[NUMBER_SIZE])
{
    text[0] = '\0';
    if (isnan(value)) {
        return;
    }
    snprintf(text, NUMBER_SIZE, "%.*f", n_digits, value);
    char *mark = text + strcspn(text, ".,");
    if (*mark) {
        *mark = '.';
    }
}

/* A whole number over a power of ten, divided once: the double that reading the decimal gives. */
void wp_session_round(struct wp_record *record, double start_s)
{
    double values[COLUMNS];
    spread(record, start_s, values);
    for (size_t i = 0; i < COLUMNS; i++) {
        double scale = 1.0;
        for (int place = 0; place < digits[i]; place++) {
            scale *= 10.0;
        }
        values[i] = floor(values[i] * scale + 0.5) / scale;
    }
    *record = gather(values, start_s);
}

int wp_session_print_heading(FILE *file, double start_s)
{
    char time[32];
    wp_time_format(start_s, time, sizeof time);
    return fprintf(file, "%s%s\n%s\n", first_words, time, heading);
}

int wp_session_print_averages(FILE *file, const struct wp_averages *averages)
{
    const double values[] = {averages->mean_s, averages->gust_s, averages->gust_over_s};
    char texts[3][NUMBER_SIZE];
    for (size_t i = 0; i < 3; i++) {
        write_number(values[i], digits[0], texts[i]);
    }
    return fprintf(file, "%s%s,%s,%s\n", averages_words, texts[0], texts[1], texts[2]);
}

int wp_session_print(FILE *file, const struct wp_record *record, double start_s)
{
    double values[COLUMNS];
    char texts[COLUMNS][NUMBER_SIZE];
    spread(record, start_s, values);
    for (size_t i = 0; i < COLUMNS; i++) {
        write_number(values[i], digits[i], texts[i]);
    }
    return fprintf(file, "%s,%s,%s,%s,%s,%s\n", texts[0], texts[1], texts[2], texts[3], texts[4],
                   texts[5]);
}

int wp_session_print_end(FILE *file, double duration_s)
{
    char text[NUMBER_SIZE];
    write_number(duration_s, digits[0], text);
    return fprintf(file, "%s%s s\n", last_words, text);
}

bool wp_session_is_log(struct wp_slice first)
{
    const size_t n = sizeof first_words - 1;
    return first.length >= n && memcmp(first.at, first_words, n) == 0;
}

/* A log being read. */
struct log {
    const struct wp_source *source;
    struct wp_weather *weather;
    struct wp_diags *diags;
    struct wp_rows rows;
    double ended_s; /* as the last line says; NAN: it is missing */
};

static enum wp_status refuse(const struct log *log, int line, int column, const char *what)
{
    return wp_diags_add(log->diags, WP_E_SYNTAX, log->source->name, (struct wp_mark){line, column},
                        "a session log is written by play --log; do not change it by hand", "%s",
                        what);
}

/* The number that a piece of text is; false when it is none. */
static bool parse_number(struct wp_slice slice, double *value)
{
    char text[NUMBER_SIZE];
    if (slice.length == 0 || slice.length >= sizeof text) {
        return false;
    }
    memcpy(text, slice.at, slice.length);
    text[slice.length] = '\0';
    const char *end = wp_decimal_parse(text, value);
    return end && *end == '\0';
}

static struct wp_slice rest_of(struct wp_slice line, const char *words)
{
    const size_t n = strlen(words);
    if (line.length < n || memcmp(line.at, words, n) != 0) {
        return (struct wp_slice){line.at, 0};
    }
    return (struct wp_slice){line.at + n, line.length - n};
}

static enum wp_status read_first(struct log *log, struct wp_slice line)
{
    const struct wp_slice rest = rest_of(line, first_words);
    char text[NUMBER_SIZE];
    snprintf(text, sizeof text, "%.*s", (int)(rest.length < 31 ? rest.length : 31), rest.at);
    if (wp_time_parse(text, 0.0, &log->weather->start_s)) {
        return refuse(log, 1, (int)sizeof first_words,
                      "this is no moment; expected one such as 2026-04-11T14:00:00Z");
    }
    return WP_OK;
}

static enum wp_status read_averages(struct log *log, struct wp_slice rest, int number)
{
    struct wp_slice fields[4];
    double values[3] = {NAN, NAN, NAN};
    const bool are_three = wp_fields_split(rest, ',', fields, 4) == 3;
    for (size_t i = 0; i < 3; i++) {
        if (!are_three || !parse_number(fields[i], &values[i]) ||
            !(values[i] >= average_least_s[i] && values[i] <= average_most_s[i])) {
            return refuse(log, number, (int)sizeof averages_words,
                          "these are no averages; expected three times of an hour at most");
        }
    }
    log->weather->averaging_s = values[0];
    log->weather->gust_s = values[1];
    log->weather->gust_over_s = values[2];
    return WP_OK;
}

/* A remark; the one that ends the log tells how long the session was. */
static enum wp_status read_remark(struct log *log, struct wp_slice line, int number)
{
    struct wp_slice rest = rest_of(line, averages_words);
    double ended_s;
    if (rest.length > 0) {
        return read_averages(log, rest, number);
    }
    rest = rest_of(line, last_words);
    if (rest.length > 2) {
        rest.length -= 2; /* " s" */
        if (parse_number(rest, &ended_s) && ended_s >= 0.0 && ended_s <= most[0]) {
            log->ended_s = ended_s;
        }
    }
    return WP_OK;
}

static enum wp_status read_row(struct log *log, struct wp_slice line, int number)
{
    struct wp_slice fields[COLUMNS + 1];
    double values[COLUMNS];
    if (wp_fields_split(line, ',', fields, COLUMNS + 1) != COLUMNS) {
        return refuse(log, number, 1, "a line of another shape; expected six values");
    }
    for (size_t i = 0; i < COLUMNS; i++) {
        values[i] = NAN;
        const bool is_missing = i > 0 && fields[i].length == 0;
        if (!is_missing && (!parse_number(fields[i], &values[i]) ||
                            !(values[i] >= least[i] && values[i] <= most[i]))) {
            return refuse(log, number, (int)(fields[i].at - line.at) + 1,
                          "no number, or none that can be; expected one, or nothing");
        }
    }
    const struct wp_record record = gather(values, log->weather->start_s);
    const size_t n = log->rows.n_rows;
    if (n > 0 && record.t_s < log->rows.rows[n - 1].record.t_s) {
        return refuse(log, number, 1, "earlier than the line before; expected times that rise");
    }
    return wp_rows_add(&log->rows, &record, number);
}

static enum wp_status read_lines(struct log *log)
{
    struct wp_lines lines;
    struct wp_slice line;
    bool is_headed = false;
    enum wp_status status = WP_OK;
    wp_lines_init(&lines, log->source->text, log->source->size);
    while (!status && wp_lines_next(&lines, &line)) {
        if (lines.number == 1) {
            status = read_first(log, line);
        } else if (wp_line_is_comment(line) || wp_line_is_blank(line)) {
            status = read_remark(log, line, lines.number);
        } else if (is_headed) {
            status = read_row(log, line, lines.number);
        } else if (wp_slice_is(line, heading)) {
            is_headed = true;
        } else {
            status = refuse(log, lines.number, 1, "another heading than that of a session log");
        }
    }
    return status;
}

/* Reports of one moment stay as they are: the live wind takes the later one. */
static enum wp_status keep_rows(struct log *log)
{
    struct wp_weather *weather = log->weather;
    const size_t n = log->rows.n_rows;
    weather->records = calloc(n > 0 ? n : 1, sizeof *weather->records);
    if (!weather->records) {
        return WP_E_NO_MEMORY;
    }
    for (size_t i = 0; i < n; i++) {
        weather->records[i] = log->rows.rows[i].record;
        weather->n_missing += isnan(weather->records[i].mean_m_s) ? 1 : 0;
    }
    weather->n_records = n;
    weather->is_session = true;
    const double last_s = n > 0 ? weather->records[n - 1].t_s : weather->start_s;
    weather->end_s = isnan(log->ended_s) ? last_s : weather->start_s + log->ended_s;
    weather->interval_s = n > 1 ? (last_s - weather->records[0].t_s) / (double)(n - 1) : 60.0;
    return WP_OK;
}

enum wp_status wp_session_read(const struct wp_source *source,
                               const struct wp_weather_config *config, struct wp_weather *weather,
                               struct wp_diags *diags)
{
    struct log log = {.source = source, .weather = weather, .diags = diags, .ended_s = NAN};
    (void)config;
    enum wp_status status = read_lines(&log);
    if (!status) {
        status = keep_rows(&log);
    }
    wp_rows_free(&log.rows);
    return status;
}
