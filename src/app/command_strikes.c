/* SPDX-License-Identifier: MIT */
/* The command strikes: the strikes that a weather makes, without sound. */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "app/command.h"
#include "app/course_report.h"
#include "app/interrupt.h"
#include "app/json_text.h"
#include "app/midi_list.h"
#include "app/progress.h"
#include "app/pulse_list.h"
#include "app/report.h"
#include "app/set_source.h"
#include "app/strike_run.h"
#include "app/sweep.h"
#include "app/text_file.h"
#include "app/variety_report.h"
#include "app/vary.h"
#include "app/weather_source.h"

static const double default_duration_s = 600.0;

/* Where strikes go while they are made: a list, notes of a MIDI file, or nowhere. */
struct pass {
    struct app_session *session;
    const struct wp_strike_context *context;
    struct app_text_file text;   /* without a file nothing is printed */
    struct app_text_file pulses; /* the same for kicks */
    bool is_header;              /* of their schedule, instead of a table of kicks */
    struct app_midi_list midi;   /* loaded is NULL: no notes are wanted */
    struct app_progress progress;
};

static void take(void *target, const struct wp_strike *strike)
{
    struct pass *pass = target;
    if (!pass->text.file && !pass->midi.loaded) {
        return;
    }
    struct wp_strike whole = *strike;
    wp_strike_complete(&whole, pass->context);
    if (pass->text.file && !pass->text.reason) {
        app_text_file_printed(&pass->text, wp_strike_print(pass->text.file, &whole));
    }
    if (pass->midi.loaded) {
        app_midi_list_add(&pass->midi, &whole);
    }
}

static void take_kick(void *target, const struct wp_kick *kick)
{
    struct pass *pass = target;
    if (pass->pulses.file && !pass->is_header && !pass->pulses.reason) {
        app_pulse_print(&pass->pulses, kick);
    }
}

static bool goes_on(void *target, double done_01)
{
    struct pass *pass = target;
    app_progress_step(&pass->progress, done_01);
    pass->session->signal_number = app_interrupt_caught();
    return !pass->session->signal_number && !pass->text.reason && !pass->pulses.reason;
}

/* Ends the list: whole, or stopped with what there is kept aside. */
static enum wp_status end_list(struct app_session *session, struct app_text_file *text,
                               enum wp_status status)
{
    if (session->signal_number) {
        const bool is_aside = text->file && !text->is_stdout;
        app_text_file_abandon(text, true);
        return app_refuse(&session->diags, status, NULL, "stopped%s%s",
                          is_aside ? "; the strikes so far are in " : "",
                          is_aside ? text->part : "");
    }
    return text->file ? app_text_file_commit(text, &session->diags) : status;
}

static bool ends_in(const char *path, const char *wanted)
{
    const char *ending = path ? strrchr(path, '.') : NULL;
    return ending && strcmp(ending, wanted) == 0;
}

/* Opens what --pulses names, if it does, and writes what needs no kicks. */
static enum wp_status open_pulses(struct pass *pass, const struct wp_set *set)
{
    const struct app_arguments *arguments = &pass->session->arguments;
    const char *path = arguments->text[APP_PULSES];
    const bool is_overwriting = arguments->is_given[APP_OVERWRITE];
    struct wp_diags *diags = &pass->session->diags;
    if (!path) {
        return WP_OK;
    }
    if (set->drive.kind != WP_DRIVE_COILS) {
        return app_refuse(diags, WP_E_CONFLICT, "give the set drive: {coils: {}}",
                          "--pulses needs a set that coils drive");
    }
    pass->is_header = ends_in(path, ".h");
    const enum wp_status status =
        pass->is_header ? app_text_file_open(&pass->pulses, path, is_overwriting, diags)
                        : app_table_file_open(&pass->pulses, path, is_overwriting, diags);
    if (!status && pass->is_header) {
        app_pulse_print_header(&pass->pulses, set);
    } else if (!status) {
        app_pulse_print_heading(&pass->pulses);
    }
    return status;
}

