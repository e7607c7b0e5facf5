/* SPDX-License-Identifier: MIT */
/* Tubes that swing on their cords. */
#include "striker/swinging_tubes.h"

#include <math.h>

#include "base/exact.h"
#include "striker/air_drag.h"
#include "striker/level.h"

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

static void hang(struct wp_swinging_tube *swinging, const struct wp_tube *tube, double height_m,
                 double air_kg_m3)
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
    swinging->omega = sqrt(WP_GRAVITY_M_S2 * moment / inertia);
    swinging->damping_per_s = 2.0 * damping_ratio * swinging->omega;
    swinging->mobility_per_kg = lever_m * lever_m / inertia;
    const double turned_per_m = wp_air_drag(air_kg_m3, tube_drag, area_m2) * below_m / inertia;
    swinging->slowed_per_m = turned_per_m * below_m;
    swinging->blown_s2_m = turned_per_m * lever_m / (swinging->omega * swinging->omega);
}

void wp_swinging_tubes_init(struct wp_swinging_tubes *tubes,
                            const struct wp_strike_context *context)
{
    const double air_kg_m3 = wp_air_density(context->set->temperature_c, WP_STANDARD_PA);
    const struct wp_layout *layout = context->layout;
    *tubes = (struct wp_swinging_tubes){.n_tubes = layout->n_tubes};
    for (size_t i = 0; i < layout->n_tubes; i++) {
        tubes->tubes[i].rest_m[0] = layout->x_m[i];
        tubes->tubes[i].rest_m[1] = layout->y_m[i];
        hang(&tubes->tubes[i], &context->chime->tubes[i], layout->strike_height_m[i], air_kg_m3);
    }
}

/* The turns of a step. */
static const struct wp_tube_turns *turns_of(struct wp_swinging_tubes *tubes, double dt_s)
{
    struct wp_tube_turns *turns = dt_s < tubes->longest.dt_s ? &tubes->latest : &tubes->longest;
    if (dt_s == turns->dt_s) {
        return turns;
    }
    turns->dt_s = dt_s;
    for (size_t i = 0; i < tubes->n_tubes; i++) {
        const double omega = tubes->tubes[i].omega;
        struct wp_tube_turn *turn = &turns->tubes[i];
        if (omega > 0.0) {
            double sine;
            wp_exact_sine_cosine(omega * dt_s, &sine, &turn->cosine);
            turn->sine_per_s = sine * omega;
            turn->sine_s = sine / omega;
        }
    }
    return turns;
}

/* The wind squared, in its direction, at the beginning of a step and on a straight line to its end.
 */
struct gale {
    wp_level begin_m2_s2;
    wp_level end_m2_s2;
    wp_level rise_m2_s3;
    double middle_m_s; /* the wind itself */
};

static struct gale gale_of(const struct wp_breeze *breeze, double dt_s)
{
    const wp_level a = wp_level_of(breeze->begin_m_s);
    const wp_level b = wp_level_of(breeze->end_m_s);
    const double denser = 1.0 + breeze->denser;
    const double begin_m_s = denser * sqrt(wp_level_dot(a, a));
    const double end_m_s = denser * sqrt(wp_level_dot(b, b));
    struct gale gale = {
        .begin_m2_s2 = begin_m_s * a,
        .end_m2_s2 = end_m_s * b,
        .middle_m_s = 0.5 * (begin_m_s + end_m_s),
    };
    gale.rise_m2_s3 = (gale.end_m2_s2 - gale.begin_m2_s2) / dt_s;
    return gale;
}

/* The drag goes with |wind| (wind - speed of the tube): a tube is slow in any wind that matters. */
static void swing(struct wp_swinging_tube *tube, const struct wp_tube_turn *turn,
                  const struct gale *gale, double dt_s)
{
    const double slowed =
        0.5 * dt_s * (tube->damping_per_s + gale->middle_m_s * tube->slowed_per_m);
    const double kept = 1.0 - slowed * (1.0 - 0.5 * slowed); /* exp(-slowed), to second order */
    const double blown = tube->blown_s2_m;
    const wp_level drift = blown * gale->rise_m2_s3; /* of the place where the wind holds it */
    const wp_level off = wp_level_of(tube->shift_m) - blown * gale->begin_m2_s2;
    const wp_level speed = kept * wp_level_of(tube->speed_m_s) - drift;
    const wp_level shift = off * turn->cosine + speed * turn->sine_s;
    const wp_level turned = speed * turn->cosine - off * turn->sine_per_s;
    wp_level_put(blown * gale->end_m2_s2 + shift, tube->shift_m);
    wp_level_put(kept * (drift + turned), tube->speed_m_s);
}

void wp_swinging_tubes_step(struct wp_swinging_tubes *tubes, const struct wp_breeze *breeze,
                            double dt_s)
{
    const struct gale gale = gale_of(breeze, dt_s);
    const struct wp_tube_turns *turns = turns_of(tubes, dt_s);
    for (size_t i = 0; i < tubes->n_tubes; i++) {
        if (tubes->tubes[i].omega > 0.0) {
            swing(&tubes->tubes[i], &turns->tubes[i], &gale, dt_s);
        }
    }
}

/* Turns by whole periods count for nothing: what is left of them keeps the sine exact. */
void wp_swinging_tubes_wait(struct wp_swinging_tubes *tubes, double dt_s)
{
    for (size_t i = 0; i < tubes->n_tubes; i++) {
        struct wp_swinging_tube *tube = &tubes->tubes[i];
        if (!(tube->omega > 0.0)) {
            continue;
        }
        const double turns = tube->omega * dt_s / (2.0 * pi);
        const double angle = 2.0 * pi * (turns - floor(turns));
        const double left_01 = wp_exact_exp(-0.5 * tube->damping_per_s * dt_s);
        double sine;
        double cosine;
        wp_exact_sine_cosine(angle, &sine, &cosine);
        sine *= left_01;
        cosine *= left_01;
        for (size_t c = 0; c < 2; c++) {
            const double shift_m = tube->shift_m[c];
            tube->shift_m[c] = shift_m * cosine + tube->speed_m_s[c] * sine / tube->omega;
            tube->speed_m_s[c] = tube->speed_m_s[c] * cosine - shift_m * sine * tube->omega;
        }
    }
}

double wp_swinging_tubes_energy(const struct wp_swinging_tubes *tubes)
{
    double sum = 0.0;
    for (size_t i = 0; i < tubes->n_tubes; i++) {
        const struct wp_swinging_tube *tube = &tubes->tubes[i];
        for (size_t c = 0; c < 2 && tube->omega > 0.0; c++) {
            const double height = tube->omega * tube->shift_m[c];
            sum += 0.5 / tube->mobility_per_kg *
                   (tube->speed_m_s[c] * tube->speed_m_s[c] + height * height);
        }
    }
    return sum;
}
