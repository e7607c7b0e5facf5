/* SPDX-License-Identifier: MIT */
/* Finds where a local clock was set back or forward, and counts times on. */
#include "weather/clock_change.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>

#include "weather/calendar.h"

enum { CHANGES_MAX = 24 };

static const double day_s = 86400.0;

/* Common practice, no source: clocks change by an hour, in one place by half of it; half a year
 * lies between two changes, never less than a hundred days. */
static const double shifts_s[] = {3600.0, 1800.0};
static const double apart_s = 100.0 * 86400.0;

/* A step of the clock, before a row. */
struct change {
    size_t row;     /* in order of time */
    double shift_s; /* of the rows from there on; above 0: set back */
};

/* Rows as time goes, also where a file has the newest first. */
struct course {
    struct wp_row *rows;
    size_t n;
    bool is_backwards;
    double zone_s;
    double step_s; /* the usual one */
    struct change changes[CHANGES_MAX];
    size_t n_changes;
};

static struct wp_row *row_at(const struct course *course, size_t i)
{
    return &course->rows[course->is_backwards ? course->n - 1 - i : i];
}

static double time_at(const struct course *course, size_t i)
{
    return row_at(course, i)->record.t_s;
}

static int compare_doubles(const void *left, const void *right)
{
    const double a = *(const double *)left;
    const double b = *(const double *)right;
    return (a > b) - (a < b);
}

/* The median of the steps; false: no memory. */
static bool find_step(struct course *course)
{
    double *const steps_s = malloc(course->n * sizeof *steps_s);
    if (!steps_s) {
        return false;
    }
    for (size_t i = 1; i < course->n; i++) {
        steps_s[i - 1] = fabs(time_at(course, i) - time_at(course, i - 1));
    }
    qsort(steps_s, course->n - 1, sizeof steps_s[0], compare_doubles);
    course->step_s = steps_s[(course->n - 1) / 2];
    free(steps_s);
    return true;
}

/* Days since Sunday by the local clock; 1970-01-01 was a Thursday. */
static int weekday(const struct course *course, double t_s)
{
    const double day = floor((t_s + course->zone_s) / day_s) + 4.0;
    return (int)(day - 7.0 * floor(day / 7.0));
}

static double hour_of_day(const struct course *course, double t_s)
{
    const double local_s = t_s + course->zone_s;
    return (local_s - day_s * floor(local_s / day_s)) / 3600.0;
}

/* The small hours of a Sunday in spring or autumn: with records an hour apart, one time that comes
 * twice may as well be a correction. */
static bool is_usual_night(const struct course *course, double t_s)
{
    const int month = wp_date_at(t_s + course->zone_s).month;
    return weekday(course, t_s) == 0 && hour_of_day(course, t_s) <= 4.0 &&
           ((month >= 3 && month <= 4) || (month >= 9 && month <= 11));
}

/* By how much the clock was set back before row i; 0: it was not. */
static double shift_before(const struct course *course, size_t i)
{
    const double step_s = time_at(course, i) - time_at(course, i - 1);
    double best_s = 0.0;
    for (size_t k = 0; k < sizeof shifts_s / sizeof shifts_s[0]; k++) {
        const double true_s = step_s + shifts_s[k];
        const bool fits = true_s > 0.0 && true_s <= 2.5 * course->step_s;
        const bool is_nearer =
            best_s == 0.0 || fabs(true_s - course->step_s) < fabs(step_s + best_s - course->step_s);
        best_s = fits && is_nearer ? shifts_s[k] : best_s;
    }
    return step_s < 0.0 || is_usual_night(course, time_at(course, i)) ? best_s : 0.0;
}

/* True when the rows from i on only repeat what stands before, as after a second download. */
static bool is_copy(const struct course *course, size_t i)
{
    size_t before = i - 1;
    while (before > 0 && time_at(course, before - 1) >= time_at(course, i)) {
        before--;
    }
    for (size_t k = i; k < course->n && time_at(course, k) <= time_at(course, i - 1); k++) {
        while (before < i && time_at(course, before) < time_at(course, k)) {
            before++;
        }
        if (before == i || time_at(course, before) != time_at(course, k) ||
            !wp_record_is_same(&row_at(course, before)->record, &row_at(course, k)->record)) {
            return false;
        }
    }
    return true;
}

/* True when the row's time is one that is left out before it: the row only comes late. */
static bool fills_gap(const struct course *course, size_t i)
{
    const double t_s = time_at(course, i);
    size_t next = i - 1;
    while (next > 0 && time_at(course, next - 1) > t_s) {
        next--;
    }
    return next > 0 && time_at(course, next - 1) < t_s &&
           time_at(course, next) - time_at(course, next - 1) > 1.5 * course->step_s;
}

/* Something stands beside the two passes: else they may be two stations, one after the other. */
static bool has_company(const struct course *course, size_t i)
{
    return time_at(course, 0) < time_at(course, i) ||
           time_at(course, course->n - 1) > time_at(course, i - 1);
}

