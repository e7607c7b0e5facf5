/* SPDX-License-Identifier: MIT */
/* The coil drive: a controller that reads the station kicks a striker in still air. */
#include <math.h>
#include <stdint.h>
#include <stdlib.h>

#include "base/exact.h"
#include "base/random.h"
#include "striker/coil.h"
#include "striker/controller.h"
#include "striker/drive.h"
#include "striker/hanging.h"
#include "striker/heard.h"
#include "striker/heat.h"
#include "striker/kick_table.h"
#include "striker/schedule.h"

static const double radian = 0x1.1df46a2529d39p-6; /* pi / 180 */

/* Longest step while current flows; after a pulse it is followed for this many L / R. */
static const double pulse_step_s = 0.002;
static const double followed = 6.0;

struct coils {
    struct wp_drive drive; /* first, so that either pointer stands for both */
    const struct wp_strike_context *context;
    const struct wp_kick_watch *kicks;
    uint64_t seed;
    struct wp_controller controller;
    struct wp_running_mean mean;
    struct wp_kick_table table;
    struct wp_coil coil;
    struct wp_heat heat;
    struct wp_hanging hanging;
    struct wp_heard heard;
    double foot_m;    /* from the pivot to the coil in the striker's foot */
    double axis_m[2]; /* of the coil below, from the foot at rest */
    double pulse_length_s;
    double jitter_01;
    double t_s;
    int64_t update; /* number of the controller's next look at the station */
    uint32_t mean_mm_s;
    uint32_t now_mm_s;
    double heated_s;    /* up to when heat holds */
    uint64_t n_kicks;   /* the event of the next kick's random numbers */
    double last_kick_s; /* begin of the latest kick */
    double stretch;     /* of the delay after it, by jitter */
    double cold_s;      /* no kick before, for heat */
    struct wp_pulse pulse;
    double pulse_end_s; /* no force after */
};

static uint32_t whole_mm_s(double speed_m_s)
{
    return (uint32_t)(fmin(fmax(speed_m_s, 0.0), 1000.0) * 1000.0 + 0.5);
}

/* The controller looks at its station. */
static void look(struct coils *coils)
{
    const double middle_s = ((double)coils->update + 0.5) * coils->controller.update_s;
    const struct wp_reading *reading = wp_controller_at(&coils->controller, middle_s);
    wp_running_mean_add(&coils->mean, reading->speed_m_s);
    coils->mean_mm_s = whole_mm_s(wp_running_mean_value(&coils->mean));
    coils->now_mm_s = whole_mm_s(reading->speed_m_s);
    coils->update++;
}

/* When the next kick is due in the wind as it is known; INFINITY in calm. */
static double due_s(const struct coils *coils)
{
    if (wp_kick_table_duty_4096(&coils->table, coils->now_mm_s) == 0) {
        return INFINITY;
    }
    const double delay_s = 0.001 * wp_kick_table_delay_ms(&coils->table, coils->mean_mm_s);
    const double least_s = coils->pulse_length_s + pulse_step_s;
    const double wait_s = fmax(delay_s * coils->stretch, least_s);
    return fmax(coils->last_kick_s + wait_s, coils->cold_s);
}

static void draw_jitter(struct coils *coils)
{
    struct wp_random random;
    wp_random_init(&random, coils->seed, WP_STREAM_KICK_DELAY, coils->n_kicks);
    const double share = 2.0 * wp_random_uniform(&random) - 1.0;
    coils->stretch = 1.0 + coils->jitter_01 * share;
}