static enum wp_status end_pulses(struct pass *pass, enum wp_status status)
{
    if (!status && pass->pulses.file) {
        status = app_text_file_commit(&pass->pulses, &pass->session->diags);
    }
    if (!status && pass->session->arguments.text[APP_PULSES]) {
        app_pulse_cautions();
    }
    app_text_file_abandon(&pass->pulses, false);
    return status;
}

static enum wp_status open_output(struct pass *pass, const struct app_set *loaded)
{
    const struct app_arguments *arguments = &pass->session->arguments;
    const char *path = arguments->text[APP_OUTPUT];
    if (ends_in(path, ".mid")) {
        app_midi_list_init(&pass->midi, loaded);
        return WP_OK;
    }
    if (!path) {
        return WP_OK;
    }
    const enum wp_status status = app_table_file_open(
        &pass->text, path, arguments->is_given[APP_OVERWRITE], &pass->session->diags);
    if (!status) {
        app_text_file_printed(&pass->text, wp_strike_print_heading(pass->text.file));
    }
    return status;
}

static enum wp_status make_strikes(struct app_session *session, const struct app_set *loaded,
                                   const struct app_weather *source,
                                   struct app_strike_figures *figures)
{
    const struct app_arguments *arguments = &session->arguments;
    struct pass pass = {.session = session, .context = &loaded->context};
    const struct app_strike_watch watch = {
        .target = &pass, .take = take, .kick = take_kick, .goes_on = goes_on};
    enum wp_status status = open_output(&pass, loaded);
    if (!status) {
        status = open_pulses(&pass, &loaded->set);
    }
    if (status) {
        app_text_file_abandon(&pass.text, false);
        app_midi_list_finish(&pass.midi);
        return status;
    }
    app_progress_init(&pass.progress, "striking");
    app_interrupt_watch();
    status = app_strike_run(figures, loaded, &source->wind, source->duration_s, &watch);
    app_progress_finish(&pass.progress);
    if (status && status != WP_E_INTERRUPTED) {
        app_text_file_abandon(&pass.text, false);
        app_refuse(&session->diags, status, NULL, "no strikes can be made in this weather; %s",
                   wp_status_text(status));
    } else {
        status = end_list(session, &pass.text, status);
    }
    if (!status && pass.midi.loaded) {
        status = app_midi_list_write(&pass.midi, arguments->text[APP_OUTPUT],
                                     arguments->is_given[APP_OVERWRITE], &session->diags);
    }
    app_midi_list_finish(&pass.midi);
    return end_pulses(&pass, status);
}

static void print_report(FILE *out, const struct app_session *session, const struct app_set *loaded,
                         const struct app_weather *source, const struct app_strike_figures *figures)
{
    const char *path = session->arguments.text[APP_OUTPUT];
    fprintf(out, "%s in %s, seed %llu\n", loaded->set.name, source->name,
            (unsigned long long)source->wind.seed);
    app_variety_print(out, &figures->variety);
    app_course_print(out, &figures->course);
    if (path && !app_is_stdout(path)) {
        fprintf(out, "\nlist         %s\n", path);
    }
}

static enum wp_status strike(struct app_session *session, const struct app_set *loaded,
                             struct app_weather *source)
{
    const struct app_arguments *arguments = &session->arguments;
    struct app_strike_figures figures;
    enum wp_status status = app_weather_hang(source, arguments, &loaded->set, &session->diags);
    if (!status) {
        status = make_strikes(session, loaded, source, &figures);
    }
    if (status) {
        return status;
    }
    app_weather_note(source, &loaded->set);
    if (arguments->is_given[APP_JSON]) {
        return app_json_print(
            app_course_describe(app_variety_describe(&figures.variety), &figures.course));
    }
    FILE *out = app_is_stdout(arguments->text[APP_OUTPUT]) ? stderr : stdout;
    print_report(out, session, loaded, source, &figures);
    return WP_OK;
}

