/* SPDX-License-Identifier: MIT */
/*
 * Reads NMEA 0183 sentences of wind instruments: MWV and MWD, with the time of ZDA and RMC. The
 * standard (IEC 61162-1) is not free: sentences as in "NMEA Revealed" of the gpsd project and in
 * the public parsers that quote the standard's sentence tables.
 */
#include <math.h>
#include <string.h>

#include "weather/calendar.h"
#include "weather/line_format.h"

/* What tells the wind best, when an instrument sends more than one kind. */
enum rank {
    RANK_NONE,
    RANK_RELATIVE,      /* MWV,R: as the instrument feels it */
    RANK_NO_DIRECTION,  /* MWD without a direction */
    RANK_THEORETICAL,   /* MWV,T: on a boat, its own motion taken off */
    RANK_TRUE_DIRECTION /* MWD */
};

/* A wind sentence in SI units. */
struct wind {
    enum rank rank;
    double speed_m_s;
    double from_deg; /* NAN: none */
};

/* Winds since the last time, which their mean will bear. */
struct state {
    enum rank best;
    bool has_times; /* the file has sentences of time: winds wait for the next one */
    double day_s;   /* midnight of the date told last, or of the reference's */
    bool is_date_told;
    double time_s; /* the last one */
    size_t n_winds;
    double sum_m_s;
    double north_m_s;
    double east_m_s;
    bool has_from;
};

enum { FIELDS_MAX = 16 };

static int hex_digit(char letter)
{
    static const char digits[] = "0123456789abcdef";
    const char small = letter >= 'A' && letter <= 'F' ? (char)(letter - 'A' + 'a') : letter;
    const char *const at = small != '\0' ? strchr(digits, small) : NULL;
    return at ? (int)(at - digits) : -1;
}

/* What stands between the dollar and the asterisk; the exclusive or of its bytes is the checksum,
 * which older instruments leave out. False: a wrong checksum. */
static bool take_body(struct wp_slice sentence, struct wp_slice *body)
{
    *body = (struct wp_slice){sentence.at + 1, sentence.length - 1};
    const char *const mark = memchr(body->at, '*', body->length);
    if (!mark) {
        return true;
    }
    const size_t n_behind = body->length - (size_t)(mark - body->at) - 1;
    body->length = (size_t)(mark - body->at);
    unsigned int sum = 0;
    for (size_t i = 0; i < body->length; i++) {
        sum ^= (unsigned char)body->at[i];
    }
    return n_behind >= 2 && hex_digit(mark[1]) == (int)(sum >> 4) &&
           hex_digit(mark[2]) == (int)(sum & 15U);
}

/* The sentence in a line, behind whatever a logger put in front. */
static bool find_sentence(struct wp_slice line, struct wp_slice *sentence, struct wp_slice *front)
{
    const char *const mark = memchr(line.at, '$', line.length);
    if (!mark || line.at + line.length - mark < 7) {
        return false;
    }
    *front = wp_slice_trim((struct wp_slice){line.at, (size_t)(mark - line.at)});
    *sentence = wp_slice_trim((struct wp_slice){mark, line.length - (size_t)(mark - line.at)});
    return true;
}

/* The three letters behind the talker. */
static bool is_kind(const struct wp_slice *fields, const char *kind)
{
    return fields[0].length == 5 && wp_slice_is((struct wp_slice){fields[0].at + 2, 3}, kind);
}

/* Unit of MWV's speed by its letter. */
static enum wp_unit unit_of(struct wp_slice letter)
{
    static const struct {
        const char *letter;
        enum wp_unit unit;
    } units[] = {{"N", WP_UNIT_KNOT}, {"M", WP_UNIT_M_S}, {"K", WP_UNIT_KM_H}, {"S", WP_UNIT_MPH}};
    for (size_t i = 0; i < sizeof units / sizeof units[0]; i++) {
        if (wp_slice_is(letter, units[i].letter)) {
            return units[i].unit;
        }
    }
    return WP_UNIT_NONE;
}

