/* SPDX-License-Identifier: MIT */
#ifndef WINDPEAL_APP_TUBE_REPORT_H
#define WINDPEAL_APP_TUBE_REPORT_H

#include <stdbool.h>

#include "app/set_source.h"
#include "app/tube_levels.h"
#include "app/tube_sample.h"
#include "windpeal/status.h"

/* What `windpeal tubes` tells: a table for the workbench, or JSON. */

struct app_tube_report {
    const struct app_set *loaded;
    const struct app_tube_levels *levels; /* NULL where neither partials nor intervals are told */
    const struct app_sample *sample;      /* NULL without --sample */
    bool is_in_inches;
    bool is_rounded; /* lengths were rounded to a rule: show what it costs */
    bool has_partials;
    bool has_intervals;
    bool has_tolerances;
};

/* Prints the table, the loads and the cautions on stdout. */
void app_tube_report_print(const struct app_tube_report *report);

/* Prints the same as JSON in SI units on stdout. */
enum wp_status app_tube_report_print_json(const struct app_tube_report *report);

#endif
