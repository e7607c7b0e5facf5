/* SPDX-License-Identifier: MIT */
/* Draws a course of wind in letters. */
#include <math.h>
#include <string.h>

#include "app/weather_report.h"

enum { STRETCHES = 12, BAR_WIDTH = 36 };

/* What the records of a stretch of time tell. */
struct stretch {
    double start_s;
    size_t n_means;
    double sum_m_s;
    double most_m_s; /* NAN: no records */
    double north_m_s;
    double east_m_s;
};

static void gather(const struct wp_record *record, struct stretch *stretch)
{
    const double degree = acos(-1.0) / 180.0;
    stretch->most_m_s = fmax(stretch->most_m_s, fmax(record->mean_m_s, record->gust_m_s));
    if (isnan(record->mean_m_s)) {
        return;
    }
    stretch->n_means++;
    stretch->sum_m_s += record->mean_m_s;
    if (!isnan(record->from_deg)) {
        stretch->north_m_s += record->mean_m_s * cos(record->from_deg * degree);
        stretch->east_m_s += record->mean_m_s * sin(record->from_deg * degree);
    }
}

/* One of sixteen points; "-" without a direction. */
static const char *point_of(const struct stretch *stretch)
{
    static const char *const points[] = {"N", "NNE", "NE", "ENE", "E", "ESE", "SE", "SSE",
                                         "S", "SSW", "SW", "WSW", "W", "WNW", "NW", "NNW"};
    if (!(hypot(stretch->north_m_s, stretch->east_m_s) > 1e-9)) {
        return "-";
    }
    const double sixteenths =
        atan2(stretch->east_m_s, stretch->north_m_s) * 8.0 / acos(-1.0) + 16.0;
    return points[(size_t)lround(sixteenths) % 16];
}

/* Marks up to the mean, then dots up to the gust. */
static void print_bar(FILE *out, double mean_m_s, double gust_m_s, double most_m_s)
{
    const long n_mean = lround(BAR_WIDTH * mean_m_s / most_m_s);
    const long n_gust = lround(BAR_WIDTH * gust_m_s / most_m_s);
    for (long i = 0; i < n_gust; i++) {
        fputc(i < n_mean ? '#' : '.', out);
    }
}

static void print_stretch(FILE *out, const struct stretch *stretch, double most_m_s)
{
    char time[32];
    wp_time_format(stretch->start_s, time, sizeof time);
    time[10] = ' ';
    fprintf(out, "%.16s", time);
    if (stretch->n_means == 0) {
        fputs("       -       -\n", out);
        return;
    }
    const double mean_m_s = stretch->sum_m_s / (double)stretch->n_means;
    const char *point = point_of(stretch);
    fprintf(out, "  %6.1f  %6.1f  %s", mean_m_s, stretch->most_m_s, point);
    if (stretch->most_m_s > 0.0) {
        fprintf(out, "%*s", (int)(6 - strlen(point)), "");
        print_bar(out, mean_m_s, stretch->most_m_s, most_m_s);
    }
    fputc('\n', out);
}

void app_weather_chart(FILE *out, const struct app_weather *source)
{
    struct stretch stretches[STRETCHES];
    const struct wp_weather *weather = &source->weather;
    const double length_s = (source->span_end_s - source->span_start_s) / STRETCHES;
    double most_m_s = 0.0;
    if (!source->is_clocked || weather->n_records < STRETCHES || !(length_s > 0.0)) {
        return;
    }
    for (size_t i = 0; i < STRETCHES; i++) {
        stretches[i] = (struct stretch){.start_s = source->span_start_s + (double)i * length_s,
                                        .most_m_s = NAN};
    }
    for (size_t i = 0; i < weather->n_records; i++) {
        /* A record speaks of the time before its stamp. */
        const double since_s =
            weather->records[i].t_s - 0.5 * weather->interval_s - source->span_start_s;
        const double index = fmin(fmax(floor(since_s / length_s), 0.0), STRETCHES - 1.0);
        gather(&weather->records[i], &stretches[(size_t)index]);
    }
    for (size_t i = 0; i < STRETCHES; i++) {
        most_m_s = fmax(most_m_s, stretches[i].most_m_s);
    }
    if (!(most_m_s > 0.0)) {
        return;
    }
    fputs("\nfrom (UTC)          mean    gust  dir   m/s\n", out);
    for (size_t i = 0; i < STRETCHES; i++) {
        print_stretch(out, &stretches[i], most_m_s);
    }
}
