/* SPDX-License-Identifier: MIT */
/* The command devices: the loudspeakers of this machine. */
#include <stdio.h>
#include <stdlib.h>

#include "app/command.h"
#include "app/json_text.h"
#include "app/report.h"
#include "windpeal/loudspeaker.h"

static enum wp_status print_json(const struct wp_loudspeakers *list)
{
    json_t *devices = json_array();
    for (size_t i = 0; i < list->n_items; i++) {
        const struct wp_loudspeaker_info *info = &list->items[i];
        devices = app_json_append(
            devices, json_pack("{s:o, s:i, s:o, s:b}", "name", app_json_string(info->name),
                               "channels", info->n_channels, "rate_hz",
                               app_json_number(info->rate_hz), "default", info->is_default));
    }
    return app_json_print(json_pack("{s:o}", "devices", devices));
}

static void print_list(const struct wp_loudspeakers *list)
{
    if (list->n_items == 0) {
        puts("There is no loudspeaker on this machine, or its sound server is not running.");
        return;
    }
    puts("channels     rate  loudspeaker");
    for (size_t i = 0; i < list->n_items; i++) {
        const struct wp_loudspeaker_info *info = &list->items[i];
        printf("%8d %5.0f Hz  %s%s\n", info->n_channels, info->rate_hz, info->name,
               info->is_default ? "  (default)" : "");
    }
}

enum wp_status app_devices_run(struct app_session *session)
{
    struct wp_loudspeakers *list = malloc(sizeof *list);
    if (!list) {
        return WP_E_NO_MEMORY;
    }
    enum wp_status status = wp_loudspeakers_list(list);
    if (session->arguments.is_given[APP_VERBOSE] || status) {
        fputs(list->noise, stderr);
    }
    if (status == WP_E_DEVICE) {
        app_refuse(&session->diags, status, "is a sound server stuck?",
                   "the sound system does not answer or broke down");
    } else if (!status && session->arguments.is_given[APP_JSON]) {
        status = print_json(list);
    } else if (!status) {
        print_list(list);
    }
    free(list);
    return status;
}
