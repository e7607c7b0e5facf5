/* SPDX-License-Identifier: MIT */
#ifndef WINDPEAL_APP_COMMAND_H
#define WINDPEAL_APP_COMMAND_H

#include "app/arguments.h"
#include "windpeal/status.h"

/* One run of the program, and the commands. */

struct app_session {
    struct app_arguments arguments;
    struct wp_diags diags; /* errors of a failed command, pending warnings of a running one */
    int signal_number;     /* with WP_E_INTERRUPTED: what stopped it */
};

/*
 * The commands. Each prints its results on stdout and its notes on stderr; a failure is explained
 * in session->diags and printed by the caller.
 */
enum wp_status app_render_run(struct app_session *session);
enum wp_status app_tubes_run(struct app_session *session);   /* windpeal tubes */
enum wp_status app_wind_run(struct app_session *session);    /* windpeal wind */
enum wp_status app_strikes_run(struct app_session *session); /* windpeal strikes */
enum wp_status app_play_run(struct app_session *session);    /* windpeal play */
enum wp_status app_devices_run(struct app_session *session); /* windpeal devices */

#endif
