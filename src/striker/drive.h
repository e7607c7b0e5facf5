/* SPDX-License-Identifier: MIT */
#ifndef WINDPEAL_STRIKER_DRIVE_H
#define WINDPEAL_STRIKER_DRIVE_H

#include <stdbool.h>

#include "windpeal/attributes.h"
#include "windpeal/strike.h"

/* What the kinds of drive have in common. Each begins its own struct with a wp_drive. */

/* What a kind of drive does; see wp_drive_next and wp_drive_destroy. */
struct wp_drive_model {
    bool (*next)(struct wp_drive *drive, double until_s, struct wp_strike *strike) WP_REALTIME;
    void (*destroy)(struct wp_drive *drive);
};

struct wp_drive {
    const struct wp_drive_model *model;
};

/*
 * The kinds, as wp_drive_create; out is NULL before and untouched on failure. Each refuses values
 * of its own part of the set with WP_E_RANGE.
 */
enum wp_status wp_statistical_create(struct wp_drive **out, const struct wp_drive_config *config);
enum wp_status wp_sail_create(struct wp_drive **out, const struct wp_drive_config *config);
enum wp_status wp_coils_create(struct wp_drive **out, const struct wp_drive_config *config);

#endif
