/* SPDX-License-Identifier: MIT */
/* Geometry between tubes and the listener's head. */

#include "synth/path.h"

#include <math.h>

#include "tube/air.h"

static const double RADIAN = M_PI / 180.0;

struct point {
    double east_m;
    double north_m;
    double up_m;
};

static double length_of(struct point p)
{
    return sqrt(p.east_m * p.east_m + p.north_m * p.north_m + p.up_m * p.up_m);
}

/* From the tube's middle to a point beside the middle of the head. */
static struct point reach(const struct wp_set *set, const struct wp_layout *layout, size_t tube,
                          double aside_m)
{
    const double bearing = set->listener_bearing_deg * RADIAN;
    /* Facing the set from a bearing, the left hand points 90 degrees clockwise of that bearing. */
    const double east_m = set->listener_distance_m * sin(bearing) + aside_m * cos(bearing);
    const double north_m = set->listener_distance_m * cos(bearing) - aside_m * sin(bearing);
    return (struct point){east_m - layout->x_m[tube], north_m - layout->y_m[tube],
                          set->listener_height_m - layout->middle_m[tube]};
}

/* direct_m is the direct sound's way to the middle of the head. */
static void describe(struct wp_path *path, const struct wp_set *set, struct point to_ear,
                     double direct_m)
{
    struct wp_air air;
    wp_air_init(&air, set->temperature_c);
    path->ear.distance_m = hypot(to_ear.east_m, to_ear.north_m);
    path->ear.height_m = to_ear.up_m;
    path->bearing_deg = atan2(to_ear.east_m, to_ear.north_m) / RADIAN;
    path->length_m = length_of(to_ear);
    path->lag_s = (path->length_m - direct_m) / air.sound_speed_m_s;
    path->cosine = fabs(to_ear.up_m) / path->length_m;
}

void wp_path_init(struct wp_path *path, const struct wp_set *set, const struct wp_layout *layout,
                  size_t tube, double aside_m)
{
    describe(path, set, reach(set, layout, tube, aside_m),
             length_of(reach(set, layout, tube, 0.0)));
}

void wp_path_init_reflected(struct wp_path *path, const struct wp_set *set,
                            const struct wp_layout *layout, size_t tube, double aside_m)
{
    struct point to_ear = reach(set, layout, tube, aside_m);
    /* The tube's middle is as far above the ground as its image below; the ear is turned over with
     * the image, so that the tube itself can stand for it. */
    to_ear.up_m += 2.0 * (set->site_height_m + layout->middle_m[tube]);
    to_ear.up_m = -to_ear.up_m;
    describe(path, set, to_ear, length_of(reach(set, layout, tube, 0.0)));
}

void wp_path_init_around(struct wp_path *path, const struct wp_set *set,
                         const struct wp_layout *layout, size_t tube)
{
    *path = (struct wp_path){
        .ear = {.distance_m = set->listener_distance_m,
                .height_m = set->listener_height_m - layout->middle_m[tube]},
    };
}
