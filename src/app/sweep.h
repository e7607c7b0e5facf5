/* SPDX-License-Identifier: MIT */
#ifndef WINDPEAL_APP_SWEEP_H
#define WINDPEAL_APP_SWEEP_H

#include "app/command.h"
#include "app/vary.h"
#include "app/weather_source.h"

/* The same weather tried on a set with other values, on all cores. */

/* How a setting does. */
struct app_sweep_row {
    enum wp_status status; /* not WP_OK: such a set cannot hang, or not be struck */
    char why[sizeof((struct wp_diag *)0)->message];
    size_t n_tubes;
    size_t n_reached;
    double per_minute;
    double entropy_bits;
    double longest_silence_s;
    double soft_m_s; /* a tenth of the strikes is below; NAN without strikes */
    double loud_m_s; /* a tenth is above */
    size_t n_kicks;
    double tubes_per_kick; /* NAN: nothing kicks */
};

/*
 * Runs every setting of vary. The rows do not depend on the number of threads. A setting that is
 * out of range or in conflict is a row of its own; any other mistake, and mistakes in all settings,
 * are findings in session->diags.
 *
 * rows  out: vary->n_settings of them
 */
enum wp_status app_sweep_run(struct app_session *session, const struct app_vary *vary,
                             const struct app_weather *source, struct app_sweep_row *rows);

/* By how much a rate may miss the wanted one. */
enum { APP_SWEEP_TOLERANCE_PERCENT = 25 };

/*
 * The setting with the highest entropy among those within the tolerance of wanted_per_minute (NAN:
 * any rate); of equals the first. SIZE_MAX when there is none.
 */
size_t app_sweep_best(const struct app_sweep_row *rows, size_t n_rows, double wanted_per_minute);

/* Prints the table and the best setting, or both as JSON. */
void app_sweep_print(const struct app_vary *vary, const struct app_sweep_row *rows,
                     double wanted_per_minute);
enum wp_status app_sweep_print_json(const struct app_vary *vary, const struct app_sweep_row *rows,
                                    double wanted_per_minute);

#endif
