/* SPDX-License-Identifier: MIT */
#ifndef WINDPEAL_LAYOUT_H
#define WINDPEAL_LAYOUT_H

#include <stddef.h>

#include "windpeal/attributes.h"
#include "windpeal/chime.h"
#include "windpeal/set.h"
#include "windpeal/status.h"

/* Where the tubes hang around the striker. Heights count from the middle of the longest tube. */

struct wp_layout {
    size_t n_tubes;
    double x_m[WP_TUBES_MAX];             /**< east of the striker's rest */
    double y_m[WP_TUBES_MAX];             /**< north of it */
    double bearing_deg[WP_TUBES_MAX];     /**< from the striker to the tube */
    double middle_m[WP_TUBES_MAX];        /**< height of the tube's middle */
    double clearance_m[WP_TUBES_MAX];     /**< gap between striker at rest and tube */
    double strike_height_m[WP_TUBES_MAX]; /**< contact above the tube's bottom end */
};

/**
 * Places the tubes.
 *
 * @param layout  out; untouched on failure
 * @return WP_OK, or WP_E_CONFLICT / WP_E_RANGE with the tubes named in diags (tubes overlap, the
 *         striker at rest touches one, the striker passes below or above a tube). A tube that the
 *         striker cannot reach (behind another, or farther than its suspension) is a warning.
 */
WP_API enum wp_status wp_layout_init(struct wp_layout *layout, const struct wp_set *set,
                                     const struct wp_chime *chime, struct wp_diags *diags);

#endif
