/* SPDX-License-Identifier: MIT */
/* What was understood of weather data, as JSON. */
#include "app/weather_report.h"

#include <stdio.h>

#include "app/json_text.h"

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
        json_t *entry = json_pack(
            "{s:o, s:o, s:o, s:o, s:o, s:o}", "t", app_json_number(record->t_s), "mean_m_s",
            app_json_number(record->mean_m_s), "gust_m_s", app_json_number(record->gust_m_s),
            "from_deg", app_json_number(record->from_deg), "temperature_c",
            app_json_number(record->temperature_c), "pressure_pa",
            app_json_number(record->pressure_pa));
        data = app_json_append(data, entry);
    }
    return data;
}

/* Every line or value that was left out. */
static json_t *describe_repairs(const struct wp_weather *weather)
{
    json_t *repairs = json_array();
    for (size_t i = 0; i < weather->n_repairs; i++) {
        const struct wp_weather_repair *repair = &weather->repairs[i];
        json_t *entry = json_pack("{s:i, s:b, s:o, s:o}", "line", repair->line, "rejected",
                                  repair->is_rejected, "what", app_json_string(repair->what),
                                  "found", app_json_string(repair->found));
        repairs = app_json_append(repairs, entry);
    }
    return repairs;
}

/* A length of time, or null where the format does not tell it. */
static json_t *describe_length(double length_s)
{
    return length_s > 0.0 ? app_json_number(length_s) : json_null();
}

/* A moment of the weather; null for a steady wind, which has no date. */
static json_t *describe_time(const struct app_weather *source, double t_s)
{
    char text[32];
    wp_time_format(t_s, text, sizeof text);
    return source->is_clocked ? json_string(text) : json_null();
}

enum wp_status app_weather_print_json(const struct app_weather *source, bool has_records)
{
    const struct wp_weather *weather = &source->weather;
    double mean_m_s;
    double max_gust_m_s;
    wp_weather_summary(weather, &mean_m_s, &max_gust_m_s);
    json_t *root = json_pack(
        "{s:o, s:o, s:o, s:o, s:o, s:I, s:I, s:I, s:o, s:o, s:o, s:o, s:o, s:o, s:o}", "format",
        app_json_string(weather->format), "zone", app_json_string(weather->zone), "averaging_s",
        describe_length(weather->averaging_s), "gust_s", describe_length(weather->gust_s),
        "repairs", describe_repairs(weather), "records", (json_int_t)weather->n_records, "missing",
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
