/* SPDX-License-Identifier: MIT */
/* Notes on drives that throw nothing. */
#include "app/drive_note.h"

#include "app/report.h"

void app_drive_note(const struct wp_set *set)
{
    const struct wp_set_coils *coils = &set->drive.coils;
    if (set->drive.kind != WP_DRIVE_COILS) {
        return;
    }
    if (coils->is_on_steel) {
        app_note("a single coil draws the striker's steel onto its axis and holds it there: "
                 "nothing is thrown; two opposed coils ('against: coil') let it return");
    } else if (coils->rest_offset_m == 0.0) {
        app_note("a striker that rests exactly on the coil's axis gets no sideways kick; give "
                 "rest_offset what your mount is out of plumb, such as '1 mm'");
    }
}
