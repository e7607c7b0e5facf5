/* SPDX-License-Identifier: MIT */
/* The command wind: what was understood of weather data, and the wind made from it. */
#include <math.h>
#include <stdio.h>

#include "app/command.h"
#include "app/interrupt.h"
#include "app/progress.h"
#include "app/text_file.h"
#include "app/weather_report.h"
#include "app/weather_source.h"

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
    static const enum app_option_id idle[] = {
        APP_START,          APP_DURATION,         APP_SEED,
        APP_HEIGHT,         APP_NO_HEIGHT_CHANGE, APP_EXACT_GUSTS,
        APP_STATION_HEIGHT, APP_STATION_ROUGHNESS};
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
        status = app_weather_print_json(&source, arguments->is_given[APP_RECORDS]);
    } else if (!status) {
        FILE *out = app_is_stdout(arguments->text[APP_OUTPUT]) ? stderr : stdout;
        app_weather_print(out, &source, arguments->is_given[APP_RECORDS]);
        if (arguments->is_given[APP_OUTPUT]) {
            print_written(out, arguments, &source);
        }
    }
    app_weather_finish(&source);
    return status;
}
