/* SPDX-License-Identifier: MIT */
/* Tries settings of a set in one weather, several at a time. */
#include "app/sweep.h"

#include <math.h>
#include <pthread.h>
#include <stdatomic.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "app/crew.h"
#include "app/interrupt.h"
#include "app/progress.h"
#include "app/set_source.h"
#include "app/strike_run.h"

enum { THREADS_MAX = 64 };

/* What the threads share. Each row is written by the one thread that took its number. */
struct sweep {
    const char *set_name;
    const struct app_arguments *arguments;
    const struct app_weather *source;
    const struct app_vary *vary;
    struct app_sweep_row *rows;
    atomic_size_t next;
    atomic_size_t n_done;
    atomic_bool is_stopped;
    atomic_int signal_number;
};

/* A thread; the first one, the program's own, also looks at signals and shows progress. */
struct worker {
    struct sweep *sweep;
    struct app_progress *progress; /* NULL: not the first */
};

static bool goes_on(void *target, double done_01)
{
    const struct worker *worker = target;
    struct sweep *sweep = worker->sweep;
    if (worker->progress) {
        const double done = (double)atomic_load(&sweep->n_done) + done_01;
        app_progress_step(worker->progress, fmin(done / (double)sweep->vary->n_settings, 1.0));
        const int caught = app_interrupt_caught();
        if (caught) {
            atomic_store(&sweep->signal_number, caught);
            atomic_store(&sweep->is_stopped, true);
        }
    }
    return !atomic_load(&sweep->is_stopped);
}

static void fill_row(struct app_sweep_row *row, const struct app_strike_figures *figures)
{
    const struct wp_variety *variety = &figures->variety;
    row->n_tubes = variety->n_tubes;
    for (size_t i = 0; i < variety->n_tubes; i++) {
        row->n_reached += variety->per_tube[i] > 0;
    }
    row->per_minute = variety->per_minute;
    row->entropy_bits = variety->entropy_bits;
    row->longest_silence_s = variety->longest_silence_s;
    row->n_kicks = variety->n_kicks;
    row->tubes_per_kick = variety->tubes_per_kick;
    row->soft_m_s = wp_speed_spread_quantile(&figures->course.speeds, 0.1);
    row->loud_m_s = wp_speed_spread_quantile(&figures->course.speeds, 0.9);
}

static enum wp_status run_setting(struct worker *worker, struct app_set *loaded,
                                  struct app_sweep_row *row, struct wp_diags *diags)
{
    const struct sweep *sweep = worker->sweep;
    const struct app_strike_watch watch = {.target = worker, .is_blind = true, .goes_on = goes_on};
    struct app_weather hung = *sweep->source; /* shares the records, has heights of its own */
    struct app_strike_figures figures;
    enum wp_status status = app_weather_hang(&hung, sweep->arguments, &loaded->set, diags);
    if (status) {
        return status;
    }
    status = app_strike_run(&figures, loaded, &hung.wind, hung.duration_s, &watch);
    if (status) {
        return app_refuse(diags, status, NULL, "no strikes can be made; %s",
                          wp_status_text(status));
    }
    fill_row(row, &figures);
    return WP_OK;
}

static void try_setting(struct worker *worker, size_t setting)
{
    const struct sweep *sweep = worker->sweep;
    struct app_sweep_row *row = &sweep->rows[setting];
    struct wp_set_edit edits[APP_VARY_KEYS];
    struct wp_chime_config config;
    struct wp_diags diags;
    struct app_set loaded;
    wp_diags_init(&diags);
    wp_chime_config_default(&config);
    app_vary_edits(sweep->vary, setting, edits);
    const struct app_set_edits applied = {edits, sweep->vary->n_keys};
    *row = (struct app_sweep_row){.status = WP_OK};
    row->status = app_set_load_edited(&loaded, sweep->set_name, &applied, &config, &diags);
    if (!row->status) {
        row->status = run_setting(worker, &loaded, row, &diags);
    }
    for (size_t i = 0; row->status && i < diags.n_items; i++) {
        if (diags.items[i].status) {
            snprintf(row->why, sizeof row->why, "%s", diags.items[i].message);
            break;
        }
    }
    app_set_finish(&loaded);
}

static void *work(void *argument)
{
    struct worker *worker = argument;
    struct sweep *sweep = worker->sweep;
    while (!atomic_load(&sweep->is_stopped)) {
        const size_t setting = atomic_fetch_add(&sweep->next, 1);
        if (setting >= sweep->vary->n_settings) {
            break;
        }
        try_setting(worker, setting);
        atomic_fetch_add(&sweep->n_done, 1);
    }
    return NULL;
}

