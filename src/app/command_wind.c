/* SPDX-License-Identifier: MIT */
/* The command wind: what was understood of weather data, and the wind made from it. */
#include <math.h>
#include <stdio.h>

#include "app/command.h"
#include "app/interrupt.h"
#include "app/json_text.h"
#include "app/progress.h"
#include "app/text_file.h"
#include "app/weather_source.h"

/* By meaning; the second of two columns that make up one, as date and clock, is "time_2". */
static json_t *describe_columns(const struct wp_weather *weather)
{
    json_t *columns = json_object();
    for (size_t i = 0; i < weather->n_columns; i++) {
        const struct wp_weather_column *column = &weather->columns[i];
        char key[sizeof column->meaning + 2];
        snprintf(key, sizeof key, "%s%s", column->meaning,
                 json_object_get(columns, column->meaning) ? "_2" : "");
        json_t *entry =
            json_pack("{s:o, s:o, s:o}", "heading", app_json_string(column->heading), "unit",
                      app_json_string(column->unit), "why", app_json_string(column->why));
        if (json_object_set_new(columns, key, entry)) {
            json_decref(columns);
            return NULL;
        }
    }
    return columns;
}

static json_t *describe_notes(const struct wp_weather *weather)
{
    json_t *notes = json_array();
    for (size_t i = 0; i < weather->n_notes; i++) {
        notes = app_json_append(notes, app_json_string(weather->notes[i]));
    }
    return notes;
}

static json_t *describe_records(const struct wp_weather *weather)
{
    json_t *data = json_array();
    for (size_t i = 0; i < weather->n_records; i++) {
        const struct wp_record *record = &weather->records[i];
        json_t *entry = json_pack("{s:o, s:o, s:o, s:o, s:o}", "t", app_json_number(record->t_s),
                                  "mean_m_s", app_json_number(record->mean_m_s), "gust_m_s",
                                  app_json_number(record->gust_m_s), "from_deg",
                                  app_json_number(record->from_deg), "temperature_c",
                                  app_json_number(record->temperature_c));
        data = app_json_append(data, entry);
    }
    return data;
}

/* A moment of the weather; null for a steady wind, which has no date. */
static json_t *describe_time(const struct app_weather *source, double t_s)
{
    char text[32];
    wp_time_format(t_s, text, sizeof text);
    return source->is_clocked ? json_string(text) : json_null();
}

static enum wp_status print_json(const struct app_weather *source, bool has_records)
{
    const struct wp_weather *weather = &source->weather;
    double mean_m_s;
    double max_gust_m_s;
    wp_weather_summary(weather, &mean_m_s, &max_gust_m_s);
    json_t *root = json_pack(
        "{s:o, s:I, s:I, s:I, s:o, s:o, s:o, s:o, s:o, s:o, s:o}", "format",
        app_json_string(weather->format), "records", (json_int_t)weather->n_records, "missing",
        (json_int_t)weather->n_missing, "rejected", (json_int_t)weather->n_rejected, "interval_s",
        app_json_number(weather->interval_s), "start", describe_time(source, source->span_start_s),
        "end", describe_time(source, source->span_end_s), "mean_m_s", app_json_number(mean_m_s),
        "max_gust_m_s", app_json_number(max_gust_m_s), "columns", describe_columns(weather),
        "notes", describe_notes(weather));
    if (has_records && json_object_set_new(root, "data", describe_records(weather))) {
        json_decref(root);
        root = NULL;
    }
    return app_json_print(root);
}

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

static void print_report(FILE *out, const struct app_weather *source)
{
    const struct wp_weather *weather = &source->weather;
    double mean_m_s;
    double max_gust_m_s;
    wp_weather_summary(weather, &mean_m_s, &max_gust_m_s);
    fprintf(out, "%s: %s\n", source->name, weather->format);
    print_columns(out, weather);
    fprintf(out, "  records      %zu, one every %g s; %zu without a mean wind, %zu rejected\n",
            weather->n_records, weather->interval_s, weather->n_missing, weather->n_rejected);
    if (source->is_clocked) {
        char start[32];
        char end[32];
        wp_time_format(source->span_start_s, start, sizeof start);
        wp_time_format(source->span_end_s, end, sizeof end);
        fprintf(out, "  span         %s to %s\n", start, end);
    }
    fprintf(out, "  mean wind    %.2f m/s, strongest %s %.2f m/s\n", mean_m_s,
            has_gusts(weather) ? "gust" : "record (no gusts given)", max_gust_m_s);
    for (size_t i = 0; i < weather->n_notes; i++) {
        fprintf(out, "  note         %s\n", weather->notes[i]);
    }
}

/* One line of the generated wind; an angle that rounds to 360 degrees is 0. */
static int print_sample(FILE *file, const struct wp_wind_sample *sample)
{
    const double from_deg = sample->from_deg >= 359.995 ? 0.0 : sample->from_deg;
    return fprintf(file, "%.4f,%.4f,%.4f,%.4f,%.2f\n", sample->t_s, sample->along_m_s,
                   sample->across_m_s, sample->speed_m_s, from_deg);
}

