/* SPDX-License-Identifier: MIT */
/* The sail drive: the wind itself swings the striker. */
#include <math.h>
#include <stdint.h>
#include <stdlib.h>

#include "base/exact.h"
#include "striker/air_drag.h"
#include "striker/drive.h"
#include "striker/hanging.h"
#include "striker/heard.h"

static const double radian = 0x1.1df46a2529d39p-6; /* pi / 180 */

struct sail {
    struct wp_drive drive; /* first, so that either pointer stands for both */
    struct wp_wind *wind;
    double temperature_c; /* of the set */
    double air_kg_m3;     /* density for which hanging has its drags */
    double sample_s;
    double samples_per_s;
    double step_s;           /* an exact part of sample_s */
    int64_t sample;          /* number of the wind's sample before now */
    int64_t step;            /* whole steps since then */
    double into_s;           /* since then and the last whole step */
    struct wp_breeze breeze; /* from that sample to the next */
    struct wp_hanging hanging;
    struct wp_heard heard;
};

/* Density of the air that blows; what no record tells is that of the set, at standard pressure. */
static double air_of(const struct sail *sail, const struct wp_wind_sample *sample)
{
    return wp_air_density(isnan(sample->temperature_c) ? sail->temperature_c
                                                       : sample->temperature_c,
                          isnan(sample->pressure_pa) ? WP_STANDARD_PA : sample->pressure_pa);
}

/* Takes the wind's next sample as the end of the breeze: where the air goes. */
static void blow_on(struct sail *sail)
{
    struct wp_wind_sample sample;
    wp_wind_step(sail->wind, &sample);
    double east;
    double north;
    wp_exact_sine_cosine(radian * sample.from_deg, &east, &north);
    for (size_t c = 0; c < 2; c++) {
        sail->breeze.begin_m_s[c] = sail->breeze.end_m_s[c];
    }
    sail->breeze.end_m_s[0] = -sample.speed_m_s * east;
    sail->breeze.end_m_s[1] = -sample.speed_m_s * north;
    sail->breeze.denser = air_of(sail, &sample) / sail->air_kg_m3 - 1.0;
}

static double now_s(const struct sail *sail)
{
    return (double)sail->sample * sail->sample_s + ((double)sail->step * sail->step_s) +
           sail->into_s;
}

static double breeze_at(const struct wp_breeze *breeze, size_t component, double share)
{
    const double begin = breeze->begin_m_s[component];
    return begin + share * (breeze->end_m_s[component] - begin);
}

/* On to the end of the step at hand or the next touch. */
static void move_on(struct sail *sail)
{
    const double rest_s = sail->step_s - sail->into_s;
    const double done_s = (double)sail->step * sail->step_s + sail->into_s;
    struct wp_breeze breeze = {.denser = sail->breeze.denser};
    for (size_t c = 0; c < 2; c++) {
        breeze.begin_m_s[c] = breeze_at(&sail->breeze, c, done_s * sail->samples_per_s);
        breeze.end_m_s[c] = breeze_at(&sail->breeze, c, (done_s + rest_s) * sail->samples_per_s);
    }
    struct wp_meeting meeting;
    const double moved_s = wp_hanging_step(&sail->hanging, &breeze, rest_s, &meeting);
    sail->into_s += moved_s;
    if (meeting.is_met) {
        wp_heard_add(&sail->heard, &meeting, now_s(sail));
    }
    if (moved_s >= rest_s) {
        sail->into_s = 0.0;
        sail->step++;
        if ((double)sail->step * sail->step_s > sail->sample_s - 0.5 * sail->step_s) {
            sail->step = 0;
            sail->sample++;
            blow_on(sail);
        }
    }
}

static bool next_strike(struct wp_drive *base, double until_s, struct wp_strike *strike)
{
    struct sail *sail = (struct sail *)base;
    double t_s = now_s(sail);
    wp_heard_look(&sail->heard, &sail->hanging, t_s);
    while (!sail->heard.is_pending && t_s < until_s) {
        move_on(sail);
        t_s = now_s(sail);
        wp_heard_look(&sail->heard, &sail->hanging, t_s);
    }
    return wp_heard_take(&sail->heard, until_s, strike);
}

static void destroy(struct wp_drive *base)
{
    free(base);
}

static bool is_usable(const struct wp_drive_config *config)
{
    const struct wp_set_sail *sail = &config->context->set->drive.sail;
    return sail->area_m2 > 0.0 && isfinite(sail->area_m2) && sail->below_m >= 0.0 &&
           isfinite(sail->below_m) && sail->mass_kg >= 0.0 && isfinite(sail->mass_kg) &&
           config->wind_step_s > 0.0;
}

enum wp_status wp_sail_create(struct wp_drive **out, const struct wp_drive_config *config)
{
    static const struct wp_drive_model model = {next_strike, destroy};
    if (!is_usable(config)) {
        return WP_E_RANGE;
    }
    struct sail *sail = calloc(1, sizeof *sail);
    if (!sail) {
        return WP_E_NO_MEMORY;
    }
    sail->drive.model = &model;
    sail->wind = config->wind;
    sail->sample_s = config->wind_step_s;
    sail->samples_per_s = 1.0 / config->wind_step_s;
    wp_hanging_init(&sail->hanging, config->context);
    sail->temperature_c = config->context->set->temperature_c;
    sail->air_kg_m3 = wp_air_density(sail->temperature_c, WP_STANDARD_PA);
    sail->step_s = sail->sample_s / ceil(sail->sample_s / sail->hanging.step_s);
    wp_heard_init(&sail->heard);
    blow_on(sail);
    blow_on(sail);
    *out = &sail->drive;
    return WP_OK;
}
