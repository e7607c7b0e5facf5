/* SPDX-License-Identifier: MIT */
/* What was understood of weather data, as text. */
#include "app/weather_report.h"

#include <math.h>

/* A figure of a record's line, "-" when missing. */
static void print_figure(FILE *out, double value, int decimals)
{
    if (isnan(value)) {
        fprintf(out, "  %8s", "-");
    } else {
        fprintf(out, "  %8.*f", decimals, value);
    }
}

static void print_records(FILE *out, const struct wp_weather *weather)
{
    fprintf(out, "\n%-20s  %8s  %8s  %8s  %8s\n", "end of record", "mean m/s", "gust m/s",
            "from deg", "temp C");
    for (size_t i = 0; i < weather->n_records; i++) {
        const struct wp_record *record = &weather->records[i];
        char time[32];
        wp_time_format(record->t_s, time, sizeof time);
        fprintf(out, "%-20s", time);
        print_figure(out, record->mean_m_s, 2);
        print_figure(out, record->gust_m_s, 2);
        print_figure(out, record->from_deg, 0);
        print_figure(out, record->temperature_c, 1);
        fputc('\n', out);
    }
}

static void print_columns(FILE *out, const struct wp_weather *weather)
{
    for (size_t i = 0; i < weather->n_columns; i++) {
        const struct wp_weather_column *column = &weather->columns[i];
        fprintf(out, "  %-12s column '%s'", column->meaning, column->heading);
        if (column->unit[0]) {
            fprintf(out, " in %s (%s)", column->unit, column->why);
        } else if (column->why[0]) {
            fprintf(out, " (%s)", column->why);
        }
        fputc('\n', out);
    }
}

static bool has_gusts(const struct wp_weather *weather)
{
    bool has_any = false;
    for (size_t i = 0; i < weather->n_records; i++) {
        has_any = has_any || isfinite(weather->records[i].gust_m_s);
    }
    return has_any;
}

/* What the strongest wind of all records is. */
static const char *strongest_name(const struct wp_weather *weather, double most_m_s)
{
    for (size_t i = 0; i < weather->n_records; i++) {
        if (weather->records[i].gust_m_s == most_m_s) {
            return "gust";
        }
    }
    return has_gusts(weather) ? "mean (of a record without a gust)" : "record (no gusts given)";
}

/* To a tenth of a millisecond: epochs do not hold tenths of seconds any better. */
static double rounded_s(double length_s)
{
    return round(1e4 * length_s) / 1e4;
}

/* What means and gusts are averages over; the wind takes the interval, at most 600 s, and 3 s where
 * the file does not tell. */
static void print_averaging(FILE *out, const struct app_weather *source)
{
    const struct wp_weather *weather = &source->weather;
    const struct wp_wind_config *wind = &source->wind;
    const bool is_told = wind->averaging_s > 0.0;
    const bool is_by_format = is_told && wind->averaging_s == weather->averaging_s;
    const double mean_s = is_told ? wind->averaging_s : fmin(rounded_s(weather->interval_s), 600.0);
    fprintf(out, "  averages     %smeans over %g s", is_told ? "" : "not told, taken as ", mean_s);
    if (has_gusts(weather)) {
        fprintf(out, ", gusts over %g s", wind->gust_s);
    }
    fputs(is_by_format ? " (by the format)\n" : is_told ? " (as given)\n" : "\n", out);
}

static void print_summary(FILE *out, const struct app_weather *source)
{
    const struct wp_weather *weather = &source->weather;
    double mean_m_s;
    double max_gust_m_s;
    wp_weather_summary(weather, &mean_m_s, &max_gust_m_s);
    fprintf(out, "%s: %s\n", source->name, weather->format);
    print_columns(out, weather);
    if (source->is_clocked) {
        fprintf(out, "  zone         %s\n", weather->zone);
    }
    fprintf(out, "  records      %zu, one every %g s; %zu without a mean wind, %zu rejected\n",
            weather->n_records, rounded_s(weather->interval_s), weather->n_missing,
            weather->n_rejected);
    if (source->is_clocked) {
        char start[32];
        char end[32];
        wp_time_format(source->span_start_s, start, sizeof start);
        wp_time_format(source->span_end_s, end, sizeof end);
        fprintf(out, "  span         %s to %s\n", start, end);
    }
    print_averaging(out, source);
    fprintf(out, "  mean wind    %.2f m/s, strongest %s %.2f m/s\n", mean_m_s,
            strongest_name(weather, max_gust_m_s), max_gust_m_s);
    for (size_t i = 0; i < weather->n_notes; i++) {
        fprintf(out, "  note         %s\n", weather->notes[i]);
    }
}

/* Every line or value that was left out; a few of many unless all are wanted. */
static void print_repairs(FILE *out, const struct wp_weather *weather, bool has_all)
{
    enum { A_FEW = 12 };
    const size_t n = has_all || weather->n_repairs <= A_FEW ? weather->n_repairs : A_FEW;
    if (n > 0) {
        fputs("\nleft out or changed\n", out);
    }
    for (size_t i = 0; i < n; i++) {
        const struct wp_weather_repair *repair = &weather->repairs[i];
        fprintf(out, "  line %-6d  %s", repair->line, repair->what);
        fprintf(out, repair->found[0] ? ": '%s'\n" : "%s\n", repair->found);
    }
    if (n < weather->n_repairs) {
        fprintf(out, "  ... and %zu more (--records lists all)\n", weather->n_repairs - n);
    }
}

void app_weather_print(FILE *out, const struct app_weather *source, bool has_records)
{
    print_summary(out, source);
    print_repairs(out, &source->weather, has_records);
    app_weather_chart(out, source);
    if (has_records) {
        print_records(out, &source->weather);
    }
}
