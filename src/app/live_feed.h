/* SPDX-License-Identifier: MIT */
#ifndef WINDPEAL_APP_LIVE_FEED_H
#define WINDPEAL_APP_LIVE_FEED_H

#include <stdbool.h>

#include "windpeal/feed.h"
#include "windpeal/status.h"

/* Standard input as a live feed. */

struct app_live_feed {
    struct wp_feed *feed;
    bool is_ended;
    size_t n_told; /* refused lines that were shown */
};

/* WP_OK or what wp_feed_create says. */
enum wp_status app_live_feed_init(struct app_live_feed *feed,
                                  const struct wp_weather_config *config);

/* Frees; a feed of zeros is allowed. */
void app_live_feed_finish(struct app_live_feed *feed);

/*
 * Waits up to wait_ms for standard input and reads what has come. Of several reports at once the
 * last one counts.
 *
 * record  out: with *has_record
 * diags   refused lines, as warnings, the first three only; the error when nothing can be read
 *
 * WP_OK, or the status of an error that no later line can mend.
 */
enum wp_status app_live_feed_read(struct app_live_feed *feed, int wait_ms, double now_s,
                                  struct wp_record *record, bool *has_record,
                                  struct wp_diags *diags);

#endif
