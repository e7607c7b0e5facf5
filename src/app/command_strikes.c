/* SPDX-License-Identifier: MIT */
/* The command strikes: the strikes that a weather makes, without sound. */
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "app/command.h"
#include "app/interrupt.h"
#include "app/json_text.h"
#include "app/progress.h"
#include "app/set_source.h"
#include "app/text_file.h"
#include "app/variety_report.h"
#include "app/weather_source.h"

static const double default_duration_s = 600.0;

/* Drives the striker through the wanted stretch. text may lack a file: then nothing is printed. */
static enum wp_status run_drive(struct app_session *session, struct wp_drive *drive,
                                double duration_s, struct wp_variety_meter *meter,
                                struct app_text_file *text)
{
    static const double look_s = 60.0; /* between two looks at signals and progress */
    struct app_progress progress;
    struct wp_strike strike;
    app_progress_init(&progress, "striking");
    app_interrupt_watch();
    bool is_fine = !text->file || app_text_file_printed(text, wp_strike_print_heading(text->file));
    for (double until_s = 0.0; until_s < duration_s && is_fine && !session->signal_number;) {
        until_s = fmin(until_s + look_s, duration_s);
        while (is_fine && wp_drive_next(drive, until_s, &strike)) {
            wp_variety_add(meter, &strike);
            is_fine =
                !text->file || app_text_file_printed(text, wp_strike_print(text->file, &strike));
        }
        app_progress_step(&progress, until_s / duration_s);
        session->signal_number = app_interrupt_caught();
    }
    app_progress_finish(&progress);
    return session->signal_number ? WP_E_INTERRUPTED : WP_OK;
}

/* Ends the list: whole, or stopped with what there is kept aside. */
static enum wp_status end_list(struct app_session *session, struct app_text_file *text,
                               enum wp_status status)
{
    if (status == WP_E_INTERRUPTED) {
        const bool is_aside = text->file && !text->is_stdout;
        app_text_file_abandon(text, true);
        return app_refuse(&session->diags, status, NULL, "stopped%s%s",
                          is_aside ? "; the strikes so far are in " : "",
                          is_aside ? text->part : "");
    }
    return text->file ? app_text_file_commit(text, &session->diags) : status;
}

static enum wp_status make_strikes(struct app_session *session, const struct app_set *loaded,
                                   const struct app_weather *source, struct wp_variety *variety)
{
    const struct app_arguments *arguments = &session->arguments;
    const char *path = arguments->text[APP_OUTPUT];
    struct wp_wind *wind = NULL;
    struct wp_drive *drive = NULL;
    struct wp_variety_meter meter;
    struct app_text_file text = {.file = NULL};
    enum wp_status status = wp_wind_create(&wind, &source->wind);
    if (!status) {
        const struct wp_drive_config config = {.context = &loaded->context,
                                               .wind = wind,
                                               .wind_step_s = source->wind.step_s,
                                               .seed = source->wind.seed};
        status = wp_drive_create(&drive, &config);
    }
    if (status) {
        app_refuse(&session->diags, status, NULL, "no wind can be made from this weather; %s",
                   wp_status_text(status));
    } else if (path) {
        status =
            app_table_file_open(&text, path, arguments->is_given[APP_OVERWRITE], &session->diags);
    }
    if (!status) {
        wp_variety_init(&meter, loaded->set.n_tubes);
        status = run_drive(session, drive, source->duration_s, &meter, &text);
        status = end_list(session, &text, status);
        wp_variety_result(&meter, source->duration_s, variety);
    }
    wp_drive_destroy(drive);
    wp_wind_destroy(wind);
    return status;
}

static enum wp_status check_output(struct app_session *session)
{
    const char *path = session->arguments.text[APP_OUTPUT];
    const char *ending = path ? strrchr(path, '.') : NULL;
    if (ending && strcmp(ending, ".mid") == 0) {
        return wp_diags_add(&session->diags, WP_E_NOT_BUILT, path, (struct wp_mark){0, 0},
                            "end the name in .csv", "MIDI files are not in this version");
    }
    return WP_OK;
}

static void print_report(FILE *out, const struct app_session *session, const struct app_set *loaded,
                         const struct app_weather *source, const struct wp_variety *variety)
{
    const char *path = session->arguments.text[APP_OUTPUT];
    fprintf(out, "%s in %s, seed %llu\n", loaded->set.name, source->name,
            (unsigned long long)source->wind.seed);
    app_variety_print(out, variety);
    if (path && !app_is_stdout(path)) {
        fprintf(out, "list         %s\n", path);
    }
}

enum wp_status app_strikes_run(struct app_session *session)
{
    const struct app_arguments *arguments = &session->arguments;
    struct wp_chime_config config;
    struct app_set loaded = {.chime = NULL};
    struct app_weather source = {.is_clocked = false};
    struct wp_variety variety;
    wp_chime_config_default(&config);
    enum wp_status status = check_output(session);
    if (status) {
        return status;
    }
    status = app_set_load(&loaded, arguments->operands[0], &config, &session->diags);
    if (!status) {
        status = app_weather_load(&source, arguments, arguments->operands[1], default_duration_s,
                                  &session->diags);
    }
    if (!status) {
        app_weather_hang(&source, arguments, &loaded.set);
        status = make_strikes(session, &loaded, &source, &variety);
    }
    if (!status) {
        app_weather_note(&source, &loaded.set);
    }
    if (!status && arguments->is_given[APP_JSON]) {
        status = app_json_print(app_variety_describe(&variety));
    } else if (!status) {
        FILE *out = app_is_stdout(arguments->text[APP_OUTPUT]) ? stderr : stdout;
        print_report(out, session, &loaded, &source, &variety);
    }
    app_set_finish(&loaded);
    app_weather_finish(&source);
    return status;
}
