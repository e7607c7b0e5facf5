/* SPDX-License-Identifier: MIT */
/* Turns a status and its findings into lines on stderr and an exit code. */
#include "app/report.h"

#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <unistd.h>

#include "app/json_text.h"

enum { EXIT_SYSTEM = 1, EXIT_INPUT = 2, EXIT_SIGNAL = 128 };

/* The program's name before a line; in colour on a terminal unless NO_COLOR is set. */
static void print_name(bool is_error)
{
    const char *no_color = getenv("NO_COLOR");
    const bool is_plain = (no_color && *no_color) || !isatty(STDERR_FILENO);
    if (is_plain) {
        fputs("windpeal: ", stderr);
    } else {
        fprintf(stderr, "\033[%sm%s\033[0m ", is_error ? "1;31" : "1", "windpeal:");
    }
}

void app_note(const char *format, ...)
{
    print_name(false);
    fputs("note: ", stderr);
    va_list values;
    va_start(values, format);
    vfprintf(stderr, format, values);
    va_end(values);
    fputc('\n', stderr);
}

static void print_diag(const struct wp_diag *diag)
{
    print_name(diag->status != WP_OK);
    if (diag->file[0]) {
        fprintf(stderr, "%s:", diag->file);
        if (diag->mark.line > 0) {
            fprintf(stderr, "%d:", diag->mark.line);
        }
        if (diag->mark.line > 0 && diag->mark.column > 0) {
            fprintf(stderr, "%d:", diag->mark.column);
        }
        fputc(' ', stderr);
    }
    if (diag->status == WP_OK) {
        fputs("note: ", stderr);
    }
    fputs(diag->message, stderr);
    if (diag->hint[0]) {
        fprintf(stderr, "; %s", diag->hint);
    }
    fputc('\n', stderr);
}

static void print_diags(const struct wp_diags *diags)
{
    for (size_t i = 0; i < diags->n_items; i++) {
        print_diag(&diags->items[i]);
    }
    if (diags->n_left_out > 0) {
        app_note("%zu more findings left out", diags->n_left_out);
    }
}

void app_report_warnings(struct wp_diags *diags)
{
    print_diags(diags);
    wp_diags_init(diags);
}

static json_t *mark_number(int value)
{
    return value > 0 ? json_integer(value) : json_null();
}

static json_t *describe(const struct wp_diag *diag)
{
    return json_pack("{s:s, s:o, s:o, s:o, s:o, s:o}", "code", wp_status_code(diag->status),
                     "message", app_json_string(diag->message), "file",
                     diag->file[0] ? app_json_string(diag->file) : json_null(), "line",
                     mark_number(diag->mark.line), "column", mark_number(diag->mark.column), "hint",
                     diag->hint[0] ? app_json_string(diag->hint) : json_null());
}

/* "error" is the first one, "errors" all of them. */
static void print_json(const struct wp_diags *diags)
{
    json_t *first = NULL;
    json_t *all = json_array();
    for (size_t i = 0; i < diags->n_items; i++) {
        const struct wp_diag *diag = &diags->items[i];
        if (diag->status != WP_OK) {
            first = first ? first : describe(diag);
            all = app_json_append(all, describe(diag));
        }
    }
    app_json_print(json_pack("{s:o, s:o}", "error", first, "errors", all));
}

int app_report_failure(const struct wp_diags *diags, enum wp_status status, int signal_number,
                       bool is_json)
{
    struct wp_diags told = *diags;
    if (wp_diags_status(&told) == WP_OK) {
        wp_diags_add(&told, status, NULL, (struct wp_mark){0, 0}, NULL, "%s",
                     wp_status_text(status));
    }
    fflush(stdout);
    print_diags(&told);
    if (is_json) {
        print_json(&told);
    }
    if (status == WP_E_INTERRUPTED) {
        return EXIT_SIGNAL + signal_number;
    }
    return wp_status_is_input(status) ? EXIT_INPUT : EXIT_SYSTEM;
}
