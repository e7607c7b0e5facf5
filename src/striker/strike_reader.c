/* SPDX-License-Identifier: MIT */
/* Reads the lines of a strike list. */
#include "striker/strike_reader.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#include "base/decimal.h"
#include "striker/blow.h"

static const char *const column_names[N_COLUMNS] = {"t_s",         "tube",     "speed_m_s",
                                                    "bearing_deg", "height_m", "impulse_n_s"};

/* Rounding of a printed height, so that a strike at the very end of a tube reads back. */
static const double height_play_m = 0.6e-5;

/* Bounds that only a slip of the pen passes. */
static const double longest_s = 1e8;
static const double slowest_m_s = 1e-6;
static const double fastest_m_s = 20.0;
static const double largest_n_s = 1e3;

static bool is_blank(char c)
{
    return c == ' ' || c == '\t';
}

/* Takes blanks and a pair of quotes off both ends. */
static struct strike_field trimmed(const char *line, size_t from, size_t to)
{
    while (from < to && is_blank(line[from])) {
        from++;
    }
    while (to > from && is_blank(line[to - 1])) {
        to--;
    }
    if (to - from >= 2 && line[from] == '"' && line[to - 1] == '"') {
        from++;
        to--;
    }
    return (struct strike_field){line + from, to - from, (int)from + 1};
}

/* Fields between commas; those past FIELDS_MAX are counted only. */
static size_t split(const char *line, size_t line_size, struct strike_field fields[FIELDS_MAX])
{
    size_t n = 0;
    size_t from = 0;
    for (size_t i = 0; i <= line_size; i++) {
        if (i == line_size || line[i] == ',') {
            if (n < FIELDS_MAX) {
                fields[n] = trimmed(line, from, i);
            }
            n++;
            from = i + 1;
        }
    }
    return n;
}

/* A field for showing: printable, shortened. */
struct shown {
    char text[49];
};

static struct shown show(const struct strike_field *field)
{
    struct shown shown = {""};
    const size_t most = sizeof shown.text - 1;
    const size_t n = field->size < most ? field->size : most;
    for (size_t i = 0; i < n; i++) {
        const char c = field->text[i];
        shown.text[i] = (char)(c >= ' ' && c <= '~' ? c : '?');
    }
    return shown;
}

static struct wp_mark mark_at(const struct strike_reader *reader, int column)
{
    return (struct wp_mark){reader->line, column};
}

static int column_index(const struct strike_field *field)
{
    for (int i = 0; i < N_COLUMNS; i++) {
        if (strlen(column_names[i]) == field->size &&
            memcmp(column_names[i], field->text, field->size) == 0) {
            return i;
        }
    }
    return -1;
}

static enum wp_status refuse_column(const struct strike_reader *reader,
                                    const struct strike_field *field)
{
    const struct shown shown = show(field);
    char hint[160] = "columns: t_s,tube,speed_m_s[,bearing_deg][,height_m][,impulse_n_s]";
    const char *nearest = wp_nearest_word(shown.text, column_names, N_COLUMNS);
    if (memchr(field->text, ';', field->size) || memchr(field->text, '\t', field->size)) {
        snprintf(hint, sizeof hint, "separate the columns by commas");
    } else if (nearest) {
        snprintf(hint, sizeof hint, "did you mean '%s'?", nearest);
    }
    return wp_diags_add(reader->diags, WP_E_UNKNOWN_KEY, reader->name,
                        mark_at(reader, field->column), hint,
                        "unknown column '%s'; expected the heading of a strike list", shown.text);
}

static enum wp_status note_column(struct strike_reader *reader, const struct strike_field *field,
                                  int place)
{
    const int column = column_index(field);
    if (column < 0) {
        return refuse_column(reader, field);
    }
    if (reader->field_of[column] >= 0) {
        return wp_diags_add(reader->diags, WP_E_CONFLICT, reader->name,
                            mark_at(reader, field->column), "leave one of the two out",
                            "column '%s' stands twice; expected it once", column_names[column]);
    }
    reader->field_of[column] = place;
    return WP_OK;
}

