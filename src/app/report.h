/* SPDX-License-Identifier: MIT */
#ifndef WINDPEAL_APP_REPORT_H
#define WINDPEAL_APP_REPORT_H

#include <stdbool.h>

#include "windpeal/status.h"

/* What the user hears about success and failure: lines on stderr and the exit code. */

/* Prints a note on stderr, "windpeal: note: ...". */
void app_note(const char *format, ...) WP_PRINTF(1, 2);

/* Prints the findings of diags that are only warnings and empties the list; no errors in it. */
void app_report_warnings(struct wp_diags *diags);

/*
 * Prints every finding as "windpeal: FILE:LINE:COL: what is wrong; what was expected; hint" on
 * stderr, with is_json also the first error as JSON on stdout.
 *
 * status         why the command ended; not WP_OK
 * signal_number  with WP_E_INTERRUPTED: the signal
 *
 * Returns the exit code: 1 system, 2 input, 128 + signal.
 */
int app_report_failure(const struct wp_diags *diags, enum wp_status status, int signal_number,
                       bool is_json);

#endif
