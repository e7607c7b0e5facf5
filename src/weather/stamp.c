/* SPDX-License-Identifier: MIT */
/* Reads time stamps: dates, clocks, zones and epoch counts. */
#include "weather/stamp.h"

#include <math.h>
#include <string.h>

#include "weather/calendar.h"
#include "windpeal/weather.h"

/* A place in the text that moves on as pieces are taken. */
struct cursor {
    const char *at;
    const char *end;
};

static bool is_digit(char letter)
{
    return letter >= '0' && letter <= '9';
}

static char peek(const struct cursor *cursor)
{
    return cursor->at < cursor->end ? *cursor->at : '\0';
}

static bool take(struct cursor *cursor, char letter)
{
    const bool is_there = cursor->at < cursor->end && *cursor->at == letter;
    cursor->at += is_there;
    return is_there;
}

static void skip_blanks(struct cursor *cursor)
{
    while (take(cursor, ' ') || take(cursor, '\t')) {
    }
}

/* ASCII word of either case at the cursor, and no letter behind it. */
static bool take_word(struct cursor *cursor, const char *word)
{
    const size_t length = strlen(word);
    const struct wp_slice slice = {cursor->at, length};
    if ((size_t)(cursor->end - cursor->at) < length || !wp_slice_is(slice, word)) {
        return false;
    }
    const char next = cursor->at + length < cursor->end ? cursor->at[length] : '\0';
    if ((next >= 'a' && next <= 'z') || (next >= 'A' && next <= 'Z')) {
        return false;
    }
    cursor->at += length;
    return true;
}

/* Digits at the cursor as a whole number; their count, at most 9, or 0 when there are none or
 * more. */
static int take_digits(struct cursor *cursor, int *value)
{
    int n = 0;
    int number = 0;
    while (n < 9 && is_digit(peek(cursor))) {
        number = 10 * number + (*cursor->at++ - '0');
        n++;
    }
    *value = number;
    return is_digit(peek(cursor)) ? 0 : n;
}

/* Two-digit years as POSIX strptime has them: 69 to 99 are of the last century. */
int wp_year_in_full(int year, int n_digits)
{
    return n_digits > 2 ? year : year < 69 ? 2000 + year : 1900 + year;
}

/* Three numbers of a date and how they were written. */
struct date_parts {
    int numbers[3];
    int n_digits[3]; /* the last 0: no year */
    char mark;       /* between them: '-', '/', '.' or ' '; '\0': yyyymmdd */
    bool has_name;   /* the month is a word, in the middle */
};

/* The first three letters of an English month, and the rest of its name; 0: none. */
static int take_month_name(struct cursor *cursor)
{
    static const char names[12][4] = {"jan", "feb", "mar", "apr", "may", "jun",
                                      "jul", "aug", "sep", "oct", "nov", "dec"};
    for (int i = 0; i < 12 && !is_digit(peek(cursor)); i++) {
        const struct wp_slice slice = {cursor->at, 3};
        if (cursor->end - cursor->at >= 3 && wp_slice_is(slice, names[i])) {
            while ((peek(cursor) | 0x20) >= 'a' && (peek(cursor) | 0x20) <= 'z') {
                cursor->at++;
            }
            return i + 1;
        }
    }
    return 0;
}

/* Nothing of a date follows: the end, or a blank before the clock. */
static bool is_at_end_of_date(const struct cursor *cursor)
{
    return cursor->at == cursor->end || peek(cursor) == ' ' || peek(cursor) == 'T';
}

/* The month and the year behind the first number and its mark. */
static bool take_rest_of_date(struct cursor *cursor, struct date_parts *parts)
{
    parts->numbers[1] = take_month_name(cursor);
    parts->has_name = parts->numbers[1] > 0;
    parts->n_digits[1] = parts->has_name ? 2 : take_digits(cursor, &parts->numbers[1]);
    if (parts->n_digits[1] == 0 || (parts->mark == ' ' && !parts->has_name)) {
        return false;
    }
    parts->n_digits[2] = 0;
    const bool has_mark = take(cursor, parts->mark);
    if (has_mark && is_digit(peek(cursor))) {
        parts->n_digits[2] = take_digits(cursor, &parts->numbers[2]);
        return parts->n_digits[2] > 0;
    }
    /* 25.11. and 25/11 have no year; 25.11 is a number. */
    return has_mark == (parts->mark == '.') && is_at_end_of_date(cursor);
}