/* A first line of which nothing is a column is no heading: one finding is enough. */
static enum wp_status refuse_heading(const struct strike_reader *reader,
                                     const struct strike_field *field)
{
    const struct shown shown = show(field);
    return wp_diags_add(reader->diags, WP_E_MISSING, reader->name, mark_at(reader, 1),
                        "put t_s,tube,speed_m_s above the strikes",
                        "'%s' begins no heading; expected the heading of a strike list",
                        shown.text);
}

static bool has_column(const struct strike_field *fields, size_t n_fields)
{
    bool has_any = false;
    for (size_t i = 0; i < n_fields && i < FIELDS_MAX; i++) {
        const struct shown shown = show(&fields[i]);
        has_any = has_any || column_index(&fields[i]) >= 0 ||
                  wp_nearest_word(shown.text, column_names, N_COLUMNS);
    }
    return has_any;
}

enum wp_status wp_strike_read_heading(struct strike_reader *reader, const char *line,
                                      size_t line_size)
{
    struct strike_field fields[FIELDS_MAX];
    const size_t n = split(line, line_size, fields);
    enum wp_status first = WP_OK;
    if (n > 1 && !has_column(fields, n)) {
        return refuse_heading(reader, &fields[0]);
    }
    for (int i = 0; i < N_COLUMNS; i++) {
        reader->field_of[i] = -1;
    }
    for (size_t i = 0; i < n && i < FIELDS_MAX; i++) {
        const enum wp_status status = note_column(reader, &fields[i], (int)i);
        first = first ? first : status;
    }
    for (int i = 0; i < N_NEEDED && !first; i++) {
        if (reader->field_of[i] < 0) {
            first = wp_diags_add(reader->diags, WP_E_MISSING, reader->name, mark_at(reader, 1),
                                 "a list needs t_s, tube and speed_m_s",
                                 "no column '%s'; expected it in the heading", column_names[i]);
        }
    }
    reader->n_fields = n;
    return first;
}

/* All of a field as a number. */
static bool is_number(const struct strike_field *field, double *value)
{
    char text[64];
    if (field->size == 0 || field->size >= sizeof text) {
        return false;
    }
    memcpy(text, field->text, field->size);
    text[field->size] = '\0';
    return wp_decimal_parse(text, value) == text + field->size;
}

/* A number; NAN with WP_OK for a column that is absent or left empty. */
static enum wp_status read_number(const struct strike_reader *reader,
                                  const struct strike_field *fields, int column, double *value)
{
    *value = NAN;
    const int place = reader->field_of[column];
    if (place < 0 || (column >= N_NEEDED && fields[place].size == 0)) {
        return WP_OK;
    }
    const struct strike_field *field = &fields[place];
    if (is_number(field, value)) {
        return WP_OK;
    }
    return wp_diags_add(reader->diags, WP_E_SYNTAX, reader->name, mark_at(reader, field->column),
                        "write numbers with a decimal point and without a unit",
                        "%s is '%s'; expected a number", column_names[column], show(field).text);
}

/* Refuses a value outside of least to most; NAN stands for a value left out. */
static enum wp_status check_bounds(const struct strike_reader *reader,
                                   const struct strike_field *fields, int column, double value,
                                   const double bounds[2])
{
    if (isnan(value) || (value >= bounds[0] && value <= bounds[1])) {
        return WP_OK;
    }
    return wp_diags_add(reader->diags, WP_E_RANGE, reader->name,
                        mark_at(reader, fields[reader->field_of[column]].column), NULL,
                        "%s is %g; expected %g to %g", column_names[column], value, bounds[0],
                        bounds[1]);
}

