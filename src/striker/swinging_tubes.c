/* SPDX-License-Identifier: MIT */
/* Tubes that swing on their cords. */
#include "striker/swinging_tubes.h"

#include <math.h>

#include "base/clones.h"
#include "base/exact.h"
#include "base/series.h"
#include "striker/air_drag.h"

static const double pi = 0x1.921fb54442d18p+1;

/* Share of critical damping of a tube on its cord, an estimate. */
static const double damping_ratio = 0.01;

/* Drag coefficient of a cylinder 20 to 30 times as long as thick, across the wind (S. F. Hoerner,
 * "Fluid-Dynamic Drag", 1965, chapter 3; from memory). No tube shelters another. */
static const double tube_drag = 0.9;

/* Inertia about the upper support: a bare tube and a point mass at its top end. */
static double inertia_of(const struct wp_tube *tube)
{
    const double length_m = tube->spec.length_m;
    const double outer_m = 0.5 * tube->spec.outer_diameter_m;
    const double inner_m = outer_m - tube->spec.wall_m;
    const double below_m = 0.5 * length_m - tube->support_m[0];
    const double end_kg = tube->mass_kg - tube->bare_mass_kg;
    const double own = (3.0 * (outer_m * outer_m + inner_m * inner_m) + length_m * length_m) / 12.0;
    return tube->bare_mass_kg * (own + below_m * below_m) +
           end_kg * tube->support_m[0] * tube->support_m[0];
}

static void hang(struct wp_swinging_tubes *tubes, size_t index, const struct wp_tube *tube,
                 double height_m, double air_kg_m3)
{
    const double below_m = 0.5 * tube->spec.length_m - tube->support_m[0];
    const double end_kg = tube->mass_kg - tube->bare_mass_kg;
    const double moment = tube->bare_mass_kg * below_m - end_kg * tube->support_m[0];
    const double lever_m = tube->spec.length_m - tube->support_m[0] - height_m;
    if (tube->spec.is_held_rigid || !(lever_m > 0.0) || !(moment > 0.0)) {
        return;
    }
    const double inertia = inertia_of(tube);
    const double area_m2 = tube->spec.outer_diameter_m * tube->spec.length_m;
    const double omega = sqrt(WP_GRAVITY_M_S2 * moment / inertia);
    const double turned_per_m = wp_air_drag(air_kg_m3, tube_drag, area_m2) * below_m / inertia;
    tubes->omega[index] = omega;
    tubes->damping_per_s[index] = 2.0 * damping_ratio * omega;
    tubes->mobility_per_kg[index] = lever_m * lever_m / inertia;
    tubes->slowed_per_m[index] = turned_per_m * below_m;
    tubes->blown_s2_m[index] = turned_per_m * lever_m / (omega * omega);
}

void wp_swinging_tubes_init(struct wp_swinging_tubes *tubes,
                            const struct wp_strike_context *context)
{
    const double air_kg_m3 = wp_air_density(context->set->temperature_c, WP_STANDARD_PA);
    const struct wp_layout *layout = context->layout;
    *tubes = (struct wp_swinging_tubes){.n_tubes = layout->n_tubes};
    for (size_t i = 0; i < layout->n_tubes; i++) {
        tubes->rest_m[0][i] = layout->x_m[i];
        tubes->rest_m[1][i] = layout->y_m[i];
        hang(tubes, i, &context->chime->tubes[i], layout->strike_height_m[i], air_kg_m3);
    }
}

WP_CLONED
static void turn(struct wp_tube_turns *restrict turns, const double *restrict omega, size_t n)
{
    const double dt_s = turns->dt_s;
    for (size_t i = 0; i < n; i++) {
        double sine;
        wp_series_circle(omega[i] * dt_s, &turns->cosine[i], &sine);
        turns->sine_per_s[i] = sine * omega[i];
        turns->sine_s[i] = omega[i] > 0.0 ? sine / omega[i] : dt_s;
    }
}

/* The turns of a step. */
static const struct wp_tube_turns *turns_of(struct wp_swinging_tubes *tubes, double dt_s)
{
    struct wp_tube_turns *turns = dt_s < tubes->longest.dt_s ? &tubes->latest : &tubes->longest;
    if (dt_s != turns->dt_s) {
        turns->dt_s = dt_s;
        turn(turns, tubes->omega, wp_tube_lanes(tubes->n_tubes));
    }
    return turns;
}

/* The wind squared, in its direction, at the beginning of a step and on a straight line to its end.
 */
