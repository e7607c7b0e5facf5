/* SPDX-License-Identifier: MIT */
/* Levels of all partials at the listener, once for a whole report. */
#include "app/tube_levels.h"

#include "app/blow_hint.h"
#include "windpeal/level.h"

void app_tube_levels_solve(struct app_tube_levels *levels, const struct app_set *loaded)
{
    for (size_t i = 0; i < loaded->chime->n_tubes; i++) {
        wp_strike_levels(&loaded->context, i, APP_TOLD_SPEED_M_S, levels->db[i]);
    }
}