static size_t count_threads(const struct app_arguments *arguments, size_t n_settings)
{
    size_t n = app_threads(arguments);
    n = n < n_settings ? n : n_settings;
    return n < THREADS_MAX ? n : THREADS_MAX;
}

/* A thread that cannot be started is done without: the others take its share. */
static void run_threads(struct sweep *sweep, size_t n_threads)
{
    pthread_t threads[THREADS_MAX];
    size_t n_started = 0;
    struct app_progress progress;
    struct worker first = {sweep, &progress};
    struct worker other = {sweep, NULL};
    app_progress_init(&progress, "trying");
    app_interrupt_watch();
    while (n_started + 1 < n_threads &&
           pthread_create(&threads[n_started], NULL, work, &other) == 0) {
        n_started++;
    }
    work(&first);
    for (size_t i = 0; i < n_started; i++) {
        pthread_join(threads[i], NULL);
    }
    app_progress_finish(&progress);
}

/* Puts what was tried where the file and its line stood. */
static void blame_option(struct wp_diag *diag, const struct wp_set_edit *edits, size_t n_edits)
{
    char tried[sizeof diag->message] = "";
    for (size_t i = 0; i < n_edits; i++) {
        const size_t used = strlen(tried);
        snprintf(tried + used, sizeof tried - used, "%s%s=%s", i ? " and " : "--vary tries ",
                 edits[i].path, edits[i].value);
    }
    if (diag->status) {
        char message[sizeof diag->message];
        snprintf(message, sizeof message, "%.140s: %.170s", tried, diag->message);
        memcpy(diag->message, message, sizeof message);
        diag->file[0] = '\0';
        diag->mark = (struct wp_mark){0, 0};
    }
}

/* Reads the set once more to say what is wrong with it in full. */
static enum wp_status explain(struct app_session *session, const struct sweep *sweep,
                              size_t setting)
{
    struct wp_set_edit edits[APP_VARY_KEYS];
    struct wp_chime_config config;
    struct app_set loaded;
    wp_chime_config_default(&config);
    app_vary_edits(sweep->vary, setting, edits);
    const struct app_set_edits applied = {edits, sweep->vary->n_keys};
    const enum wp_status status =
        app_set_load_edited(&loaded, sweep->set_name, &applied, &config, &session->diags);
    app_set_finish(&loaded);
    /* The set by itself was read without a mistake: all of them are the option's. */
    for (size_t i = 0; i < session->diags.n_items; i++) {
        blame_option(&session->diags.items[i], edits, applied.n_items);
    }
    return status ? status
                  : app_refuse(&session->diags, sweep->rows[setting].status, NULL, "%s",
                               sweep->rows[setting].why);
}

static bool is_cannot_hang(enum wp_status status)
{
    return status == WP_E_RANGE || status == WP_E_CONFLICT;
}

enum wp_status app_sweep_run(struct app_session *session, const struct app_vary *vary,
                             const struct app_weather *source, struct app_sweep_row *rows)
{
    struct sweep sweep = {.set_name = session->arguments.operands[0],
                          .arguments = &session->arguments,
                          .source = source,
                          .vary = vary,
                          .rows = rows};
    run_threads(&sweep, count_threads(&session->arguments, vary->n_settings));
    session->signal_number = atomic_load(&sweep.signal_number);
    if (session->signal_number) {
        return app_refuse(&session->diags, WP_E_INTERRUPTED, NULL, "stopped");
    }
    size_t n_fine = 0;
    for (size_t i = 0; i < vary->n_settings; i++) {
        if (rows[i].status && !is_cannot_hang(rows[i].status)) {
            return explain(session, &sweep, i);
        }
        n_fine += rows[i].status == WP_OK;
    }
    return n_fine > 0 ? WP_OK : explain(session, &sweep, 0);
}

static bool is_wanted(const struct app_sweep_row *row, double wanted_per_minute)
{
    const double off = fabs(row->per_minute - wanted_per_minute);
    return row->status == WP_OK && row->per_minute > 0.0 &&
           (isnan(wanted_per_minute) ||
            100.0 * off <= APP_SWEEP_TOLERANCE_PERCENT * wanted_per_minute);
}

size_t app_sweep_best(const struct app_sweep_row *rows, size_t n_rows, double wanted_per_minute)
{
    size_t best = SIZE_MAX;
    for (size_t i = 0; i < n_rows; i++) {
        if (is_wanted(&rows[i], wanted_per_minute) &&
            (best == SIZE_MAX || rows[i].entropy_bits > rows[best].entropy_bits)) {
            best = i;
        }
    }
    return best;
}
