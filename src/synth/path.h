/* SPDX-License-Identifier: MIT */
#ifndef WINDPEAL_SYNTH_PATH_H
#define WINDPEAL_SYNTH_PATH_H

#include <stddef.h>

#include "windpeal/layout.h"
#include "windpeal/set.h"
#include "windpeal/tube.h"

/*
 * The way of sound from a tube to a point of the listener's head. The listener faces
 * the middle of the set; the ears lie on a level line across that direction.
 */

/* Half the distance of the ears: 0.175 m, the spacing of the ORTF pair (common practice). */
#define WP_EAR_ASIDE_M 0.0875

struct wp_path {
    struct wp_ear ear;  /* the point, as seen from the tube's middle */
    double bearing_deg; /* from the tube to the point, clockwise from north */
    double lag_s;       /* arrival after that at the middle of the head; negative: earlier */
    double length_m;    /* from the tube's middle */
    double cosine;      /* of the angle to the vertical, 0 to 1 */
};

/* Path from a tube to the point aside_m to the listener's left of the middle of the head. */
void wp_path_init(struct wp_path *path, const struct wp_set *set, const struct wp_layout *layout,
                  size_t tube, double aside_m);

/*
 * Path to the same point by way of the ground, as if it came straight from the tube's image there:
 * ear is the point as the image sees it, upside down, and lag_s still counts from the direct sound.
 */
void wp_path_init_reflected(struct wp_path *path, const struct wp_set *set,
                            const struct wp_layout *layout, size_t tube, double aside_m);

/* Path as if the tube hung in the middle of the set: at the listener's distance and height. Its
 * bearing is 0 and means nothing. */
void wp_path_init_around(struct wp_path *path, const struct wp_set *set,
                         const struct wp_layout *layout, size_t tube);

#endif