/* Apr 11, 2026 */
static bool take_named_month_first(struct cursor *cursor, struct date_parts *parts)
{
    *parts = (struct date_parts){
        .numbers = {0, take_month_name(cursor), 0}, .mark = ' ', .has_name = true};
    skip_blanks(cursor);
    parts->n_digits[0] = take_digits(cursor, &parts->numbers[0]);
    (void)take(cursor, ',');
    skip_blanks(cursor);
    parts->n_digits[2] = take_digits(cursor, &parts->numbers[2]);
    return parts->numbers[1] > 0 && parts->n_digits[0] > 0 && parts->n_digits[0] <= 2 &&
           parts->n_digits[2] == 4;
}

static bool take_date_parts(struct cursor *cursor, struct date_parts *parts)
{
    if (!is_digit(peek(cursor))) {
        return take_named_month_first(cursor, parts);
    }
    *parts = (struct date_parts){.mark = '\0'};
    parts->n_digits[0] = take_digits(cursor, &parts->numbers[0]);
    if (parts->n_digits[0] == 8) {
        const int packed = parts->numbers[0];
        *parts = (struct date_parts){
            {packed / 10000, packed / 100 % 100, packed % 100}, {4, 2, 2}, '\0', false};
        return true;
    }
    const char mark = peek(cursor);
    if (parts->n_digits[0] == 0 || (mark != '-' && mark != '/' && mark != '.' && mark != ' ')) {
        return false;
    }
    parts->mark = mark;
    cursor->at++;
    return take_rest_of_date(cursor, parts);
}

static bool has_year_first(const struct date_parts *parts)
{
    return parts->n_digits[0] == 4;
}

/* 3/4/2026, and 3-4-2026: full stops always mean day.month.year. */
static bool has_open_order(const struct date_parts *parts)
{
    return !has_year_first(parts) && parts->mark != '.' && !parts->has_name;
}

static enum wp_status place_parts(const struct date_parts *parts, const struct wp_stamp_rule *rule,
                                  struct wp_date *date)
{
    const int *const numbers = parts->numbers;
    const enum wp_date_order order =
        has_open_order(parts) ? rule->order : (enum wp_date_order)WP_ORDER_DAY_FIRST;
    const bool has_year = parts->n_digits[2] > 0;
    if (has_year_first(parts)) {
        *date = (struct wp_date){numbers[0], numbers[1], numbers[2]};
        return has_year ? WP_OK : WP_E_SYNTAX;
    }
    if (order == WP_ORDER_UNKNOWN) {
        return WP_E_AMBIGUOUS;
    }
    if (order == WP_ORDER_YEAR_FIRST && has_year) {
        *date = (struct wp_date){wp_year_in_full(numbers[0], parts->n_digits[0]), numbers[1],
                                 numbers[2]};
        return WP_OK;
    }
    const bool is_month_first = order == WP_ORDER_MONTH_FIRST;
    const int year = has_year ? wp_year_in_full(numbers[2], parts->n_digits[2]) : rule->year;
    *date =
        (struct wp_date){year, numbers[is_month_first ? 0 : 1], numbers[is_month_first ? 1 : 0]};
    return year > 0 || has_year ? WP_OK : WP_E_MISSING;
}

static enum wp_status take_date(struct cursor *cursor, const struct wp_stamp_rule *rule,
                                struct wp_date *date)
{
    struct date_parts parts;
    if (!take_date_parts(cursor, &parts)) {
        return WP_E_SYNTAX;
    }
    const enum wp_status status = place_parts(&parts, rule, date);
    return status ? status : wp_date_is_valid(*date) ? WP_OK : WP_E_RANGE;
}