/* Kicks now, or puts the kick off until the coil has cooled enough. */
static void kick(struct coils *coils)
{
    const uint32_t duty = wp_kick_table_duty_4096(&coils->table, coils->now_mm_s);
    wp_heat_cool(&coils->heat, coils->t_s - coils->heated_s);
    coils->heated_s = coils->t_s;
    coils->pulse = (struct wp_pulse){duty / 4096.0, coils->pulse_length_s, coils->heat.coil_c};
    /* The two coils share the heat. */
    const double heat_j = 0.5 * wp_coil_heat_j(&coils->coil, &coils->pulse);
    const double wait_s = wp_heat_wait_s(&coils->heat, heat_j);
    if (wait_s > 0.0) {
        coils->cold_s = coils->t_s + fmax(wait_s, pulse_step_s);
        return;
    }
    wp_heat_add(&coils->heat, heat_j);
    const double ohm = wp_coil_ohm(&coils->coil, coils->pulse.temperature_c);
    if (!coils->coil.is_on_steel) {
        coils->pulse_end_s =
            coils->t_s + coils->pulse_length_s + followed * coils->coil.inductance_h / ohm;
    }
    const struct wp_kick event = {
        .t_s = coils->t_s,
        .mean_mm_s = coils->mean_mm_s,
        .now_mm_s = coils->now_mm_s,
        .delay_ms = wp_kick_table_delay_ms(&coils->table, coils->mean_mm_s),
        .duty_4096 = duty,
        .length_s = coils->pulse_length_s,
        .temperature_c = coils->heat.coil_c,
    };
    coils->last_kick_s = coils->t_s;
    coils->n_kicks++;
    draw_jitter(coils);
    if (coils->kicks) {
        coils->kicks->take(coils->kicks->target, &event);
    }
}

/* Turns the striker by what the coil does in dt_s at t_s. */
static void push(struct coils *coils, double t_s, double dt_s)
{
    struct wp_pendulum *pendulum = &coils->hanging.bob.pendulum;
    const double x[2] = {coils->foot_m * pendulum->n[0] - coils->axis_m[0],
                         coils->foot_m * pendulum->n[1] - coils->axis_m[1]};
    const double offset_m = sqrt(x[0] * x[0] + x[1] * x[1]);
    const double current_a = wp_coil_current(&coils->coil, &coils->pulse, t_s - coils->last_kick_s);
    const struct wp_coil_force force = wp_coil_force_at(&coils->coil, offset_m, current_a);
    const double outward = offset_m > 0.0 ? force.lateral_n / offset_m : 0.0;
    const double f[3] = {outward * x[0], outward * x[1], -force.axial_n}; /* z is down */
    const double along = f[0] * pendulum->n[0] + f[1] * pendulum->n[1] + f[2] * pendulum->n[2];
    const double turn = dt_s * coils->foot_m / pendulum->inertia_kg_m2;
    for (size_t c = 0; c < 3; c++) {
        pendulum->u_per_s[c] += turn * (f[c] - along * pendulum->n[c]);
    }
}

/* On to end_s or the next touch. */
static void swing(struct coils *coils, double end_s)
{
    static const struct wp_breeze still = {.denser = 0.0};
    const bool is_pushed = coils->t_s < coils->pulse_end_s;
    const double dt_s = end_s - coils->t_s;
    struct wp_meeting meeting;
    if (is_pushed) {
        push(coils, coils->t_s, 0.5 * dt_s);
    }
    const double moved_s = wp_hanging_step(&coils->hanging, &still, dt_s, &meeting);
    coils->t_s = moved_s < dt_s ? coils->t_s + moved_s : end_s;
    if (is_pushed) { /* second half of Strang's splitting; after a touch, of what there was */
        push(coils, coils->t_s, moved_s - 0.5 * dt_s);
    }
    if (meeting.is_met) {
        wp_heard_add(&coils->heard, &meeting, coils->t_s);
    }
}

/* A kick, a look at the station, or the swing up to the next of them at most. */
static void move_on(struct coils *coils)
{
    const double look_s = (double)coils->update * coils->controller.update_s;
    if (coils->t_s >= look_s) {
        look(coils);
        return;
    }
    const double kick_s = due_s(coils);
    if (coils->t_s >= kick_s) {
        kick(coils);
        return;
    }
    const double next_s = fmin(look_s, kick_s);
    const bool is_pushed = coils->t_s < coils->pulse_end_s;
    if (!is_pushed && wp_hanging_is_still(&coils->hanging)) {
        wp_hanging_wait(&coils->hanging, next_s - coils->t_s);
        coils->t_s = next_s;
        return;
    }
    const double step_s = is_pushed ? pulse_step_s : coils->hanging.step_s;
    swing(coils, fmin(coils->t_s + step_s, next_s));
}

