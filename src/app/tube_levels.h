/* SPDX-License-Identifier: MIT */
#ifndef WINDPEAL_APP_TUBE_LEVELS_H
#define WINDPEAL_APP_TUBE_LEVELS_H

#include "app/set_source.h"

/* How loud every partial of every tube is at the listener just after a gentle hit. */

/* dB re 20 uPa at APP_TOLD_SPEED_M_S; -INFINITY for a null. Half of a report's time goes here. */
struct app_tube_levels {
    double db[WP_TUBES_MAX][WP_PARTIALS_MAX];
};

/* Solves the levels of all tubes of a set. */
void app_tube_levels_solve(struct app_tube_levels *levels, const struct app_set *loaded);

#endif