/* hh:mm[:ss[.f]], hh, hhmm or hhmmss. */
static bool take_clock_digits(struct cursor *cursor, int *hour, int *minute, double *second)
{
    int number = 0;
    int whole = 0;
    const int n = take_digits(cursor, &number);
    *minute = 0;
    *second = 0.0;
    if (n == 4 || n == 6) {
        *hour = n == 4 ? number / 100 : number / 10000;
        *minute = n == 4 ? number % 100 : number / 100 % 100;
        whole = n == 4 ? 0 : number % 100;
    } else if (n == 1 || n == 2) {
        *hour = number;
        if (take(cursor, ':') && take_digits(cursor, minute) != 2) {
            return false;
        }
        if (take(cursor, ':') && take_digits(cursor, &whole) != 2) {
            return false;
        }
    } else {
        return false;
    }
    *second = whole;
    if (take(cursor, '.') || take(cursor, ',')) {
        double weight = 0.1;
        while (is_digit(peek(cursor))) {
            *second += weight * (*cursor->at++ - '0');
            weight *= 0.1;
        }
    }
    return true;
}

/* Seconds of the day; 24:00 gives 86400. */
static enum wp_status take_clock(struct cursor *cursor, double *seconds)
{
    int hour = 0;
    int minute = 0;
    double second = 0.0;
    if (!take_clock_digits(cursor, &hour, &minute, &second)) {
        return WP_E_SYNTAX;
    }
    const struct cursor before = *cursor;
    skip_blanks(cursor);
    const bool is_morning = take_word(cursor, "AM") || take_word(cursor, "A");
    const bool is_evening = !is_morning && (take_word(cursor, "PM") || take_word(cursor, "P"));
    if (is_morning || is_evening) {
        if (hour < 1 || hour > 12) {
            return WP_E_RANGE;
        }
        hour = hour % 12 + (is_evening ? 12 : 0);
    } else {
        *cursor = before;
    }
    const bool is_midnight = hour == 24 && minute == 0 && second == 0.0;
    if ((hour > 23 && !is_midnight) || minute > 59 || second >= 61.0) {
        return WP_E_RANGE;
    }
    *seconds = 3600.0 * hour + 60.0 * minute + second;
    return WP_OK;
}

/* +hh:mm, +hhmm, +h or +hh behind a sign. */
static bool take_offset(struct cursor *cursor, double *zone_s)
{
    const double sign = peek(cursor) == '-' ? -1.0 : 1.0;
    if (!take(cursor, '+') && !take(cursor, '-')) {
        return false;
    }
    int hours = 0;
    int minutes = 0;
    const int n = take_digits(cursor, &hours);
    if (n == 4) {
        minutes = hours % 100;
        hours /= 100;
    } else if (n != 1 && n != 2) {
        return false;
    } else if (take(cursor, ':') && take_digits(cursor, &minutes) != 2) {
        return false;
    }
    *zone_s = sign * (3600.0 * hours + 60.0 * minutes);
    return hours < 24 && minutes < 60;
}

/* The rest of a stamp: nothing, or a zone. */
static enum wp_status take_zone(struct cursor *cursor, double *zone_s, bool *has_zone)
{
    skip_blanks(cursor);
    if (cursor->at == cursor->end) {
        return WP_OK;
    }
    const bool is_utc =
        take_word(cursor, "Z") || take_word(cursor, "UTC") || take_word(cursor, "GMT");
    *has_zone = true;
    if (is_utc) {
        *zone_s = 0.0;
    }
    if (cursor->at < cursor->end && !take_offset(cursor, zone_s)) {
        return WP_E_SYNTAX;
    }
    return cursor->at == cursor->end ? WP_OK : WP_E_SYNTAX;
}

