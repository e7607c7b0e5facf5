/* SPDX-License-Identifier: MIT */
/* How hard strikes are, and how they go with the wind and its gusts. */
#include "windpeal/course.h"

#include <math.h>

#include "base/exact.h"

/* Ends of the bins: WP_SPEED_DECADES apart. */
static const double slowest_m_s = 1e-5;
static const double fastest_m_s = 10.0;
static const double minute_s = 60.0;
/* WMO-No. 8, part I, chapter 5: gusts are means over 3 s, means are taken over ten minutes. A
 * first-order filter of half that time averages over as much. */
static const double gust_filter_s = 1.5;
static const double mean_filter_s = 300.0;
/* A mean of less than a minute is too young to be left behind by a gust. */
static const double settling_s = 60.0;
static const double pause_s = 10.0;

/* 1 / log(10) times bins a decade. */
static size_t bin_of(double speed_m_s)
{
    const double bins = wp_exact_log(speed_m_s / slowest_m_s) * 0x1.bcb7b1526e50ep-2;
    const double bin = floor((double)WP_SPEEDS_PER_DECADE * bins + 1e-9);
    return (size_t)fmin(fmax(bin, 0.0), (double)(WP_SPEED_BINS - 1));
}

/* Lower end of a bin, which need not be whole. */
static double speed_at(double bin)
{
    return slowest_m_s * wp_exact_pow(10.0, bin / (double)WP_SPEEDS_PER_DECADE);
}

void wp_speed_spread_add(struct wp_speed_spread *spread, double speed_m_s)
{
    spread->n_strikes++;
    spread->per_bin[bin_of(speed_m_s)]++;
}

double wp_speed_spread_quantile(const struct wp_speed_spread *spread, double share_01)
{
    const double wanted = share_01 * (double)spread->n_strikes;
    double below = 0.0;
    for (size_t i = 0; i < WP_SPEED_BINS; i++) {
        const double here = (double)spread->per_bin[i];
        if (here > 0.0 && below + here >= wanted) {
            return speed_at((double)i + (wanted - below) / here);
        }
        below += here;
    }
    return NAN;
}

size_t wp_speed_spread_count(const struct wp_speed_spread *spread, double from_m_s, double to_m_s)
{
    /* Neighbouring stretches share no bin; the last bin belongs to what ends above it. */
    const bool is_open = to_m_s >= fastest_m_s;
    const size_t end = is_open ? (size_t)WP_SPEED_BINS : bin_of(to_m_s);
    size_t n = 0;
    for (size_t i = from_m_s > 0.0 ? bin_of(from_m_s) : 0; i < end; i++) {
        n += spread->per_bin[i];
    }
    return n;
}

void wp_course_init(struct wp_course *course, struct wp_wind *wind, double step_s)
{
    *course = (struct wp_course){.wind = wind, .step_s = step_s};
}

static void end_gust(struct wp_course *course)
{
    for (uint64_t tubes = course->gust_tubes; tubes; tubes &= tubes - 1) {
        course->n_gust_tubes++;
    }
    course->is_gust = false;
    course->gust_tubes = 0;
}

static void end_minute(struct wp_course *course)
{
    if (course->minute_s <= 0.0) {
        return;
    }
    const double mean_m_s = course->minute_sum / course->minute_s;
    struct wp_wind_class *into =
        &course->classes[(size_t)fmin(mean_m_s, (double)(WP_WIND_CLASSES - 1))];
    into->duration_s += course->minute_s;
    into->n_strikes += course->minute_strikes;
    course->minute_s = 0.0;
    course->minute_sum = 0.0;
    course->minute_strikes = 0;
}

/* The share of a sample in a running mean: all alike until the filter's time has passed. */
static double weight(double step_s, double time_s, double filter_s)
{
    return fmax(step_s / fmax(time_s, step_s), step_s / (filter_s + step_s));
}

static void follow_gusts(struct wp_course *course, double speed_m_s)
{
    const double t_s = course->now_s;
    const double step_s = course->step_s;
    const double fast = weight(step_s, t_s, gust_filter_s);
    const double slow = weight(step_s, t_s, mean_filter_s);
    course->fast_m_s += fast * (speed_m_s - course->fast_m_s);
    course->mean_m_s += slow * (course->fast_m_s - course->mean_m_s);
    course->mean_square += slow * (course->fast_m_s * course->fast_m_s - course->mean_square);
    const double variance = fmax(course->mean_square - course->mean_m_s * course->mean_m_s, 0.0);
    if (course->is_gust && course->fast_m_s <= course->mean_m_s) {
        end_gust(course);
    } else if (!course->is_gust && t_s > settling_s &&
               course->fast_m_s > course->mean_m_s + sqrt(variance)) {
        course->is_gust = true;
        course->n_gusts++;
    }
}

/* Steps the wind to until_s. A sample holds until the next one. */
static void advance(struct wp_course *course, double until_s)
{
    const double step_s = course->step_s;
    struct wp_wind_sample sample;
    while (course->wind && course->now_s < until_s) {
        wp_wind_step(course->wind, &sample);
        if (course->minute_s + 0.5 * step_s >= minute_s) {
            end_minute(course);
        }
        course->minute_sum += step_s * sample.speed_m_s;
        course->minute_s += step_s;
        course->now_s = sample.t_s + step_s;
        follow_gusts(course, sample.speed_m_s);
    }
}

void wp_course_add(struct wp_course *course, const struct wp_strike *strike)
{
    if (!wp_strike_is_blow(strike)) {
        return;
    }
    advance(course, strike->t_s);
    course->minute_strikes++;
    if (course->is_gust) {
        course->gust_tubes |= UINT64_C(1) << strike->tube;
    }
    course->n_silences += strike->t_s - course->last_t_s > pause_s;
    course->last_t_s = strike->t_s;
    wp_speed_spread_add(&course->speeds, strike->speed_m_s);
}

void wp_course_end(struct wp_course *course, double duration_s)
{
    advance(course, duration_s);
    course->n_silences += duration_s - course->last_t_s > pause_s;
    end_minute(course);
    if (course->is_gust) {
        end_gust(course);
    }
}
