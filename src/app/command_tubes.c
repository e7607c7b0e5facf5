/* SPDX-License-Identifier: MIT */
/* The command tubes: every tube's length, pitch, partials and supports. */
#include "app/command.h"
#include "app/tube_report.h"

enum wp_status app_tubes_run(struct app_session *session)
{
    const struct app_arguments *arguments = &session->arguments;
    struct wp_chime_config config;
    wp_chime_config_default(&config);
    config.without_air_mass = arguments->is_given[APP_NO_AIR_MASS];
    if (arguments->is_given[APP_RULE]) {
        config.rule_m = arguments->number[APP_RULE];
    }
    struct app_set loaded;
    enum wp_status status = app_set_load(&loaded, arguments->operands[0], &config, &session->diags);
    if (!status && arguments->is_given[APP_JSON]) {
        status = app_tube_report_print_json(&loaded);
    } else if (!status) {
        const struct app_tube_report report = {
            .loaded = &loaded,
            .is_in_inches = arguments->choice[APP_UNITS] == 1,
            .is_rounded = arguments->is_given[APP_RULE],
            .has_partials = arguments->is_given[APP_PARTIALS],
        };
        app_tube_report_print(&report);
    }
    app_set_finish(&loaded);
    return status;
}