static enum wp_status read_calendar(struct cursor cursor, const struct wp_stamp_rule *rule,
                                    struct wp_stamp *stamp)
{
    struct wp_date date = {0, 0, 0};
    double seconds = 0.0;
    double zone_s = rule->zone_s;
    bool has_zone = false;
    enum wp_status status = take_date(&cursor, rule, &date);
    if (status) {
        return status;
    }
    if (cursor.at < cursor.end) {
        const bool has_mark = take(&cursor, 'T') || take(&cursor, 't') || take(&cursor, '_');
        skip_blanks(&cursor);
        status = has_mark || is_digit(peek(&cursor)) ? take_clock(&cursor, &seconds) : WP_OK;
        if (!status) {
            status = take_zone(&cursor, &zone_s, &has_zone);
        }
        if (status) {
            return status;
        }
    }
    const double t_s = 86400.0 * (double)wp_date_to_days(date) + seconds - zone_s;
    *stamp = (struct wp_stamp){t_s, has_zone, false};
    return WP_OK;
}

/* yyyymmddhh, yyyymmddhhmm or yyyymmddhhmmss. */
static enum wp_status read_packed(struct wp_slice text, const struct wp_stamp_rule *rule,
                                  struct wp_stamp *stamp)
{
    char digits[] = "yyyymmdd hh0000";
    memcpy(digits, text.at, 8);
    memcpy(digits + 9, text.at + 8, text.length - 8);
    const struct cursor cursor = {digits, digits + sizeof digits - 1};
    return read_calendar(cursor, rule, stamp);
}

/* Count of whole digits when the text is a bare number (a fraction may follow), else 0. */
static size_t bare_digits(struct wp_slice text)
{
    size_t n = 0;
    while (n < text.length && is_digit(text.at[n])) {
        n++;
    }
    size_t rest = n;
    rest += rest < text.length && text.at[rest] == '.';
    while (rest < text.length && is_digit(text.at[rest])) {
        rest++;
    }
    return rest == text.length ? n : 0;
}

/* Unit of an epoch count by its digits: 9 or 10 are seconds from 1973 to 2286, 13 ms, 16 us, 19 ns.
 * 0: no epoch count. */
static double tick_of(size_t n_digits)
{
    switch (n_digits) {
    case 9:
    case 10:
        return 1.0;
    case 13:
        return 1e-3;
    case 16:
        return 1e-6;
    case 19:
        return 1e-9;
    default:
        return 0.0;
    }
}

static enum wp_status read_epoch(struct wp_slice text, double tick_s, struct wp_stamp *stamp)
{
    /* 9999-12-31T23:59:59Z and 0001-01-01T00:00:00Z, the limits of RFC 3339. */
    static const double last_s = 253402300799.0;
    static const double first_s = -62135596800.0;
    static const double epoch_from_s = 1e8; /* 1973 */
    double count = 0.0;
    if (!wp_number_read(text, &count)) {
        return WP_E_SYNTAX;
    }
    const double t_s = tick_s < 1.0 ? count / round(1.0 / tick_s) : count * tick_s;
    if (!(t_s >= first_s && t_s <= last_s)) {
        return WP_E_RANGE;
    }
    *stamp = (struct wp_stamp){t_s, true, fabs(t_s) < epoch_from_s};
    return WP_OK;
}

/* Days since 1899-12-30, whose fraction or the clock behind them is the time of day. Spreadsheets
 * write so many digits that whole seconds come out within a twentieth. */
static enum wp_status read_serial(struct wp_slice text, const struct wp_stamp_rule *rule,
                                  struct wp_stamp *stamp)
{
    static const double days_to_1970 = 25569.0;
    struct wp_slice parts[2];
    double days = 0.0;
    double seconds = 0.0;
    const size_t n = wp_fields_split(text, ' ', parts, 2);
    if (n < 1 || n > 2 || !wp_number_read(parts[0], &days)) {
        return WP_E_SYNTAX;
    }
    if (!(days >= 1.0 && days < 2958466.0)) {
        return WP_E_RANGE; /* the year 9999 ends */
    }
    if (n == 2 && wp_number_read(parts[1], &seconds) && seconds < 1.0) {
        seconds *= 86400.0;
    } else if (n == 2 && !wp_clock_read(parts[1], &seconds)) {
        return WP_E_SYNTAX;
    }
    seconds += 86400.0 * (days - days_to_1970);
    const double whole_s = round(seconds);
    seconds = fabs(seconds - whole_s) < 0.05 ? whole_s : seconds;
    *stamp = (struct wp_stamp){seconds - rule->zone_s, false, false};
    return WP_OK;
}

