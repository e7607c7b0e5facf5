/* SPDX-License-Identifier: MIT */
/* The command render: a set in a given weather becomes a sound file. */
#include <stdio.h>
#include <stdlib.h>

#include "app/command.h"
#include "app/render_files.h"
#include "app/render_job.h"
#include "app/render_pass.h"
#include "app/render_report.h"
#include "app/text_file.h"

static enum wp_status print_result(const struct app_render_job *job, bool is_json,
                                   const struct app_render_result *result)
{
    if (is_json) {
        return app_render_report_print_json(job, result);
    }
    app_render_report_print(app_is_stdout(job->path) ? stderr : stdout, job, result);
    return WP_OK;
}

static enum wp_status print_plan(const struct app_render_job *job, bool is_json)
{
    if (is_json) {
        return app_render_plan_print_json(job);
    }
    app_render_plan_print(stdout, job);
    return WP_OK;
}

enum wp_status app_render_run(struct app_session *session)
{
    const bool is_json = session->arguments.is_given[APP_JSON];
    /* Holds every tube's facts; too big for a careful stack. */
    struct app_render_job *job = malloc(sizeof *job);
    if (!job) {
        return WP_E_NO_MEMORY;
    }
    enum wp_status status = app_render_job_plan(job, session);
    if (!status && session->arguments.is_given[APP_DRY_RUN]) {
        status = app_render_files_check(job, &session->diags);
        status = status ? status : print_plan(job, is_json);
    } else if (!status) {
        struct app_render_result result;
        status = app_render_job_run(job, session, &result);
        if (!status) {
            status = print_result(job, is_json, &result);
        }
    }
    if (!status) {
        app_render_job_note(job);
    }
    app_render_job_finish(job);
    free(job);
    return status;
}
