/* SPDX-License-Identifier: MIT */
/* Lets the wind blow and the striker strike, and counts. */
#include "app/strike_run.h"

#include <math.h>

/* What a run owns while it lasts. */
struct machine {
    struct wp_wind *wind;
    struct wp_wind *same_wind; /* the course steps through the wind by itself */
    struct wp_drive *drive;
};

/* Who gets the kicks of a run. */
struct kick_taker {
    struct wp_variety_meter *meter;
    const struct app_strike_watch *watch;
};

static void take_kick(void *target, const struct wp_kick *kick)
{
    const struct kick_taker *taker = target;
    wp_variety_kick(taker->meter);
    if (taker->watch->kick) {
        taker->watch->kick(taker->watch->target, kick);
    }
}

static enum wp_status build(struct machine *machine, const struct app_set *loaded,
                            const struct wp_wind_config *wind, bool is_blind,
                            const struct wp_kick_watch *kicks)
{
    enum wp_status status = wp_wind_create(&machine->wind, wind);
    if (!status && !is_blind) {
        status = wp_wind_create(&machine->same_wind, wind);
    }
    if (!status) {
        const struct wp_drive_config config = {.context = &loaded->context,
                                               .wind = machine->wind,
                                               .wind_step_s = wind->step_s,
                                               .seed = wind->seed,
                                               .kicks = kicks};
        status = wp_drive_create(&machine->drive, &config);
    }
    return status;
}

static enum wp_status run(struct machine *machine, double duration_s,
                          const struct app_strike_watch *watch, struct wp_variety_meter *meter,
                          struct wp_course *course)
{
    static const double look_s = 60.0; /* between two looks of the watch */
    struct wp_strike strike;
    for (double until_s = 0.0; until_s < duration_s;) {
        until_s = fmin(until_s + look_s, duration_s);
        while (wp_drive_next(machine->drive, until_s, &strike)) {
            wp_variety_add(meter, &strike);
            wp_course_add(course, &strike);
            if (watch->take) {
                watch->take(watch->target, &strike);
            }
        }
        if (watch->goes_on && !watch->goes_on(watch->target, until_s / duration_s)) {
            return WP_E_INTERRUPTED;
        }
    }
    return WP_OK;
}

enum wp_status app_strike_run(struct app_strike_figures *figures, const struct app_set *loaded,
                              const struct wp_wind_config *wind, double duration_s,
                              const struct app_strike_watch *watch)
{
    struct machine machine = {NULL, NULL, NULL};
    struct wp_variety_meter meter;
    struct kick_taker taker = {&meter, watch};
    const struct wp_kick_watch kicks = {&taker, take_kick};
    wp_variety_init(&meter, loaded->set.n_tubes);
    enum wp_status status = build(&machine, loaded, wind, watch->is_blind, &kicks);
    if (!status) {
        wp_course_init(&figures->course, machine.same_wind, wind->step_s);
        status = run(&machine, duration_s, watch, &meter, &figures->course);
        if (!status) {
            wp_course_end(&figures->course, duration_s);
        }
        wp_variety_result(&meter, duration_s, &figures->variety);
    }
    wp_drive_destroy(machine.drive);
    wp_wind_destroy(machine.same_wind);
    wp_wind_destroy(machine.wind);
    return status;
}
