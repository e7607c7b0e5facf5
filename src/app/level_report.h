/* SPDX-License-Identifier: MIT */
#ifndef WINDPEAL_APP_LEVEL_REPORT_H
#define WINDPEAL_APP_LEVEL_REPORT_H

#include <jansson.h>
#include <stdio.h>

#include "app/render_job.h"
#include "app/render_pass.h"

/* How loud a rendering is: the file, and the set at the listener. */

/* Prints the lines of figures. */
void app_level_print(FILE *out, const struct app_render_job *job,
                     const struct app_render_result *result);

/* Prints what they mean: to a listener, to hearing, to neighbours, and for playing the file. */
void app_level_print_advice(FILE *out, const struct app_render_job *job,
                            const struct app_render_result *result);

/* What the levels at the listener mean, as an object. */
json_t *app_level_describe(const struct app_render_job *job, const struct wp_levels *levels);

#endif