/* $--MWV,angle,R or T,speed,K M N or S,A or V */
static bool read_mwv(const struct wp_slice *fields, size_t n, struct wind *wind)
{
    double speed = 0.0;
    if (n < 6 || !wp_slice_is(fields[5], "A") || !wp_number_read(fields[3], &speed) ||
        unit_of(fields[4]) == WP_UNIT_NONE) {
        return false;
    }
    wind->rank = wp_slice_is(fields[2], "T") ? RANK_THEORETICAL : RANK_RELATIVE;
    wind->speed_m_s = wp_unit_to_si(unit_of(fields[4]), speed);
    (void)wp_number_read(fields[1], &wind->from_deg);
    return true;
}

/* $--MWD,true,T,magnetic,M,knots,N,m/s,M */
static bool read_mwd(const struct wp_slice *fields, size_t n, struct wind *wind)
{
    double speed = 0.0;
    if (n < 9) {
        return false;
    }
    if (wp_number_read(fields[7], &speed)) {
        wind->speed_m_s = speed;
    } else if (wp_number_read(fields[5], &speed)) {
        wind->speed_m_s = wp_unit_to_si(WP_UNIT_KNOT, speed);
    } else {
        return false;
    }
    wind->rank =
        wp_number_read(fields[1], &wind->from_deg) ? RANK_TRUE_DIRECTION : RANK_NO_DIRECTION;
    return true;
}

static bool is_wind(const struct wp_slice *fields)
{
    return is_kind(fields, "MWV") || is_kind(fields, "MWD");
}

/* False: marked invalid, or empty. */
static bool read_wind(const struct wp_slice *fields, size_t n, struct wind *wind)
{
    *wind = (struct wind){RANK_NONE, NAN, NAN};
    return is_kind(fields, "MWV") ? read_mwv(fields, n, wind) : read_mwd(fields, n, wind);
}

/* Exactly n digits as a number, -1 else. */
static int read_digits(struct wp_slice field, size_t at, size_t n)
{
    int number = 0;
    if (field.length < at + n) {
        return -1;
    }
    for (size_t i = at; i < at + n; i++) {
        if (field.at[i] < '0' || field.at[i] > '9') {
            return -1;
        }
        number = 10 * number + (field.at[i] - '0');
    }
    return number;
}

/* hhmmss, perhaps with a fraction */
static bool read_clock(struct wp_slice field, double *second_of_day)
{
    const int hour = read_digits(field, 0, 2);
    const int minute = read_digits(field, 2, 2);
    const struct wp_slice rest = {field.at + 4, field.length > 4 ? field.length - 4 : 0};
    double second = 0.0;
    if (hour < 0 || hour > 23 || minute < 0 || minute > 59 || !wp_number_read(rest, &second) ||
        !(second >= 0.0 && second < 61.0)) {
        return false;
    }
    *second_of_day = 3600.0 * hour + 60.0 * minute + second;
    return true;
}

/* The date of ZDA (dd,mm,yyyy) or RMC (ddmmyy); false where the fields are empty. */
static bool read_date(const struct wp_slice *fields, size_t n, struct wp_date *date)
{
    if (is_kind(fields, "ZDA") && n > 4) {
        *date = (struct wp_date){read_digits(fields[4], 0, 4), read_digits(fields[3], 0, 2),
                                 read_digits(fields[2], 0, 2)};
    } else if (is_kind(fields, "RMC") && n > 9) {
        const int year = read_digits(fields[9], 4, 2);
        *date = (struct wp_date){year < 0 ? -1 : 2000 + year, read_digits(fields[9], 2, 2),
                                 read_digits(fields[9], 0, 2)};
    } else {
        return false;
    }
    return wp_date_is_valid(*date);
}

static bool is_time(const struct wp_slice *fields)
{
    return is_kind(fields, "ZDA") || is_kind(fields, "RMC");
}

