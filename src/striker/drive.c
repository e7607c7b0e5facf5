/* SPDX-License-Identifier: MIT */
/* The drive that a set asks for. */
#include "striker/drive.h"

#include <assert.h>
#include <stddef.h>

enum wp_status wp_drive_create(struct wp_drive **out, const struct wp_drive_config *config)
{
    *out = NULL;
    assert(config->context && config->wind);
    switch (config->context->set->drive.kind) {
    case WP_DRIVE_STATISTICAL:
        return wp_statistical_create(out, config);
    case WP_DRIVE_SAIL:
        return wp_sail_create(out, config);
    case WP_DRIVE_COILS:
        return wp_coils_create(out, config);
    }
    return WP_E_RANGE;
}

void wp_drive_destroy(struct wp_drive *drive)
{
    if (drive) {
        drive->model->destroy(drive);
    }
}

bool wp_drive_next(struct wp_drive *drive, double until_s, struct wp_strike *strike)
{
    return drive->model->next(drive, until_s, strike);
}
