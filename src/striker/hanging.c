/* SPDX-License-Identifier: MIT */
/* Moves striker, sail and tubes from touch to touch. */
#include "striker/hanging.h"

#include <math.h>
#include <string.h>

#include "base/clones.h"
#include "striker/air_drag.h"

static const double pi = 0x1.921fb54442d18p+1;

/* Share of critical damping that pivot and cord take, an estimate. The sail's drag is extra and, in
 * any wind, far more. */
static const double damping_ratio = 0.01;

/* The same of an arm whose dry friction is given by itself: what air and leads take. */
static const double arm_damping_ratio = 0.005;

/* Drag coefficients of a disc across the wind and of a ball (S. F. Hoerner, "Fluid-Dynamic Drag",
 * 1965, chapter 3; from memory: 1.12 to 1.17, and 0.47 below the drag crisis). The sail is a disc
 * that turns its face to the wind; that it tilts with the suspension is left out. */
static const double sail_drag = 1.15;
static const double ball_drag = 0.47;

/* Coulomb's friction of a striker on a tube, an estimate: handbooks give 0.2 to 0.6 for wood on dry
 * metal, and from 0.1 for hard plastics to 1 for rubber. */
static const double contact_friction = 0.3;

/* Slower contacts have no sound: the striker stays where it is, pressed on or falling off. */
static const double silent_m_s = 0.005;

/* How far a striker at rest on a tube must come off to be free of it. */
static const double free_m = 20e-6;

/* While the striker leans on a tube, steps are no longer than this: in the gusts of a front, blows
 * above 0.05 m/s are then as many as in steps of 0.5 ms, within 1 %; of fainter ones a heavy
 * striker that leans long has up to a fifth more. */
static const double resting_step_s = 0.017;

/* In wind; twice as many move the first strikes by less than a millisecond. */
static const double steps_per_period = 50.0;

/* In still air a swing is smooth, and longer steps follow it: at 32 a period the method loses 1e-5
 * of the energy in a period, the losses above take a hundred times as much. */
static const double steps_in_still_air = 32.0;

static void hang_striker(struct wp_bob *bob, const struct wp_set *set)
{
    const struct wp_set_striker *striker = &set->striker;
    static const struct wp_set_sail no_sail = {0.0, 0.0, 0.0};
    const bool has_sail = set->drive.kind == WP_DRIVE_SAIL;
    const struct wp_set_sail *sail = has_sail ? &set->drive.sail : &no_sail;
    const double air_kg_m3 = wp_air_density(set->temperature_c, WP_STANDARD_PA);
    const double arm_m = striker->suspension_m;
    const double sail_arm_m = arm_m + sail->below_m;
    const double radius_m = 0.5 * striker->diameter_m;
    struct wp_pendulum *pendulum = &bob->pendulum;
    /* A ball's own inertia is 2/5 m r^2, a disc's about a diameter 1/4 m r^2. */
    pendulum->inertia_kg_m2 = striker->mass_kg * (arm_m * arm_m + 0.4 * radius_m * radius_m) +
                              sail->mass_kg * (sail_arm_m * sail_arm_m + 0.25 * sail->area_m2 / pi);
    pendulum->moment_n_m =
        WP_GRAVITY_M_S2 * (striker->mass_kg * arm_m + sail->mass_kg * sail_arm_m);
    const double ratio = has_sail ? damping_ratio : arm_damping_ratio;
    pendulum->damping_per_s = 2.0 * ratio * wp_pendulum_omega(pendulum);
    pendulum->friction_per_s2 = has_sail ? 0.0
                                         : pendulum->moment_n_m / pendulum->inertia_kg_m2 *
                                               set->drive.coils.pivot_friction_m / arm_m;
    pendulum->drags[0] =
        (struct wp_drag){sail_arm_m, wp_air_drag(air_kg_m3, sail_drag, sail->area_m2)};
    pendulum->drags[1] =
        (struct wp_drag){arm_m, wp_air_drag(air_kg_m3, ball_drag, pi * radius_m * radius_m)};
    wp_pendulum_reset(pendulum);
    bob->arm_m = arm_m;
    bob->radius_m = radius_m;
}

