/* SPDX-License-Identifier: MIT */
#ifndef WINDPEAL_APP_STRIKE_RUN_H
#define WINDPEAL_APP_STRIKE_RUN_H

#include "app/set_source.h"
#include "windpeal/course.h"
#include "windpeal/strike.h"
#include "windpeal/wind.h"

/* One run of a set's striker through a stretch of wind, without sound. */

/* Who looks on; any function may be NULL. */
struct app_strike_watch {
    void *target; /* handed to all */
    /* Gets every strike in turn. */
    void (*take)(void *target, const struct wp_strike *strike);
    /* Gets every kick of a coil drive, before its strikes. */
    void (*kick)(void *target, const struct wp_kick *kick);
    /* Is asked now and then; false stops the run. */
    bool (*goes_on)(void *target, double done_01);
    bool is_blind; /* what goes with the wind is not wanted: faster */
};

/* What came of it. course.wind is no longer valid. */
struct app_strike_figures {
    struct wp_variety variety;
    struct wp_course course;
};

/*
 * Runs. loaded is only read, so that threads may share it. Returns WP_OK, WP_E_INTERRUPTED when
 * watch stopped it, or what kept wind or drive from being made.
 */
enum wp_status app_strike_run(struct app_strike_figures *figures, const struct app_set *loaded,
                              const struct wp_wind_config *wind, double duration_s,
                              const struct app_strike_watch *watch);

#endif
