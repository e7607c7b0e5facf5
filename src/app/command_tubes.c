/* SPDX-License-Identifier: MIT */
/* The command tubes: every tube's length, pitch, partials and supports. */
#include "app/command.h"
#include "app/tolerance_report.h"
#include "app/tube_report.h"
#include "app/tube_sample.h"

/* Options that say how to sample mean nothing without it. */
static enum wp_status check_sampling(struct app_session *session)
{
    static const enum app_option_id needy[] = {APP_SEED, APP_OUT_DIR, APP_OVERWRITE};
    const struct app_arguments *arguments = &session->arguments;
    for (size_t i = 0; i < sizeof needy / sizeof needy[0]; i++) {
        if (arguments->is_given[needy[i]] && !arguments->is_given[APP_SAMPLE]) {
            return app_refuse(&session->diags, WP_E_CONFLICT, "add --sample 10, or leave it out",
                              "--%s of tubes goes with --sample", app_option(needy[i])->name);
        }
    }
    return WP_OK;
}

/* Prints a sample in place of the tables, in JSON beside them. */
static enum wp_status print_asked(const struct app_tube_report *asked, bool is_json)
{
    if (is_json) {
        return app_tube_report_print_json(asked);
    }
    if (!asked->sample) {
        app_tube_report_print(asked);
        return WP_OK;
    }
    app_sample_print(asked->sample, asked->loaded);
    if (asked->has_tolerances) {
        app_tolerance_print(asked->loaded, asked->is_in_inches);
    }
    return WP_OK;
}

enum wp_status app_tubes_run(struct app_session *session)
{
    const struct app_arguments *arguments = &session->arguments;
    const bool is_sampling = arguments->is_given[APP_SAMPLE];
    struct wp_chime_config config;
    struct app_set loaded = {.chime = NULL};
    struct app_sample sample = {.n_sets = 0};
    struct app_tube_levels levels;
    wp_chime_config_default(&config);
    config.without_air_mass = arguments->is_given[APP_NO_AIR_MASS];
    config.is_in_inches = arguments->choice[APP_UNITS] == 1 && !arguments->is_given[APP_JSON];
    if (arguments->is_given[APP_RULE]) {
        config.rule_m = arguments->number[APP_RULE];
    }
    enum wp_status status = check_sampling(session);
    if (!status) {
        status = app_set_load(&loaded, arguments->operands[0], &config, &session->diags);
    }
    if (!status && is_sampling) {
        status = app_sample_make(&sample, arguments, &loaded, &session->diags);
    }
    const bool has_levels = arguments->is_given[APP_JSON] || arguments->is_given[APP_PARTIALS] ||
                            arguments->is_given[APP_INTERVALS];
    if (!status && has_levels) {
        app_tube_levels_solve(&levels, &loaded);
    }
    if (!status) {
        const struct app_tube_report asked = {
            .loaded = &loaded,
            .levels = has_levels ? &levels : NULL,
            .sample = is_sampling ? &sample : NULL,
            .is_in_inches = config.is_in_inches,
            .is_rounded = arguments->is_given[APP_RULE],
            .has_partials = arguments->is_given[APP_PARTIALS],
            .has_intervals = arguments->is_given[APP_INTERVALS],
            .has_tolerances = arguments->is_given[APP_TOLERANCE],
        };
        status = print_asked(&asked, arguments->is_given[APP_JSON]);
    }
    app_sample_finish(&sample);
    app_set_finish(&loaded);
    return status;
}
