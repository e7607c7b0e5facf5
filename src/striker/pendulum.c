/* SPDX-License-Identifier: MIT */
/* A rigid pendulum that swings every way in the wind. */
#include "striker/pendulum.h"

#include <math.h>

#include "striker/level.h"

/* A vector, taken apart into level and down. */
struct vector {
    wp_level level;
    double down;
};

/* n and u side by side, as the Runge-Kutta method takes them. */
struct state {
    struct vector n;
    struct vector u;
};

static inline struct vector vector_of(const double values[3])
{
    return (struct vector){{values[0], values[1]}, values[2]};
}

static inline void put(const struct vector *vector, double values[3])
{
    wp_level_put(vector->level, values);
    values[2] = vector->down;
}

static inline double dot(const struct vector *a, const struct vector *b)
{
    return wp_level_dot(a->level, b->level) + a->down * b->down;
}

/* from + times * other */
static inline struct vector plus(const struct vector *from, double times,
                                 const struct vector *other)
{
    return (struct vector){from->level + times * other->level, from->down + times * other->down};
}

/* The moments over the inertia: of gravity, and of each part by the wind's speed squared. */
struct pull {
    double gravity_per_s2;
    size_t n_drags;
    double arm_m[WP_DRAGS_MAX];
    double drag_per_m[WP_DRAGS_MAX];
    double damping_per_s;
};

static struct pull pull_of(const struct wp_pendulum *pendulum, double denser)
{
    const double per_inertia = 1.0 / pendulum->inertia_kg_m2;
    struct pull pull = {
        .gravity_per_s2 = pendulum->moment_n_m * per_inertia,
        .n_drags = pendulum->n_drags,
        .damping_per_s = pendulum->damping_per_s,
    };
    for (size_t i = 0; i < pendulum->n_drags; i++) {
        pull.arm_m[i] = pendulum->drags[i].arm_m;
        const double drag_kg_m = pendulum->drags[i].drag_kg_m * (1.0 + denser);
        pull.drag_per_m[i] = drag_kg_m * pull.arm_m[i] * per_inertia;
    }
    return pull;
}

/* All moments over the inertia, in 1/s2. */
static inline struct vector turn_of(const struct pull *pull, const struct vector *u, wp_level wind)
{
    struct vector turn = {{0.0, 0.0}, pull->gravity_per_s2};
    const struct vector air = {wind, 0.0};
    for (size_t i = 0; i < pull->n_drags; i++) {
        const struct vector w = plus(&air, -pull->arm_m[i], u);
        turn = plus(&turn, pull->drag_per_m[i] * sqrt(dot(&w, &w)), &w);
    }
    return turn;
}

/* Time derivative of a state. */
static inline struct state slope_of(const struct pull *pull, const struct state *at,
                                    const struct vector *turn)
{
    const double inward = dot(turn, &at->n) + dot(&at->u, &at->u);
    const struct vector drawn = plus(turn, -inward, &at->n);
    return (struct state){.n = at->u, .u = plus(&drawn, -pull->damping_per_s, &at->u)};
}

static inline struct state moved(const struct state *from, const struct state *slope, double dt_s)
{
    return (struct state){plus(&from->n, dt_s, &slope->n), plus(&from->u, dt_s, &slope->u)};
}

/* The method's mean of four slopes. */
static inline struct vector mean_of(const struct vector *k1, const struct vector *k2,
                                    const struct vector *k3, const struct vector *k4)
{
    return (struct vector){
        (1.0 / 6.0) * (k1->level + 2.0 * (k2->level + k3->level) + k4->level),
        (1.0 / 6.0) * (k1->down + 2.0 * (k2->down + k3->down) + k4->down),
    };
}

void wp_pendulum_reset(struct wp_pendulum *pendulum)
{
    for (size_t c = 0; c < 3; c++) {
        pendulum->n[c] = c == 2 ? 1.0 : 0.0;
        pendulum->u_per_s[c] = 0.0;
    }
}

double wp_pendulum_omega(const struct wp_pendulum *pendulum)
{
    return sqrt(pendulum->moment_n_m / pendulum->inertia_kg_m2);
}

