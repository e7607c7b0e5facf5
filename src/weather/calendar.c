/* SPDX-License-Identifier: MIT */
/* Turns dates into days since 1970 and back, and writes times as RFC 3339. */
#include "weather/calendar.h"

#include <math.h>
#include <stdio.h>

#include "windpeal/weather.h"

enum {
    DAYS_PER_YEAR = 365,
    DAYS_PER_4_YEARS = 1461,
    DAYS_PER_CENTURY = 36524,
    DAYS_PER_400_YEARS = 146097,
    EPOCH_DAY = 719162, /* days from 0001-01-01 to 1970-01-01 */
    LAST_DAY = 3652058, /* days from 0001-01-01 to 9999-12-31 */
    SECONDS_PER_DAY = 86400,
};

static bool is_leap(int year)
{
    return (year % 4 == 0 && year % 100 != 0) || year % 400 == 0;
}

/* Days of the year before the first of a month; month 13: the length of the year. */
static int days_before_month(int year, int month)
{
    static const int before[13] = {0,   31,  59,  90,  120, 151,          181,
                                   212, 243, 273, 304, 334, DAYS_PER_YEAR};
    return before[month - 1] + (month > 2 && is_leap(year) ? 1 : 0);
}

bool wp_date_is_valid(struct wp_date date)
{
    if (date.year < 1 || date.year > 9999 || date.month < 1 || date.month > 12) {
        return false;
    }
    const int length =
        days_before_month(date.year, date.month + 1) - days_before_month(date.year, date.month);
    return date.day >= 1 && date.day <= length;
}

int64_t wp_date_to_days(struct wp_date date)
{
    const int64_t years = date.year - 1;
    const int64_t before_year = years * DAYS_PER_YEAR + years / 4 - years / 100 + years / 400;
    return before_year + days_before_month(date.year, date.month) + date.day - 1 - EPOCH_DAY;
}

/* The last year of four, and of four centuries, is the long one: its 366th day must not count as
 * the first of a year that would follow. */
static int64_t whole_units(int64_t days, int64_t unit, int64_t n_max)
{
    const int64_t n = days / unit;
    return n < n_max ? n : n_max;
}

struct wp_date wp_date_from_days(int64_t days)
{
    int64_t rest = days + EPOCH_DAY;
    const int64_t eras = rest / DAYS_PER_400_YEARS;
    rest -= eras * DAYS_PER_400_YEARS;
    const int64_t centuries = whole_units(rest, DAYS_PER_CENTURY, 3);
    rest -= centuries * DAYS_PER_CENTURY;
    const int64_t fours = rest / DAYS_PER_4_YEARS;
    rest -= fours * DAYS_PER_4_YEARS;
    const int64_t years = whole_units(rest, DAYS_PER_YEAR, 3);
    rest -= years * DAYS_PER_YEAR;

    struct wp_date date = {(int)(400 * eras + 100 * centuries + 4 * fours + years) + 1, 12, 1};
    while (days_before_month(date.year, date.month) > rest) {
        date.month--;
    }
    date.day = (int)rest - days_before_month(date.year, date.month) + 1;
    return date;
}

struct wp_date wp_date_at(double t_s)
{
    return wp_date_from_days((int64_t)floor(t_s / SECONDS_PER_DAY));
}

void wp_time_format(double t_s, char *text, size_t text_size)
{
    const double rounded_s = floor(t_s + 0.5);
    const double day = floor(rounded_s / SECONDS_PER_DAY);
    if (!(day >= -EPOCH_DAY && day <= LAST_DAY - EPOCH_DAY)) {
        (void)snprintf(text, text_size, "no date");
        return;
    }
    const struct wp_date date = wp_date_from_days((int64_t)day);
    const int second = (int)(rounded_s - day * SECONDS_PER_DAY);
    (void)snprintf(text, text_size, "%04d-%02d-%02dT%02d:%02d:%02dZ", date.year, date.month,
                   date.day, second / 3600, second / 60 % 60, second % 60);
}
