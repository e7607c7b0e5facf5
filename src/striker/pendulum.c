/* SPDX-License-Identifier: MIT */
/* A rigid pendulum that swings every way in the wind. */
#include "striker/pendulum.h"

#include <math.h>

/* n and u side by side, as the Runge-Kutta method takes them. */
struct state {
    double n[3];
    double u[3];
};

static double dot(const double a[3], const double b[3])
{
    return a[0] * b[0] + a[1] * b[1] + a[2] * b[2];
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

/* All moments over the inertia. */
struct turn {
    double per_s2[3];
};

static inline struct turn turn_of(const struct pull *pull, const double u[3], double east_m_s,
                                  double north_m_s)
{
    struct turn turn = {{0.0, 0.0, pull->gravity_per_s2}};
    for (size_t i = 0; i < pull->n_drags; i++) {
        const double arm = pull->arm_m[i];
        const double w[3] = {east_m_s - arm * u[0], north_m_s - arm * u[1], -arm * u[2]};
        const double drag = pull->drag_per_m[i] * sqrt(dot(w, w));
        for (size_t c = 0; c < 3; c++) {
            turn.per_s2[c] += drag * w[c];
        }
    }
    return turn;
}

/* Time derivative of a state. */
static inline struct state slope_of(const struct pull *pull, const struct state *at,
                                    const struct turn *turn)
{
    const double inward = dot(turn->per_s2, at->n) + dot(at->u, at->u);
    struct state slope;
    for (size_t c = 0; c < 3; c++) {
        slope.n[c] = at->u[c];
        slope.u[c] = turn->per_s2[c] - inward * at->n[c] - pull->damping_per_s * at->u[c];
    }
    return slope;
}

static inline struct state moved(const struct state *from, const struct state *slope, double dt_s)
{
    struct state to;
    for (size_t c = 0; c < 3; c++) {
        to.n[c] = from->n[c] + dt_s * slope->n[c];
        to.u[c] = from->u[c] + dt_s * slope->u[c];
    }
    return to;
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
    const double per_length = 1.5 - 0.5 * dot(state->n, state->n);
    for (size_t c = 0; c < 3; c++) {
        pendulum->n[c] = state->n[c] * per_length;
    }
    const double along = dot(state->u, pendulum->n);
    for (size_t c = 0; c < 3; c++) {
        pendulum->u_per_s[c] = state->u[c] - along * pendulum->n[c];
    }
}

/* Dry friction over a step, by splitting: exact where nothing else turns the body. */
static void rub(struct wp_pendulum *pendulum, double dt_s)
{
    double *u = pendulum->u_per_s;
    const double speed = sqrt(dot(u, u));
    const double taken = pendulum->friction_per_s2 * dt_s;
    const double left = speed > taken ? 1.0 - taken / speed : 0.0;
    for (size_t c = 0; c < 3; c++) {
        u[c] *= left;
    }
}

static bool is_held(const struct wp_pendulum *pendulum, const struct state *slope)
{
    const double *u = pendulum->u_per_s;
    const double most = pendulum->friction_per_s2;
    return most > 0.0 && dot(u, u) == 0.0 && dot(slope->u, slope->u) <= most * most;
}

void wp_pendulum_step(struct wp_pendulum *pendulum, const struct wp_breeze *breeze, double dt_s)
{
    const double *begin = breeze->begin_m_s;
    const double *end = breeze->end_m_s;
    const double middle[2] = {0.5 * (begin[0] + end[0]), 0.5 * (begin[1] + end[1])};
    const struct pull pull = pull_of(pendulum, breeze->denser);
    struct state from;
    for (size_t c = 0; c < 3; c++) {
        from.n[c] = pendulum->n[c];
        from.u[c] = pendulum->u_per_s[c];
    }
    const struct turn first = turn_of(&pull, from.u, begin[0], begin[1]);
    const struct state k1 = slope_of(&pull, &from, &first);
    if (is_held(pendulum, &k1)) {
        return;
    }
    const struct state at2 = moved(&from, &k1, 0.5 * dt_s);
    const struct turn half = turn_of(&pull, at2.u, middle[0], middle[1]);
    const struct state k2 = slope_of(&pull, &at2, &half);
    const struct state at3 = moved(&from, &k2, 0.5 * dt_s);
    const struct state k3 = slope_of(&pull, &at3, &half);
    const struct state at4 = moved(&from, &k3, dt_s);
    struct turn last;
    for (size_t c = 0; c < 3; c++) {
        last.per_s2[c] = 2.0 * half.per_s2[c] - first.per_s2[c];
    }
    const struct state k4 = slope_of(&pull, &at4, &last);
    struct state to;
    const double sixth_s = dt_s / 6.0;
    for (size_t c = 0; c < 3; c++) {
        to.n[c] = from.n[c] + sixth_s * (k1.n[c] + 2.0 * (k2.n[c] + k3.n[c]) + k4.n[c]);
        to.u[c] = from.u[c] + sixth_s * (k1.u[c] + 2.0 * (k2.u[c] + k3.u[c]) + k4.u[c]);
    }
    take(pendulum, &to);
    if (pendulum->friction_per_s2 > 0.0) {
        rub(pendulum, dt_s);
    }
}

bool wp_pendulum_is_held(const struct wp_pendulum *pendulum)
{
    const struct pull pull = pull_of(pendulum, 0.0);
    struct state at;
    for (size_t c = 0; c < 3; c++) {
        at.n[c] = pendulum->n[c];
        at.u[c] = pendulum->u_per_s[c];
    }
    const struct turn turn = turn_of(&pull, at.u, 0.0, 0.0);
    const struct state slope = slope_of(&pull, &at, &turn);
    return is_held(pendulum, &slope);
}

double wp_pendulum_energy(const struct wp_pendulum *pendulum)
{
    const double *n = pendulum->n;
    /* 1 - cos from the sine, which keeps its digits at small angles. */
    const double lift = (n[0] * n[0] + n[1] * n[1]) / (1.0 + fabs(n[2]));
    const double rise = n[2] >= 0.0 ? lift : 2.0 - lift;
    return 0.5 * pendulum->inertia_kg_m2 * dot(pendulum->u_per_s, pendulum->u_per_s) +
           pendulum->moment_n_m * rise;
}