void wp_hanging_init(struct wp_hanging *hanging, const struct wp_strike_context *context)
{
    *hanging = (struct wp_hanging){.context = context, .friction = contact_friction};
    hang_striker(&hanging->bob, context->set);
    wp_swinging_tubes_init(&hanging->tubes, context);
    const struct wp_bob *bob = &hanging->bob;
    for (size_t i = 0; i < hanging->tubes.n_tubes; i++) {
        hanging->radius_m[i] = 0.5 * context->chime->tubes[i].spec.outer_diameter_m;
    }
    wp_rebound_init(&hanging->rebound, context,
                    bob->arm_m * bob->arm_m / bob->pendulum.inertia_kg_m2,
                    hanging->tubes.mobility_per_kg);
    const double period_s = 2.0 * pi / wp_pendulum_omega(&hanging->bob.pendulum);
    const bool is_blown = context->set->drive.kind == WP_DRIVE_SAIL;
    hanging->step_s = period_s / (is_blown ? steps_per_period : steps_in_still_air);
}

/* What a step changes of all bodies, to come back to. */
struct moment {
    double n[3];
    double u_per_s[3];
    struct wp_tube_motion tubes;
};

static void copy_vector(double to[3], const double from[3])
{
    for (size_t c = 0; c < 3; c++) {
        to[c] = from[c];
    }
}

/* Lane by lane, which takes less than a copy of any length for a handful of tubes. */
static void copy_motion(struct wp_tube_motion *to, const struct wp_tube_motion *from,
                        size_t n_tubes)
{
    for (size_t i = 0; i < n_tubes; i += WP_TUBE_LANES) {
        for (size_t c = 0; c < 2; c++) {
            memcpy(&to->shift_m[c][i], &from->shift_m[c][i], WP_TUBE_LANES * sizeof(double));
            memcpy(&to->speed_m_s[c][i], &from->speed_m_s[c][i], WP_TUBE_LANES * sizeof(double));
        }
    }
}

static void remember(struct moment *moment, const struct wp_hanging *hanging)
{
    copy_vector(moment->n, hanging->bob.pendulum.n);
    copy_vector(moment->u_per_s, hanging->bob.pendulum.u_per_s);
    copy_motion(&moment->tubes, &hanging->tubes.motion, hanging->tubes.n_tubes);
}

static void put_back(struct wp_bob *bob, const struct moment *moment)
{
    copy_vector(bob->pendulum.n, moment->n);
    copy_vector(bob->pendulum.u_per_s, moment->u_per_s);
}

static void restore(struct wp_hanging *hanging, const struct moment *moment)
{
    put_back(&hanging->bob, moment);
    copy_motion(&hanging->tubes.motion, &moment->tubes, hanging->tubes.n_tubes);
}

/* No time may be left between a touch and the end of a step. */
static void move(struct wp_hanging *hanging, const struct wp_breeze *breeze, double dt_s)
{
    if (dt_s > 0.0) {
        wp_pendulum_step(&hanging->bob.pendulum, breeze, dt_s);
        wp_swinging_tubes_step(&hanging->tubes, breeze, dt_s);
    }
}

static double square_of(const double u[3])
{
    return u[0] * u[0] + u[1] * u[1] + u[2] * u[2];
}

/*
 * Where a margin is positive, which is found cheaply and mostly so, the tube cannot be touched
 * between the two ends of a step: a way lies nowhere farther from the middle between its ends than
 * half of its length; 0.8 of that length leave room for the cubic that stands for the gap.
 */