static bool next_strike(struct wp_drive *base, double until_s, struct wp_strike *strike)
{
    struct coils *coils = (struct coils *)base;
    wp_heard_look(&coils->heard, &coils->hanging, coils->t_s);
    while (!coils->heard.is_pending && coils->t_s < until_s) {
        move_on(coils);
        wp_heard_look(&coils->heard, &coils->hanging, coils->t_s);
    }
    return wp_heard_take(&coils->heard, until_s, strike);
}

static void destroy(struct wp_drive *base)
{
    free(base);
}

static void wire(struct coils *coils, const struct wp_set *set)
{
    const struct wp_set_coils *given = &set->drive.coils;
    coils->coil = (struct wp_coil){
        .force_n = given->force_n,
        .current_a = given->current_a,
        .reach_m = given->reach_m,
        .gap_m = given->gap_m,
        .is_on_steel = given->is_on_steel,
        .supply_v = given->supply_v,
        .ohm_20c = given->ohm_20c,
        .inductance_h = given->inductance_h,
    };
    coils->heat = (struct wp_heat){
        .air_c = set->temperature_c,
        .limit_c = given->rating_c,
        .capacity_j_k = given->heat_capacity_j_k,
        .resistance_k_w = given->heat_resistance_k_w,
        .coil_c = set->temperature_c,
    };
    coils->foot_m = set->striker.suspension_m + 0.5 * set->striker.diameter_m;
    const double angle = radian * given->rest_bearing_deg;
    coils->axis_m[0] = -given->rest_offset_m * wp_exact_sin(angle);
    coils->axis_m[1] = -given->rest_offset_m * wp_exact_cos(angle);
    coils->pulse_length_s = given->pulse_s;
    coils->jitter_01 = given->jitter_01;
}

/* The rest is checked where the set is read; these would never end or never begin. */
static bool is_usable(const struct wp_drive_config *config)
{
    const struct wp_set_coils *coils = &config->context->set->drive.coils;
    return coils->fastest_s > coils->pulse_s && coils->slowest_s >= coils->fastest_s &&
           coils->pulse_s > 0.0 && coils->calm_below_m_s >= 0.0 &&
           coils->full_at_m_s > coils->calm_below_m_s && coils->supply_v > 0.0 &&
           coils->ohm_20c > 0.0 && coils->inductance_h > 0.0 && coils->current_a > 0.0 &&
           coils->reach_m > 0.0 && coils->gap_m > 0.0 && coils->jitter_01 >= 0.0 &&
           coils->jitter_01 < 1.0 && coils->update_s >= config->wind_step_s &&
           coils->mean_over_s <= WP_MEAN_READINGS_MAX * coils->update_s &&
           coils->rating_c > config->context->set->temperature_c;
}

enum wp_status wp_coils_create(struct wp_drive **out, const struct wp_drive_config *config)
{
    static const struct wp_drive_model model = {next_strike, destroy};
    if (!is_usable(config)) {
        return WP_E_RANGE;
    }
    struct coils *coils = calloc(1, sizeof *coils);
    if (!coils) {
        return WP_E_NO_MEMORY;
    }
    const struct wp_set *set = config->context->set;
    coils->drive.model = &model;
    coils->context = config->context;
    coils->kicks = config->kicks;
    coils->seed = config->seed;
    wire(coils, set);
    wp_kick_table_init(&coils->table, &set->drive.coils);
    wp_controller_init(&coils->controller, config->wind, set->drive.coils.update_s);
    wp_running_mean_init(&coils->mean, set->drive.coils.update_s, set->drive.coils.mean_over_s);
    wp_hanging_init(&coils->hanging, config->context);
    wp_heard_init(&coils->heard);
    draw_jitter(coils);
    *out = &coils->drive;
    return WP_OK;
}