/* A drive that does not feel what is varied makes the same strikes in every setting. */
static void note_alike(const struct app_sweep_row *rows, size_t n_rows)
{
    const struct app_sweep_row *first = NULL;
    for (size_t i = 0; i < n_rows; i++) {
        const struct app_sweep_row *row = &rows[i];
        if (row->status) {
            continue;
        }
        if (first &&
            (row->per_minute != first->per_minute || row->entropy_bits != first->entropy_bits ||
             row->loud_m_s != first->loud_m_s)) {
            return;
        }
        first = first ? first : row;
    }
    app_note("every setting strikes alike: this set's drive takes no notice of what was varied (a "
             "statistical drive strikes by the wind alone, whatever the striker)");
}

/* The set as the file has it is loaded too: its own mistakes are told first. */
static enum wp_status sweep(struct app_session *session, const struct app_set *loaded,
                            const struct app_weather *source, const struct app_vary *vary)
{
    const struct app_arguments *arguments = &session->arguments;
    const double wanted_per_minute = arguments->is_given[APP_WANTED_RATE]
                                         ? 60.0 * arguments->number[APP_WANTED_RATE]
                                         : (double)NAN;
    struct app_sweep_row *rows = calloc(vary->n_settings, sizeof *rows);
    if (!rows) {
        return WP_E_NO_MEMORY;
    }
    enum wp_status status = app_sweep_run(session, vary, source, rows);
    if (!status) {
        note_alike(rows, vary->n_settings);
    }
    if (!status && arguments->is_given[APP_JSON]) {
        status = app_sweep_print_json(vary, rows, wanted_per_minute);
    } else if (!status) {
        printf("%s in %s, seed %llu, %.1f s\n", loaded->set.name, source->name,
               (unsigned long long)source->wind.seed, source->duration_s);
        app_sweep_print(vary, rows, wanted_per_minute);
    }
    free(rows);
    return status;
}

/* What goes with --vary only, and what does not go with it. */
static enum wp_status check_vary(const struct app_arguments *arguments, struct wp_diags *diags)
{
    static const enum app_option_id companions[] = {APP_STEPS, APP_WANTED_RATE, APP_THREADS};
    if (arguments->is_given[APP_VARY]) {
        const enum wp_status status = app_refuse_both(arguments, APP_VARY, APP_OUTPUT, diags);
        return status ? status : app_refuse_both(arguments, APP_VARY, APP_PULSES, diags);
    }
    for (size_t i = 0; i < sizeof companions / sizeof companions[0]; i++) {
        if (arguments->is_given[companions[i]]) {
            return app_refuse(diags, WP_E_CONFLICT, NULL, "--%s needs --vary",
                              app_option(companions[i])->name);
        }
    }
    return WP_OK;
}

/* Standard output is for the report or the list of strikes. */
static enum wp_status check_pulses(const struct app_arguments *arguments, struct wp_diags *diags)
{
    if (!arguments->is_given[APP_PULSES] || !app_is_stdout(arguments->text[APP_PULSES])) {
        return WP_OK;
    }
    return app_refuse(diags, WP_E_CONFLICT, "name a file that ends in .csv or .h",
                      "--pulses needs a file, not '-'");
}

enum wp_status app_strikes_run(struct app_session *session)
{
    const struct app_arguments *arguments = &session->arguments;
    const bool is_varied = arguments->is_given[APP_VARY];
    struct wp_chime_config config;
    struct app_set loaded = {.chime = NULL};
    struct app_weather source = {.is_clocked = false};
    struct app_vary vary = {.n_keys = 0};
    wp_chime_config_default(&config);
    enum wp_status status = check_vary(arguments, &session->diags);
    if (!status) {
        status = check_pulses(arguments, &session->diags);
    }
    if (!status && is_varied) {
        status = app_vary_parse(&vary, arguments, &session->diags);
    }
    if (!status) {
        status = app_set_load(&loaded, arguments->operands[0], &config, &session->diags);
    }
    if (!status) {
        status = app_weather_load(&source, arguments, arguments->operands[1], default_duration_s,
                                  &session->diags);
    }
    if (!status) {
        status =
            is_varied ? sweep(session, &loaded, &source, &vary) : strike(session, &loaded, &source);
    }
    app_set_finish(&loaded);
    app_weather_finish(&source);
    return status;
}