WP_CLONED
static void find_margins(double *restrict margins_m2, const struct wp_hanging *restrict hanging,
                         const struct moment *restrict before, double dt_s)
{
    const struct wp_bob *bob = &hanging->bob;
    const struct wp_tube_motion *end = &hanging->tubes.motion;
    const struct wp_tube_motion *begin = &before->tubes;
    const double begin2_s2 = square_of(before->u_per_s);
    const double end2_s2 = square_of(bob->pendulum.u_per_s);
    const double bob_m_s = bob->arm_m * sqrt(begin2_s2 > end2_s2 ? begin2_s2 : end2_s2);
    const double half_arm_m = 0.5 * bob->arm_m;
    const double x_m = half_arm_m * (before->n[0] + bob->pendulum.n[0]);
    const double y_m = half_arm_m * (before->n[1] + bob->pendulum.n[1]);
    for (size_t i = 0; i < wp_tube_lanes(hanging->tubes.n_tubes); i++) {
        const double x =
            hanging->tubes.rest_m[0][i] + 0.5 * (begin->shift_m[0][i] + end->shift_m[0][i]) - x_m;
        const double y =
            hanging->tubes.rest_m[1][i] + 0.5 * (begin->shift_m[1][i] + end->shift_m[1][i]) - y_m;
        const double begin_m_s = fabs(begin->speed_m_s[0][i]) + fabs(begin->speed_m_s[1][i]);
        const double end_m_s = fabs(end->speed_m_s[0][i]) + fabs(end->speed_m_s[1][i]);
        const double speed_m_s = bob_m_s + (begin_m_s > end_m_s ? begin_m_s : end_m_s);
        const double near_m = bob->radius_m + hanging->radius_m[i] + 0.8 * dt_s * speed_m_s;
        margins_m2[i] = x * x + y * y - near_m * near_m;
    }
}

/* The tube that is touched first between a moment and dt_s later, where the bodies stand now, and
 * when; a negative time: none. */
static double first_touch(const struct wp_hanging *hanging, const struct moment *before,
                          double dt_s, size_t *first)
{
    double margins_m2[WP_TUBES_MAX];
    double first_s = -1.0;
    find_margins(margins_m2, hanging, before, dt_s);
    for (size_t i = 0; i < hanging->tubes.n_tubes; i++) {
        if (hanging->is_resting[i] || margins_m2[i] > 0.0) {
            continue;
        }
        const struct wp_gap end = wp_hanging_gap(hanging, i);
        struct wp_bob bob = hanging->bob;
        put_back(&bob, before);
        const struct wp_gap begin =
            wp_gap_between(&bob, &hanging->tubes, &before->tubes, i, hanging->radius_m[i]);
        const double touch_s = wp_gap_closes_s(&begin, &end, dt_s);
        if (touch_s >= 0.0 && (first_s < 0.0 || touch_s < first_s)) {
            first_s = touch_s;
            *first = i;
        }
    }
    return first_s;
}

struct wp_gap wp_hanging_gap(const struct wp_hanging *hanging, size_t tube)
{
    return wp_gap_between(&hanging->bob, &hanging->tubes, &hanging->tubes.motion, tube,
                          hanging->radius_m[tube]);
}

double wp_hanging_height(const struct wp_hanging *hanging, size_t tube)
{
    const struct wp_strike_context *context = hanging->context;
    const double rise_m = hanging->bob.arm_m * (1.0 - hanging->bob.pendulum.n[2]);
    const double height_m = context->layout->strike_height_m[tube] + rise_m;
    return fmin(height_m, context->chime->tubes[tube].spec.length_m);
}

static void meet(struct wp_hanging *hanging, size_t index, struct wp_meeting *meeting)
{
    const struct wp_gap gap = wp_hanging_gap(hanging, index);
    const double speed_m_s = -gap.opening_m_s;
    if (!(speed_m_s > 0.0)) {
        return;
    }
    const bool is_heard = speed_m_s >= silent_m_s;
    *meeting = (struct wp_meeting){
        .is_met = true,
        .tube = index,
        .speed_m_s = speed_m_s,
        .towards = {gap.towards[0], gap.towards[1]},
        .height_m = wp_hanging_height(hanging, index),
        .is_heard = is_heard,
    };
    const struct wp_surfaces surfaces = {
        .restitution = is_heard ? wp_rebound_at(&hanging->rebound, index, speed_m_s) : 0.0,
        .friction = hanging->friction,
    };
    wp_gap_collide(&gap, &hanging->bob, &hanging->tubes, index, &surfaces);
    if (!is_heard) {
        hanging->is_resting[index] = true;
        hanging->n_resting++;
    }
}

