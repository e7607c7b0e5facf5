/* SPDX-License-Identifier: MIT */
#ifndef WINDPEAL_APP_RENDER_REPORT_H
#define WINDPEAL_APP_RENDER_REPORT_H

#include <stdio.h>

#include "app/render_job.h"
#include "app/render_pass.h"

/* What `windpeal render` tells about the sound it wrote. */

/* Prints what was rendered, how varied, how loud, and cautions where the levels lead there. */
void app_render_report_print(FILE *out, const struct app_render_job *job,
                             const struct app_render_result *result);

/* The same as JSON on stdout. */
enum wp_status app_render_report_print_json(const struct app_render_job *job,
                                            const struct app_render_result *result);

/* Prints what would be done. */
void app_render_plan_print(FILE *out, const struct app_render_job *job);

/* The same as JSON on stdout. */
enum wp_status app_render_plan_print_json(const struct app_render_job *job);

#endif
