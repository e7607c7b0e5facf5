/* SPDX-License-Identifier: MIT */
/* Prints what came of trying settings. */
#include <math.h>
#include <stdbool.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include "app/json_text.h"
#include "app/sweep.h"
#include "app/variety_report.h"

enum { VALUE_WIDTH = 10, WHY_WIDTH = 48 };

/* The last key of a path tells enough above a column: the whole stands above the table. */
static const char *short_name(const char *path)
{
    const char *dot = strrchr(path, '.');
    return dot ? dot + 1 : path;
}

/* Kicks are the coils' alone, and a calm has none: whether the table has a column for them. */
static bool has_kicks(const struct app_sweep_row *rows, size_t n_rows)
{
    for (size_t i = 0; i < n_rows; i++) {
        if (!rows[i].status && isfinite(rows[i].tubes_per_kick)) {
            return true;
        }
    }
    return false;
}

static void print_heading(const struct app_vary *vary, bool is_kicked)
{
    for (size_t i = 0; i < vary->n_keys; i++) {
        printf("%s%s", i ? " and " : "varied       ", vary->keys[i].path);
    }
    puts("\n");
    for (size_t i = 0; i < vary->n_keys; i++) {
        printf("%*.*s  ", VALUE_WIDTH, VALUE_WIDTH, short_name(vary->keys[i].path));
    }
    fputs("per minute  tubes   bits  silence s  soft m/s  loud m/s", stdout);
    puts(is_kicked ? "  tubes a kick" : "");
}

static void print_row(const struct app_vary *vary, const struct app_sweep_row *rows, size_t setting,
                      bool is_kicked)
{
    const struct app_sweep_row *row = &rows[setting];
    for (size_t i = 0; i < vary->n_keys; i++) {
        printf("%*s  ", VALUE_WIDTH, vary->keys[i].value[app_vary_index(vary, setting, i)]);
    }
    if (row->status) {
        const int length = (int)strcspn(row->why, ":;");
        printf("cannot hang: %.*s\n", length < WHY_WIDTH ? length : WHY_WIDTH, row->why);
        return;
    }
    printf("%10.1f  %2zu/%-2zu  %5.2f  %9.1f", row->per_minute, row->n_reached, row->n_tubes,
           row->entropy_bits, row->longest_silence_s);
    if (isfinite(row->soft_m_s)) {
        printf("  %8.3f  %8.3f", row->soft_m_s, row->loud_m_s);
    } else {
        printf("  %8s  %8s", "-", "-");
    }
    if (is_kicked && isfinite(row->tubes_per_kick)) {
        printf("  %12.*f\n", app_kick_decimals(row->n_kicks), row->tubes_per_kick);
    } else {
        puts(is_kicked ? "             -" : "");
    }
}

static void print_setting(const struct app_vary *vary, size_t setting)
{
    for (size_t i = 0; i < vary->n_keys; i++) {
        printf("%s%s %s", i ? ", " : "", vary->keys[i].path,
               vary->keys[i].value[app_vary_index(vary, setting, i)]);
    }
}

/* The setting whose rate is nearest to the wanted one. */
static size_t nearest_rate(const struct app_sweep_row *rows, size_t n_rows, double per_minute)
{
    size_t nearest = SIZE_MAX;
    for (size_t i = 0; i < n_rows; i++) {
        if (!rows[i].status &&
            (nearest == SIZE_MAX ||
             fabs(rows[i].per_minute - per_minute) < fabs(rows[nearest].per_minute - per_minute))) {
            nearest = i;
        }
    }
    return nearest;
}

void app_sweep_print(const struct app_vary *vary, const struct app_sweep_row *rows,
                     double wanted_per_minute)
{
    const bool is_kicked = has_kicks(rows, vary->n_settings);
    print_heading(vary, is_kicked);
    for (size_t i = 0; i < vary->n_settings; i++) {
        print_row(vary, rows, i, is_kicked);
    }
    const size_t best = app_sweep_best(rows, vary->n_settings, wanted_per_minute);
    const size_t nearest = nearest_rate(rows, vary->n_settings, wanted_per_minute);
    putchar('\n');
    if (best != SIZE_MAX) {
        fputs("most varied  ", stdout);
        print_setting(vary, best);
        printf("\n             %.2f of %.2f bits at %.1f strikes a minute", rows[best].entropy_bits,
               log2((double)rows[best].n_tubes), rows[best].per_minute);
    } else if (nearest != SIZE_MAX) {
        fputs("no setting strikes at the wanted rate; nearest is\n             ", stdout);
        print_setting(vary, nearest);
        printf(" with %.1f strikes a minute", rows[nearest].per_minute);
    }
    if (isfinite(wanted_per_minute)) {
        printf("\n             (wanted %.1f a minute, %d %% more or less)", wanted_per_minute,
               APP_SWEEP_TOLERANCE_PERCENT);
    }
    putchar('\n');
}

static json_t *describe_setting(const struct app_vary *vary, size_t setting)
{
    json_t *object = json_object();
    for (size_t i = 0; i < vary->n_keys; i++) {
        const struct app_vary_key *key = &vary->keys[i];
        const char *value = key->value[app_vary_index(vary, setting, i)];
        if (json_object_set_new(object, key->path, app_json_string(value)) != 0) {
            json_decref(object);
            return NULL;
        }
    }
    return object;
}

static json_t *describe_row(const struct app_vary *vary, const struct app_sweep_row *row,
                            size_t setting)
{
    json_t *values = describe_setting(vary, setting);
    if (row->status) {
        return json_pack("{s:o, s:{s:s, s:o}}", "setting", values, "error", "code",
                         wp_status_code(row->status), "message", app_json_string(row->why));
    }
    return json_pack("{s:o, s:o, s:I, s:I, s:o, s:o, s:o, s:o, s:o}", "setting", values,
                     "per_minute", app_json_number(row->per_minute), "tubes_reached",
                     (json_int_t)row->n_reached, "tubes", (json_int_t)row->n_tubes, "entropy_bits",
                     app_json_number(row->entropy_bits), "longest_silence_s",
                     app_json_number(row->longest_silence_s), "soft_m_s",
                     app_json_number(row->soft_m_s), "loud_m_s", app_json_number(row->loud_m_s),
                     "tubes_per_kick", app_json_number(row->tubes_per_kick));
}

enum wp_status app_sweep_print_json(const struct app_vary *vary, const struct app_sweep_row *rows,
                                    double wanted_per_minute)
{
    const size_t best = app_sweep_best(rows, vary->n_settings, wanted_per_minute);
    json_t *settings = json_array();
    for (size_t i = 0; i < vary->n_settings; i++) {
        settings = app_json_append(settings, describe_row(vary, &rows[i], i));
    }
    return app_json_print(
        json_pack("{s:o, s:o, s:o, s:o}", "settings", settings, "wanted_per_minute",
                  app_json_number(wanted_per_minute), "tolerance",
                  app_json_number(APP_SWEEP_TOLERANCE_PERCENT / 100.0), "best",
                  best == SIZE_MAX ? json_null() : describe_row(vary, &rows[best], best)));
}