struct gale {
    double begin_m2_s2[2];
    double end_m2_s2[2];
    double rise_m2_s3[2];
    double middle_m_s; /* the wind itself */
};

static struct gale gale_of(const struct wp_breeze *breeze, double dt_s)
{
    const double *a = breeze->begin_m_s;
    const double *b = breeze->end_m_s;
    const double denser = 1.0 + breeze->denser;
    const double begin_m_s = denser * sqrt(a[0] * a[0] + a[1] * a[1]);
    const double end_m_s = denser * sqrt(b[0] * b[0] + b[1] * b[1]);
    struct gale gale = {.middle_m_s = 0.5 * (begin_m_s + end_m_s)};
    for (size_t c = 0; c < 2; c++) {
        gale.begin_m2_s2[c] = begin_m_s * a[c];
        gale.end_m2_s2[c] = end_m_s * b[c];
        gale.rise_m2_s3[c] = (gale.end_m2_s2[c] - gale.begin_m2_s2[c]) / dt_s;
    }
    return gale;
}

/* The drag goes with |wind| (wind - speed of the tube): a tube is slow in any wind that matters.
 * One that stands still has no drag and no speed: it stays. */
WP_CLONED
static void swing(struct wp_swinging_tubes *restrict tubes,
                  const struct wp_tube_turns *restrict turns, const struct gale *restrict gale,
                  double dt_s)
{
    const struct gale wind = *gale;
    for (size_t i = 0; i < wp_tube_lanes(tubes->n_tubes); i++) {
        const double slowed =
            0.5 * dt_s * (tubes->damping_per_s[i] + wind.middle_m_s * tubes->slowed_per_m[i]);
        const double kept = 1.0 - slowed * (1.0 - 0.5 * slowed); /* exp(-slowed), nearly */
        const double blown = tubes->blown_s2_m[i];
        for (size_t c = 0; c < 2; c++) {
            double *shift_m = &tubes->motion.shift_m[c][i];
            double *speed_m_s = &tubes->motion.speed_m_s[c][i];
            const double drift = blown * wind.rise_m2_s3[c]; /* of where the wind holds it */
            const double off = *shift_m - blown * wind.begin_m2_s2[c];
            const double speed = kept * *speed_m_s - drift;
            const double shift = off * turns->cosine[i] + speed * turns->sine_s[i];
            const double turned = speed * turns->cosine[i] - off * turns->sine_per_s[i];
            *shift_m = blown * wind.end_m2_s2[c] + shift;
            *speed_m_s = kept * (drift + turned);
        }
    }
}

void wp_swinging_tubes_step(struct wp_swinging_tubes *tubes, const struct wp_breeze *breeze,
                            double dt_s)
{
    const struct gale gale = gale_of(breeze, dt_s);
    swing(tubes, turns_of(tubes, dt_s), &gale, dt_s);
}

/* Turns by whole periods count for nothing: what is left of them keeps the sine exact. */
void wp_swinging_tubes_wait(struct wp_swinging_tubes *tubes, double dt_s)
{
    for (size_t i = 0; i < tubes->n_tubes; i++) {
        const double omega = tubes->omega[i];
        if (!(omega > 0.0)) {
            continue;
        }
        const double turns = omega * dt_s / (2.0 * pi);
        const double angle = 2.0 * pi * (turns - floor(turns));
        const double left_01 = wp_exact_exp(-0.5 * tubes->damping_per_s[i] * dt_s);
        double sine;
        double cosine;
        wp_exact_sine_cosine(angle, &sine, &cosine);
        sine *= left_01;
        cosine *= left_01;
        for (size_t c = 0; c < 2; c++) {
            double *shift_m = &tubes->motion.shift_m[c][i];
            double *speed_m_s = &tubes->motion.speed_m_s[c][i];
            const double before_m = *shift_m;
            *shift_m = before_m * cosine + *speed_m_s * sine / omega;
            *speed_m_s = *speed_m_s * cosine - before_m * sine * omega;
        }
    }
}

double wp_swinging_tubes_energy(const struct wp_swinging_tubes *tubes)
{
    double sum = 0.0;
    for (size_t i = 0; i < tubes->n_tubes; i++) {
        for (size_t c = 0; c < 2 && tubes->omega[i] > 0.0; c++) {
            const double height = tubes->omega[i] * tubes->motion.shift_m[c][i];
            const double speed = tubes->motion.speed_m_s[c][i];
            sum += 0.5 / tubes->mobility_per_kg[i] * (speed * speed + height * height);
        }
    }
    return sum;
}
