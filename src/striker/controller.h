/* SPDX-License-Identifier: MIT */
#ifndef WINDPEAL_STRIKER_CONTROLLER_H
#define WINDPEAL_STRIKER_CONTROLLER_H

#include <stdbool.h>
#include <stdint.h>

#include "windpeal/attributes.h"
#include "windpeal/wind.h"

/*
 * The wind as the controller of a drive sees it: the station's reading, taken every update_s and
 * held, without height change. Where the station reports less often than that, the generated
 * wind's mean over the last update_s, brought back to the station's height, stands in for it.
 */

/* What the controller knows for one update_s. */
struct wp_reading {
    double speed_m_s;     /* 0 when there is none */
    double from_deg;      /* NAN: calm or variable */
    double steadiness_01; /* mean resultant length of the directions: 1 steady, 0 from everywhere */
};

/* Visible state, never allocates. */
struct wp_controller {
    struct wp_wind *wind; /* used, not owned */
    double update_s;
    bool is_generated; /* the generated wind stands in */
    int64_t window;    /* number of the update_s at hand */
    struct wp_reading reading;
    struct wp_wind_sample sample; /* first one not used yet */
};

void wp_controller_init(struct wp_controller *controller, struct wp_wind *wind, double update_s);

/* What is known at t_s, which must not go back. Only is_generated steps the wind. */
const struct wp_reading *wp_controller_at(struct wp_controller *controller, double t_s) WP_REALTIME;

#endif