/* The time of ZDA or RMC; without a date the day goes on, past midnight by one. */
static bool read_time(struct state *state, const struct wp_slice *fields, size_t n, double *t_s)
{
    double second = 0.0;
    struct wp_date date;
    if (n < 2 || !read_clock(fields[1], &second)) {
        return false;
    }
    if (read_date(fields, n, &date)) {
        state->day_s = 86400.0 * (double)wp_date_to_days(date);
        state->is_date_told = true;
    } else if (state->day_s + second < state->time_s - 43200.0) {
        state->day_s += 86400.0;
    }
    *t_s = state->day_s + second;
    return true;
}

/* Sets the sum of winds back; their mean as a record. */
static void take_mean(struct state *state, struct wp_record *record)
{
    const double degree = acos(-1.0) / 180.0;
    record->mean_m_s = state->sum_m_s / (double)state->n_winds;
    if (state->has_from && state->sum_m_s > 0.0) {
        const double from_deg = atan2(state->east_m_s, state->north_m_s) / degree;
        record->from_deg = from_deg < 0.0 ? from_deg + 360.0 : from_deg;
    }
    state->n_winds = 0;
    state->sum_m_s = state->north_m_s = state->east_m_s = 0.0;
    state->has_from = false;
}

static void add_wind(struct state *state, double speed_m_s, double from_deg)
{
    const double degree = acos(-1.0) / 180.0;
    state->n_winds++;
    state->sum_m_s += speed_m_s;
    if (!isnan(from_deg)) {
        state->has_from = true;
        state->north_m_s += speed_m_s * cos(from_deg * degree);
        state->east_m_s += speed_m_s * sin(from_deg * degree);
    }
}

/* A logger's stamp in front of the sentence: "1795586400000;deck;". */
static bool read_front(struct wp_slice front, double *t_s)
{
    const struct wp_stamp_rule rule = {.order = WP_ORDER_UNKNOWN};
    struct wp_stamp stamp;
    size_t length = 0;
    while (length < front.length && front.at[length] != ';' && front.at[length] != ',') {
        length++;
    }
    front.length = length;
    if (wp_stamp_read(wp_slice_trim(front), &rule, &stamp)) {
        return false;
    }
    *t_s = stamp.t_s;
    return true;
}

static enum wp_line_outcome take_wind(struct wp_intake *intake, const struct wind *wind,
                                      struct wp_slice front, struct wp_slice found, int line,
                                      struct wp_record *record)
{
    struct state *const state = intake->state;
    if (wind->rank > state->best) {
        state->best = wind->rank;
    }
    if (wind->rank < state->best) {
        return WP_LINE_NOTHING;
    }
    const double speed_m_s =
        wp_intake_number(intake, WP_MEANS_SPEED, WP_UNIT_M_S, wind->speed_m_s, found, line);
    const double from_deg =
        isnan(wind->from_deg)
            ? (double)NAN
            : wp_intake_number(intake, WP_MEANS_FROM, WP_UNIT_DEGREE, wind->from_deg, found, line);
    if (isnan(speed_m_s)) {
        return WP_LINE_NOTHING;
    }
    if (front.length == 0 && state->has_times) {
        add_wind(state, speed_m_s, from_deg);
        return WP_LINE_NOTHING;
    }
    if (front.length > 0) {
        (void)read_front(front, &record->t_s);
    }
    record->mean_m_s = speed_m_s;
    record->from_deg = from_deg;
    return WP_LINE_RECORD;
}

/* A time ends the winds before it, unless it is the one before told once more. */
static enum wp_line_outcome take_time(struct state *state, const struct wp_slice *fields, size_t n,
                                      struct wp_record *record)
{
    double t_s = 0.0;
    if (!read_time(state, fields, n, &t_s) || !(t_s > state->time_s)) {
        return WP_LINE_NOTHING;
    }
    state->time_s = t_s;
    if (state->n_winds == 0) {
        return WP_LINE_NOTHING;
    }
    record->t_s = t_s;
    take_mean(state, record);
    return WP_LINE_RECORD;
}