static enum wp_status read_tube(const struct strike_reader *reader,
                                const struct strike_field *fields, size_t *tube)
{
    double number;
    const enum wp_status status = read_number(reader, fields, COLUMN_TUBE, &number);
    if (status) {
        return status;
    }
    const size_t n_tubes = reader->context->layout->n_tubes;
    if (number >= 1.0 && number <= (double)n_tubes && number == floor(number)) {
        *tube = (size_t)number - 1;
        return WP_OK;
    }
    return wp_diags_add(reader->diags, WP_E_RANGE, reader->name,
                        mark_at(reader, fields[reader->field_of[COLUMN_TUBE]].column),
                        "tubes count from 1 in the order of the set file",
                        "no tube %g; expected a whole number from 1 to %zu", number, n_tubes);
}

/* What is neither a blow nor a rest nor a leave, and a rest or leave that strikes. */
static enum wp_status check_kind(const struct strike_reader *reader,
                                 const struct strike_field *fields, const struct wp_strike *strike)
{
    const double speed_m_s = fabs(strike->speed_m_s);
    if (speed_m_s > 0.0 && speed_m_s < slowest_m_s) {
        return wp_diags_add(reader->diags, WP_E_RANGE, reader->name,
                            mark_at(reader, fields[reader->field_of[COLUMN_SPEED]].column),
                            "0: comes to rest on the tube; below 0: leaves it",
                            "speed_m_s is %g; expected at least %g for a blow", strike->speed_m_s,
                            slowest_m_s);
    }
    if (!wp_strike_is_blow(strike) && strike->impulse_n_s > 0.0) {
        return wp_diags_add(reader->diags, WP_E_CONFLICT, reader->name,
                            mark_at(reader, fields[reader->field_of[COLUMN_IMPULSE]].column),
                            "a blow has a speed above 0",
                            "impulse_n_s is %g at a speed of %g; expected 0 or nothing",
                            strike->impulse_n_s, strike->speed_m_s);
    }
    return WP_OK;
}

/* The first error of a line is enough: what follows may be shifted by it. */
static enum wp_status read_values(const struct strike_reader *reader,
                                  const struct strike_field *fields, struct wp_strike *strike)
{
    enum wp_status status = read_tube(reader, fields, &strike->tube);
    if (status) {
        return status;
    }
    const double length_m = reader->context->chime->tubes[strike->tube].spec.length_m;
    const struct {
        int column;
        double *value;
        double bounds[2];
    } values[] = {
        {COLUMN_TIME, &strike->t_s, {0.0, longest_s}},
        {COLUMN_SPEED, &strike->speed_m_s, {-fastest_m_s, fastest_m_s}},
        {COLUMN_BEARING, &strike->bearing_deg, {-360.0, 360.0}},
        {COLUMN_HEIGHT, &strike->height_m, {0.0, length_m + height_play_m}},
        {COLUMN_IMPULSE, &strike->impulse_n_s, {0.0, largest_n_s}},
    };
    for (size_t i = 0; i < sizeof values / sizeof values[0] && !status; i++) {
        status = read_number(reader, fields, values[i].column, values[i].value);
        if (!status) {
            status =
                check_bounds(reader, fields, values[i].column, *values[i].value, values[i].bounds);
        }
    }
    return status ? status : check_kind(reader, fields, strike);
}

enum wp_status wp_strike_read_line(struct strike_reader *reader, const char *line, size_t line_size,
                                   struct wp_strike *strike)
{
    struct strike_field fields[FIELDS_MAX];
    const size_t n = split(line, line_size, fields);
    if (n != reader->n_fields) {
        return wp_diags_add(reader->diags, WP_E_SYNTAX, reader->name, mark_at(reader, 1),
                            "a comma between two columns, a point in decimals",
                            "the line has %zu field%s; expected %zu as in the heading", n,
                            n == 1 ? "" : "s", reader->n_fields);
    }
    const enum wp_status status = read_values(reader, fields, strike);
    if (status) {
        return status;
    }
    if (strike->bearing_deg < 0.0) {
        strike->bearing_deg += 360.0;
    }
    if (strike->bearing_deg >= 360.0) { /* also what a tiny negative number becomes */
        strike->bearing_deg = 0.0;
    }
    if (!wp_strike_is_blow(strike)) {
        strike->impulse_n_s = 0.0;
    }
    wp_blow_place(strike, reader->context->layout);
    return WP_OK;
}