/* Keeps n of unit length and u across it, which the method does to its own error only. So near to
 * 1 the reciprocal of a root is a straight line. */
static void take(struct wp_pendulum *pendulum, const struct state *state)
{
    static const struct vector origin = {{0.0, 0.0}, 0.0};
    const struct vector n = plus(&origin, 1.5 - 0.5 * dot(&state->n, &state->n), &state->n);
    const struct vector u = plus(&state->u, -dot(&state->u, &n), &n);
    put(&n, pendulum->n);
    put(&u, pendulum->u_per_s);
}

/* Dry friction over a step, by splitting: exact where nothing else turns the body. */
static void rub(struct wp_pendulum *pendulum, double dt_s)
{
    double *u = pendulum->u_per_s;
    const struct vector turning = vector_of(u);
    const double speed = sqrt(dot(&turning, &turning));
    const double taken = pendulum->friction_per_s2 * dt_s;
    const double left = speed > taken ? 1.0 - taken / speed : 0.0;
    for (size_t c = 0; c < 3; c++) {
        u[c] *= left;
    }
}

static bool is_held(const struct wp_pendulum *pendulum, const struct state *at,
                    const struct state *slope)
{
    const double most = pendulum->friction_per_s2;
    return most > 0.0 && dot(&at->u, &at->u) == 0.0 && dot(&slope->u, &slope->u) <= most * most;
}

void wp_pendulum_step(struct wp_pendulum *pendulum, const struct wp_breeze *breeze, double dt_s)
{
    const wp_level begin = wp_level_of(breeze->begin_m_s);
    const wp_level middle = 0.5 * (begin + wp_level_of(breeze->end_m_s));
    const struct pull pull = pull_of(pendulum, breeze->denser);
    const struct state from = {vector_of(pendulum->n), vector_of(pendulum->u_per_s)};
    const struct vector first = turn_of(&pull, &from.u, begin);
    const struct state k1 = slope_of(&pull, &from, &first);
    if (is_held(pendulum, &from, &k1)) {
        return;
    }
    const struct state at2 = moved(&from, &k1, 0.5 * dt_s);
    const struct vector half = turn_of(&pull, &at2.u, middle);
    const struct state k2 = slope_of(&pull, &at2, &half);
    const struct state at3 = moved(&from, &k2, 0.5 * dt_s);
    const struct state k3 = slope_of(&pull, &at3, &half);
    const struct state at4 = moved(&from, &k3, dt_s);
    const struct vector last = {2.0 * half.level - first.level, 2.0 * half.down - first.down};
    const struct state k4 = slope_of(&pull, &at4, &last);
    const struct state mean = {mean_of(&k1.n, &k2.n, &k3.n, &k4.n),
                               mean_of(&k1.u, &k2.u, &k3.u, &k4.u)};
    const struct state to = moved(&from, &mean, dt_s);
    take(pendulum, &to);
    if (pendulum->friction_per_s2 > 0.0) {
        rub(pendulum, dt_s);
    }
}

bool wp_pendulum_is_held(const struct wp_pendulum *pendulum)
{
    static const wp_level still = {0.0, 0.0};
    const struct pull pull = pull_of(pendulum, 0.0);
    const struct state at = {vector_of(pendulum->n), vector_of(pendulum->u_per_s)};
    const struct vector turn = turn_of(&pull, &at.u, still);
    const struct state slope = slope_of(&pull, &at, &turn);
    return is_held(pendulum, &at, &slope);
}

double wp_pendulum_energy(const struct wp_pendulum *pendulum)
{
    const double *n = pendulum->n;
    const struct vector u = vector_of(pendulum->u_per_s);
    /* 1 - cos from the sine, which keeps its digits at small angles. */
    const double lift = (n[0] * n[0] + n[1] * n[1]) / (1.0 + fabs(n[2]));
    const double rise = n[2] >= 0.0 ? lift : 2.0 - lift;
    return 0.5 * pendulum->inertia_kg_m2 * dot(&u, &u) + pendulum->moment_n_m * rise;
}