/* A tube that the striker leans on takes what speed there is towards it. */
static void lean(struct wp_hanging *hanging)
{
    /* Friction at two tubes at once would press the striker from one into the other. */
    static const struct wp_surfaces pressed = {.restitution = 0.0, .friction = 0.0};
    for (size_t i = 0; i < hanging->tubes.n_tubes && hanging->n_resting > 0; i++) {
        if (!hanging->is_resting[i]) {
            continue;
        }
        const struct wp_gap gap = wp_hanging_gap(hanging, i);
        if (gap.gap_m >= 0.0) {
            continue;
        }
        if (gap.opening_m_s < 0.0) {
            wp_gap_collide(&gap, &hanging->bob, &hanging->tubes, i, &pressed);
        }
        wp_gap_part(&gap, &hanging->bob, &hanging->tubes, i);
    }
}

/* The striker comes off the tubes that have swung away. */
static void come_off(struct wp_hanging *hanging)
{
    for (size_t i = 0; i < hanging->tubes.n_tubes && hanging->n_resting > 0; i++) {
        if (hanging->is_resting[i] && wp_hanging_gap(hanging, i).gap_m > free_m) {
            hanging->is_resting[i] = false;
            hanging->n_resting--;
        }
    }
}

/* The first part of a breeze. */
static struct wp_breeze part_of(const struct wp_breeze *breeze, double share)
{
    struct wp_breeze part = *breeze;
    for (size_t c = 0; c < 2; c++) {
        part.end_m_s[c] += (share - 1.0) * (breeze->end_m_s[c] - breeze->begin_m_s[c]);
    }
    return part;
}

double wp_hanging_step(struct wp_hanging *hanging, const struct wp_breeze *breeze, double dt_s,
                       struct wp_meeting *meeting)
{
    struct moment before;
    size_t index = 0;
    meeting->is_met = false;
    struct wp_breeze whole = *breeze;
    if (hanging->n_resting > 0 && dt_s > resting_step_s) {
        const double n_parts = ceil(dt_s / resting_step_s);
        whole = part_of(breeze, 1.0 / n_parts);
        dt_s /= n_parts;
    }
    remember(&before, hanging);
    move(hanging, &whole, dt_s);
    const double touch_s = first_touch(hanging, &before, dt_s, &index);
    if (touch_s >= 0.0) {
        const struct wp_breeze part = part_of(&whole, touch_s / dt_s);
        restore(hanging, &before);
        move(hanging, &part, touch_s);
        dt_s = touch_s;
        meet(hanging, index, meeting);
    }
    lean(hanging);
    /* What leans on one tube may push the striker off another, and into a third, at one moment:
     * were any let go before time has passed, the three could hold each other for ever. */
    if (dt_s > 0.0) {
        come_off(hanging);
    }
    return dt_s;
}

bool wp_hanging_is_still(const struct wp_hanging *hanging)
{
    if (hanging->n_resting > 0 || !wp_pendulum_is_held(&hanging->bob.pendulum)) {
        return false;
    }
    const double *n = hanging->bob.pendulum.n;
    const struct wp_swinging_tubes *tubes = &hanging->tubes;
    for (size_t i = 0; i < tubes->n_tubes; i++) {
        double away2 = 0.0;
        double swing2 = 0.0; /* of the tube: at most this, squared, while it decays */
        for (size_t c = 0; c < 2; c++) {
            const double away = tubes->rest_m[c][i] - hanging->bob.arm_m * n[c];
            const double shift = tubes->motion.shift_m[c][i];
            const double speed =
                tubes->omega[i] > 0.0 ? tubes->motion.speed_m_s[c][i] / tubes->omega[i] : 0.0;
            away2 += away * away;
            swing2 += shift * shift + speed * speed;
        }
        if (sqrt(away2) - hanging->bob.radius_m - hanging->radius_m[i] <= sqrt(swing2)) {
            return false;
        }
    }
    return true;
}

void wp_hanging_wait(struct wp_hanging *hanging, double dt_s)
{
    wp_swinging_tubes_wait(&hanging->tubes, dt_s);
}

double wp_hanging_energy(const struct wp_hanging *hanging)
{
    return wp_pendulum_energy(&hanging->bob.pendulum) + wp_swinging_tubes_energy(&hanging->tubes);
}