bool wp_stamp_is_serial(struct wp_slice text)
{
    double days = 0.0;
    text = wp_slice_trim(text);
    return wp_number_read(text, &days) && days >= 32874.0 && days < 54789.0;
}

bool wp_clock_read(struct wp_slice text, double *seconds)
{
    text = wp_slice_trim(text);
    struct cursor cursor = {text.at, text.at + text.length};
    double value = 0.0;
    if (!memchr(text.at, ':', text.length) || take_clock(&cursor, &value) ||
        cursor.at != cursor.end) {
        return false;
    }
    *seconds = value;
    return true;
}

enum wp_status wp_stamp_read(struct wp_slice text, const struct wp_stamp_rule *rule,
                             struct wp_stamp *stamp)
{
    text = wp_slice_trim(text);
    double count = 0.0;
    if (rule->has_serial_days && !read_serial(text, rule, stamp)) {
        return WP_OK;
    }
    if (rule->tick_s > 0.0 && wp_number_read(text, &count)) {
        return read_epoch(text, rule->tick_s, stamp);
    }
    const size_t n_digits = bare_digits(text);
    if (n_digits == text.length && (n_digits == 12 || n_digits == 14)) {
        return read_packed(text, rule, stamp);
    }
    if (n_digits == text.length && n_digits == 10 && text.at[0] >= '2') {
        /* Seconds of the years after 2033, or an hour of our century: an hour while it is one. */
        const enum wp_status status = read_packed(text, rule, stamp);
        return status ? read_epoch(text, 1.0, stamp) : status;
    }
    if (tick_of(n_digits) > 0.0) {
        return read_epoch(text, tick_of(n_digits), stamp);
    }
    const struct cursor cursor = {text.at, text.at + text.length};
    return read_calendar(cursor, rule, stamp);
}

bool wp_stamp_needs_order(struct wp_slice text, enum wp_date_order *order)
{
    text = wp_slice_trim(text);
    struct cursor cursor = {text.at, text.at + text.length};
    struct date_parts parts;
    if (!take_date_parts(&cursor, &parts) || !has_open_order(&parts)) {
        return false;
    }
    *order = parts.numbers[0] > 31   ? WP_ORDER_YEAR_FIRST
             : parts.numbers[0] > 12 ? WP_ORDER_DAY_FIRST
             : parts.numbers[1] > 12 ? WP_ORDER_MONTH_FIRST
                                     : WP_ORDER_UNKNOWN;
    return true;
}

bool wp_stamp_zone_in(struct wp_slice heading, double *zone_s)
{
    const char *at = wp_slice_find(heading, "utc");
    at = at ? at : wp_slice_find(heading, "gmt");
    if (!at) {
        return false;
    }
    struct cursor cursor = {at + 3, heading.at + heading.length};
    skip_blanks(&cursor);
    double offset_s = 0.0;
    *zone_s = take_offset(&cursor, &offset_s) ? offset_s : 0.0;
    return true;
}

enum wp_status wp_time_parse(const char *text, double utc_offset_s, double *t_s)
{
    const struct wp_stamp_rule rule = {.zone_s = utc_offset_s, .tick_s = 1.0};
    struct wp_stamp stamp = {0.0, false, false};
    const enum wp_status status =
        wp_stamp_read((struct wp_slice){text, strlen(text)}, &rule, &stamp);
    if (!status) {
        *t_s = stamp.t_s;
    }
    return status;
}