static enum wp_line_outcome read_sentence(struct wp_intake *intake, struct wp_slice line,
                                          int number, struct wp_record *record)
{
    struct wp_slice sentence;
    struct wp_slice front;
    struct wp_slice body;
    struct wp_slice fields[FIELDS_MAX];
    if (!find_sentence(line, &sentence, &front)) {
        return WP_LINE_NOTHING;
    }
    const bool is_whole = take_body(sentence, &body);
    size_t n = wp_fields_split(body, ',', fields, FIELDS_MAX);
    n = n < FIELDS_MAX ? n : FIELDS_MAX;
    if (!is_wind(fields) && !is_time(fields)) {
        return WP_LINE_NOTHING;
    }
    if (!is_whole) {
        return wp_intake_reject(intake, WP_REPAIR_CHECKSUM, number, sentence);
    }
    if (is_time(fields)) {
        return take_time(intake->state, fields, n, record);
    }
    struct wind wind;
    if (!read_wind(fields, n, &wind)) {
        return wp_intake_reject(intake, WP_REPAIR_INVALID, number, sentence);
    }
    return take_wind(intake, &wind, front, sentence, number, record);
}

/* Looks through a file for the best kind of sentence, and for times. */
static void survey(const struct wp_intake *intake, struct state *state)
{
    struct wp_lines lines;
    struct wp_slice line;
    wp_lines_init(&lines, intake->source.text, intake->source.size);
    while (wp_lines_next(&lines, &line)) {
        struct wp_slice sentence;
        struct wp_slice front;
        struct wp_slice body;
        struct wp_slice fields[FIELDS_MAX];
        if (!find_sentence(line, &sentence, &front) || !take_body(sentence, &body)) {
            continue;
        }
        size_t n = wp_fields_split(body, ',', fields, FIELDS_MAX);
        n = n < FIELDS_MAX ? n : FIELDS_MAX;
        struct wind wind;
        double t_s = 0.0;
        if (is_wind(fields) && read_wind(fields, n, &wind)) {
            state->best = wind.rank > state->best ? wind.rank : state->best;
        } else if (is_time(fields)) {
            state->has_times |= read_time(state, fields, n, &t_s);
        }
    }
}

static void describe(struct wp_intake *intake)
{
    static const char *const names[] = {"MWV or MWD", "MWV relative", "MWD", "MWV theoretical",
                                        "MWD"};
    const double reference_s = intake->config->reference_s;
    const bool has_reference = isfinite(reference_s) && fabs(reference_s) < 2e11;
    struct state *const state = intake->state;
    if (intake->source.text) {
        survey(intake, state);
    }
    if (state->has_times && !state->is_date_told) {
        wp_weather_note(intake->weather, "the times have no date: they are taken as those of %s",
                        has_reference ? "the file's date" : "1970-01-01");
    }
    state->day_s = has_reference ? 86400.0 * floor(reference_s / 86400.0) : 0.0;
    state->time_s = -INFINITY;
    intake->zone_known = "UTC, as the format has it";
    const char *const name = names[state->best];
    const struct wp_slice heading = {name, strlen(name)};
    if (state->has_times) {
        wp_intake_describe(intake, "time", (struct wp_slice){"ZDA or RMC", 10}, WP_UNIT_NONE,
                           "UTC");
    }
    wp_intake_describe(intake, "speed", heading, WP_UNIT_NONE, "each sentence names its unit");
    wp_intake_describe(intake, "from", heading, WP_UNIT_DEGREE, "by the format");
    if (state->best == RANK_RELATIVE || state->best == RANK_THEORETICAL) {
        wp_weather_note(intake->weather,
                        "MWV counts the direction from the instrument's own zero mark: right where "
                        "that points north");
    }
}

const struct wp_line_format *wp_nmea_format(void)
{
    static const struct wp_line_format format = {"NMEA 0183", sizeof(struct state), read_sentence,
                                                 describe};
    return &format;
}