/* Adds the change before row i; false: the row is out of order for another reason. */
static bool add_set_back(struct course *course, size_t i)
{
    const double shift_s = shift_before(course, i);
    const size_t n = course->n_changes;
    const bool is_near =
        n > 0 && time_at(course, i) - time_at(course, course->changes[n - 1].row) < apart_s;
    if (shift_s == 0.0 || is_near || n == CHANGES_MAX / 2 || !has_company(course, i) ||
        is_copy(course, i) || fills_gap(course, i)) {
        return false;
    }
    course->changes[course->n_changes++] = (struct change){i, shift_s};
    return true;
}

/* All places where the clock was set back; false: none, or another disorder than that. */
static bool find_set_back(struct course *course)
{
    for (size_t i = 1; i < course->n; i++) {
        const double step_s = time_at(course, i) - time_at(course, i - 1);
        const bool is_even = step_s > 0.0 || (step_s == 0.0 && is_copy(course, i));
        if (!is_even && !add_set_back(course, i)) {
            return false;
        }
    }
    return course->n_changes > 0;
}

/* The one missing hour between two rows in the small hours of the weekday on which the clock is
 * set back; 0: none, or several. */
static size_t find_set_forward(const struct course *course, size_t from, size_t to,
                               const struct change *back)
{
    const double back_s = time_at(course, back->row);
    size_t found = 0;
    for (size_t i = from + 1; i < to; i++) {
        const double t_s = time_at(course, i);
        const double extra_s = t_s - time_at(course, i - 1) - course->step_s - back->shift_s;
        const double off_s = fabs(t_s - back_s);
        if (fabs(extra_s) > 1.0 || off_s < apart_s || off_s > 366.0 * day_s - apart_s ||
            weekday(course, t_s) != weekday(course, back_s) || hour_of_day(course, t_s) > 5.0) {
            continue;
        }
        if (found > 0) {
            return 0;
        }
        found = i;
    }
    return found;
}

static int compare_changes(const void *left, const void *right)
{
    const struct change *const a = left;
    const struct change *const b = right;
    return (a->row > b->row) - (a->row < b->row);
}

/* Before the first time that the clock was set back, between two, and after the last. */
static void find_all_set_forward(struct course *course)
{
    const size_t n_back = course->n_changes;
    for (size_t k = 0; k <= n_back; k++) {
        const struct change back = course->changes[k < n_back ? k : n_back - 1];
        const size_t from = k > 0 ? course->changes[k - 1].row : 0;
        const size_t to = k < n_back ? course->changes[k].row : course->n;
        const size_t row = find_set_forward(course, from, to, &back);
        if (row > 0) {
            course->changes[course->n_changes++] = (struct change){row, -back.shift_s};
        }
    }
    qsort(course->changes, course->n_changes, sizeof course->changes[0], compare_changes);
}

static void apply(const struct course *course)
{
    double shift_s = 0.0;
    size_t next = 0;
    for (size_t i = 0; i < course->n; i++) {
        if (next < course->n_changes && course->changes[next].row == i) {
            shift_s += course->changes[next++].shift_s;
        }
        row_at(course, i)->record.t_s += shift_s;
    }
}

static void tell(const struct course *course, struct wp_weather *weather)
{
    enum { NAMED = 2 };
    char list[96] = "";
    size_t used = 0;
    for (size_t i = 0; i < course->n_changes && i < NAMED; i++) {
        const struct change *const change = &course->changes[i];
        const int n = snprintf(list + used, sizeof list - used, "%s%s %g min at line %d",
                               i > 0 ? ", " : "", change->shift_s > 0.0 ? "back" : "forward",
                               fabs(change->shift_s) / 60.0, row_at(course, change->row)->line);
        used += n > 0 ? (size_t)n : 0;
    }
    wp_weather_note(weather,
                    "the file's clock is set %s%s: times go on in file order, all in the zone of "
                    "the earliest (--tz is that one)",
                    list, course->n_changes > NAMED ? ", ..." : "");
}

enum wp_status wp_clock_change_undo(struct wp_rows *rows, double zone_s, struct wp_weather *weather)
{
    struct course course = {.rows = rows->rows, .n = rows->n_rows, .zone_s = zone_s};
    if (course.n < 3) {
        return WP_OK;
    }
    course.is_backwards = time_at(&course, course.n - 1) < time_at(&course, 0);
    size_t n_out_of_order = 0;
    for (size_t i = 1; i < course.n; i++) {
        n_out_of_order += !(time_at(&course, i) > time_at(&course, i - 1));
    }
    if (n_out_of_order == 0) {
        return WP_OK;
    }
    if (!find_step(&course)) {
        return WP_E_NO_MEMORY;
    }
    if (find_set_back(&course)) {
        find_all_set_forward(&course);
        tell(&course, weather);
        apply(&course);
    }
    return WP_OK;
}
