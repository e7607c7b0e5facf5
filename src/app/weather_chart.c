/* SPDX-License-Identifier: MIT */
/* Draws a course of wind in letters. */
#include <math.h>

#include "app/weather_report.h"

enum { STRETCHES = 12, BAR_WIDTH = 36 };

/* What the records of a stretch of time tell. */
struct stretch {
    double start_s;
    size_t n_means;
    double sum_m_s;
    double gust_m_s; /* the strongest that was reported; NAN: none was */
    double north_m_s;
    double east_m_s;
};

static void gather(const struct wp_record *record, struct stretch *stretch)
{
    const double degree = acos(-1.0) / 180.0;
    stretch->gust_m_s = fmax(stretch->gust_m_s, record->gust_m_s);
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

/* NAN without records that tell one. */
static double mean_of(const struct stretch *stretch)
{
    return stretch->n_means > 0 ? stretch->sum_m_s / (double)stretch->n_means : (double)NAN;
}

/* Blanks up to the bar's place, marks up to the mean, then dots up to the gust. */
static void print_bar(FILE *out, int n_blanks, double mean_m_s, double gust_m_s, double most_m_s)
{
    const long n_mean = lround(BAR_WIDTH * mean_m_s / most_m_s);
    const long n_most = lround(BAR_WIDTH * fmax(mean_m_s, gust_m_s) / most_m_s);
    if (n_most > 0) {
        fprintf(out, "%*s", n_blanks, "");
    }
    for (long i = 0; i < n_most; i++) {
        fputc(i < n_mean ? '#' : '.', out);
    }
}

static void print_speed(FILE *out, double speed_m_s)
{
    if (isnan(speed_m_s)) {
        fprintf(out, "  %6s", "-");
    } else {
        fprintf(out, "  %6.1f", speed_m_s);
    }
}

static void print_stretch(FILE *out, const struct stretch *stretch, double most_m_s)
{
    char time[32];
    const double mean_m_s = mean_of(stretch);
    wp_time_format(stretch->start_s, time, sizeof time);
    time[10] = ' ';
    fprintf(out, "%.16s", time);
    print_speed(out, mean_m_s);
    print_speed(out, stretch->gust_m_s);
    if (stretch->n_means > 0) {
        const int n_printed = fprintf(out, "  %s", point_of(stretch));
        print_bar(out, 8 - n_printed, mean_m_s, stretch->gust_m_s, most_m_s);
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
                                        .gust_m_s = NAN};
    }
    for (size_t i = 0; i < weather->n_records; i++) {
        /* A record speaks of the time before its stamp. */
        const double since_s =
            weather->records[i].t_s - 0.5 * weather->interval_s - source->span_start_s;
        const double index = fmin(fmax(floor(since_s / length_s), 0.0), STRETCHES - 1.0);
        gather(&weather->records[i], &stretches[(size_t)index]);
    }
    for (size_t i = 0; i < STRETCHES; i++) {
        most_m_s = fmax(most_m_s, fmax(mean_of(&stretches[i]), stretches[i].gust_m_s));
    }
    if (!(most_m_s > 0.0)) {
        return;
    }
    fputs("\nfrom (UTC)          mean    gust  dir   m/s\n", out);
    for (size_t i = 0; i < STRETCHES; i++) {
        print_stretch(out, &stretches[i], most_m_s);
    }
}