static enum wp_status write_samples(struct app_session *session, struct wp_wind *wind,
                                    uint64_t n_samples, struct app_text_file *text)
{
    enum { SAMPLES_A_LOOK = 4096 }; /* between two looks at signals and progress */
    struct app_progress progress;
    enum wp_status status = WP_OK;
    app_progress_init(&progress, "writing wind");
    app_interrupt_watch();
    int printed = fputs("t_s,along_m_s,across_m_s,speed_m_s,from_deg\n", text->file);
    for (uint64_t i = 0; i < n_samples && !status; i++) {
        struct wp_wind_sample sample;
        if (!app_text_file_printed(text, printed)) {
            break; /* the commit tells why */
        }
        wp_wind_step(wind, &sample);
        printed = print_sample(text->file, &sample);
        if (i % SAMPLES_A_LOOK == 0) {
            app_progress_step(&progress, (double)i / (double)n_samples);
            session->signal_number = app_interrupt_caught();
            status = session->signal_number ? WP_E_INTERRUPTED : WP_OK;
        }
    }
    app_text_file_printed(text, printed);
    app_progress_finish(&progress);
    return status;
}

static enum wp_status write_wind(struct app_session *session, struct app_weather *source)
{
    const struct app_arguments *arguments = &session->arguments;
    const char *path = arguments->text[APP_OUTPUT];
    struct app_text_file text;
    struct wp_wind *wind = NULL;
    enum wp_status status = wp_wind_create(&wind, &source->wind);
    if (status) {
        return app_refuse(&session->diags, status, "give another --height",
                          "no wind can be made from this weather; %s", wp_status_text(status));
    }
    status = app_table_file_open(&text, path, arguments->is_given[APP_OVERWRITE], &session->diags);
    if (!status) {
        const double n_steps = ceil(source->duration_s / source->wind.step_s - 1e-9);
        status = write_samples(session, wind, (uint64_t)n_steps, &text);
        if (status == WP_E_INTERRUPTED) {
            app_text_file_abandon(&text, true);
            app_refuse(&session->diags, status, NULL, "stopped; what was written is in %s",
                       text.is_stdout ? "standard output" : text.part);
        } else {
            status = app_text_file_commit(&text, &session->diags);
        }
    }
    wp_wind_destroy(wind);
    return status;
}

static void print_written(FILE *out, const struct app_arguments *arguments,
                          const struct app_weather *source)
{
    fprintf(out, "\nwrote %.1f s of wind, one value every %g s, seed %llu", source->duration_s,
            source->wind.step_s, (unsigned long long)source->wind.seed);
    if (!app_is_stdout(arguments->text[APP_OUTPUT])) {
        fprintf(out, ", to %s", arguments->text[APP_OUTPUT]);
    }
    if (source->wind.is_as_given) {
        fputs("\nthe wind as given: no change with height (--height asks for one)\n", out);
    } else {
        fprintf(out, "\nwind at %g m above ground of roughness length %g m\n",
                source->wind.height_m, source->wind.roughness_m);
    }
}

static enum wp_status check_arguments(struct app_session *session)
{
    const struct app_arguments *arguments = &session->arguments;
    if (arguments->is_given[APP_EVERY] && !arguments->is_given[APP_OUTPUT]) {
        return app_refuse(&session->diags, WP_E_CONFLICT, "add -o wind.csv",
                          "--every goes with -o, which writes the wind");
    }
    return WP_OK;
}

/* The report is on all of the weather, as it came. What shapes the written wind must not seem to
 * shape the report. */
static enum wp_status check_idle(struct app_session *session)
{
    static const enum app_option_id idle[] = {APP_START, APP_DURATION, APP_SEED, APP_HEIGHT,
                                              APP_NO_HEIGHT_CHANGE};
    const struct app_arguments *arguments = &session->arguments;
    for (size_t i = 0; i < sizeof idle / sizeof idle[0]; i++) {
        if (arguments->is_given[idle[i]] && !arguments->is_given[APP_OUTPUT]) {
            return app_refuse(&session->diags, WP_E_CONFLICT, "add -o wind.csv",
                              "--%s goes with -o, which writes the wind",
                              app_option(idle[i])->name);
        }
    }
    return WP_OK;
}

enum wp_status app_wind_run(struct app_session *session)
{
    const struct app_arguments *arguments = &session->arguments;
    enum wp_status status = check_arguments(session);
    if (status) {
        return status;
    }
    struct app_weather source;
    status =
        app_weather_load(&source, arguments, arguments->operands[0], INFINITY, &session->diags);
    status = status ? status : check_idle(session);
    if (!status) {
        status = app_weather_hang(&source, arguments, NULL, &session->diags);
    }
    if (arguments->is_given[APP_EVERY]) {
        source.wind.step_s = arguments->number[APP_EVERY];
    }
    if (!status && arguments->is_given[APP_OUTPUT]) {
        status = write_wind(session, &source);
    }
    if (!status && arguments->is_given[APP_JSON]) {
        status = print_json(&source, arguments->is_given[APP_RECORDS]);
    } else if (!status) {
        FILE *out = app_is_stdout(arguments->text[APP_OUTPUT]) ? stderr : stdout;
        print_report(out, &source);
        if (arguments->is_given[APP_RECORDS]) {
            print_records(out, &source.weather);
        }
        if (arguments->is_given[APP_OUTPUT]) {
            print_written(out, arguments, &source);
        }
    }
    app_weather_finish(&source);
    return status;
}
