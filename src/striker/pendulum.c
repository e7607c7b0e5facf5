/* SPDX-License-Identifier: MIT */
/* A rigid pendulum that swings every way in the wind. */
#include "striker/pendulum.h"

#include <math.h>

/* Level part of a vector, east and north, which compilers take in one: each of the two is
 * computed as it would be alone, to the bit. */
typedef double flat __attribute__((vector_size(16)));

static inline flat flat_of(const double values[2])
{
    return (flat){values[0], values[1]};
}

static inline void put_flat(flat level, double values[2])
{
    values[0] = level[0];
    values[1] = level[1];
}

static inline double flat_dot(flat a, flat b)
{
    const flat products = a * b;
    return products[0] + products[1];
}

/* A vector, taken apart into level and down. */
struct vector {
    flat level;
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
    put_flat(vector->level, values);
    values[2] = vector->down;
}

static inline double dot(const struct vector *a, const struct vector *b)
{
    return flat_dot(a->level, b->level) + a->down * b->down;
}

/* from + times * other */
static inline struct vector plus(const struct vector *from, double times,
                                 const struct vector *other)
{
    return (struct vector){from->level + times * other->level, from->down + times * other->down};
}

/* Of both parts that the wind takes hold of. */
typedef double parts __attribute__((vector_size(sizeof(double) * WP_DRAGS)));

/* The moments over the inertia: of gravity, and of each part by the wind's speed squared. */
struct pull {
    double gravity_per_s2;
    double damping_per_s;
    parts arm_m;
    parts drag_per_m;
};

static struct pull pull_of(const struct wp_pendulum *pendulum, double denser)
{
    const double per_inertia = 1.0 / pendulum->inertia_kg_m2;
    const parts drag_kg_m = {pendulum->drags[0].drag_kg_m, pendulum->drags[1].drag_kg_m};
    struct pull pull = {
        .gravity_per_s2 = pendulum->moment_n_m * per_inertia,
        .damping_per_s = pendulum->damping_per_s,
        .arm_m = {pendulum->drags[0].arm_m, pendulum->drags[1].arm_m},
    };
    pull.drag_per_m = drag_kg_m * pull.arm_m * ((1.0 + denser) * per_inertia);
    return pull;
}

/* All moments over the inertia, in 1/s2. The drags, each along its own w = wind - arm u, add up to
 * one moment along the wind and one against u. */
static inline struct vector turn_of(const struct pull *pull, const struct vector *u, flat wind)
{
    const parts east = wind[0] - pull->arm_m * u->level[0];
    const parts north = wind[1] - pull->arm_m * u->level[1];
    const parts down = pull->arm_m * u->down;
    const parts w2 = east * east + north * north + down * down;
    const parts w = {sqrt(w2[0]), sqrt(w2[1])};
    const parts blown = pull->drag_per_m * w;
    const parts slowed = blown * pull->arm_m;
    const double slowed_per_s = slowed[0] + slowed[1];
    return (struct vector){(blown[0] + blown[1]) * wind - slowed_per_s * u->level,
                           pull->gravity_per_s2 - slowed_per_s * u->down};
}

/* A state moved on by dt_s with the slope of another. What needs the turn, the last to be known,
 * comes last: every number of a step waits for the one before. */
static inline struct state moved(const struct state *from, const struct pull *pull,
                                 const struct state *at, const struct vector *turn, double dt_s)
{
    const struct vector slowed = plus(&from->u, -dt_s * pull->damping_per_s, &at->u);
    const struct vector pushed = plus(&slowed, dt_s, turn);
    const struct vector timed = {dt_s * at->n.level, dt_s * at->n.down};
    const double inward = dot(turn, &at->n) + dot(&at->u, &at->u);
    return (struct state){plus(&from->n, dt_s, &at->u), plus(&pushed, -inward, &timed)};
}

/* What the method's mean of the first three slopes makes of a state, from where they led to. */
static inline struct vector mean_of(const struct vector *from, const struct vector *at2,
                                    const struct vector *at3, const struct vector *at4)
{
    return (struct vector){
        (1.0 / 3.0) * (2.0 * at3->level + (at2->level - from->level) + at4->level),
        (1.0 / 3.0) * (2.0 * at3->down + (at2->down - from->down) + at4->down),
    };
}

/* n of unit length and u across it, from which a step takes them by its own error only. So near to
 * 1 the reciprocal of a root is a straight line. */
static inline struct state state_of(const struct wp_pendulum *pendulum)
{
    static const struct vector origin = {{0.0, 0.0}, 0.0};
    const struct vector off = vector_of(pendulum->n);
    const struct vector u = vector_of(pendulum->u_per_s);
    const struct vector n = plus(&origin, 1.5 - 0.5 * dot(&off, &off), &off);
    return (struct state){n, plus(&u, -dot(&u, &n), &n)};
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

/* Whether a body is at rest and friction is all it takes to stay there. */
static bool is_held(const struct wp_pendulum *pendulum, const struct vector *n,
                    const struct vector *turn)
{
    const double most = pendulum->friction_per_s2;
    const struct vector across = plus(turn, -dot(turn, n), n);
    return dot(&across, &across) <= most * most;
}

static bool is_at_rest(const struct wp_pendulum *pendulum)
{
    const double *u = pendulum->u_per_s;
    return pendulum->friction_per_s2 > 0.0 && u[0] == 0.0 && u[1] == 0.0 && u[2] == 0.0;
}

void wp_pendulum_step(struct wp_pendulum *pendulum, const struct wp_breeze *breeze, double dt_s)
{
    const flat begin = flat_of(breeze->begin_m_s);
    const flat middle = 0.5 * (begin + flat_of(breeze->end_m_s));
    const struct pull pull = pull_of(pendulum, breeze->denser);
    const struct vector u = vector_of(pendulum->u_per_s);
    const struct vector first = turn_of(&pull, &u, begin);
    const struct state from = state_of(pendulum);
    if (is_at_rest(pendulum) && is_held(pendulum, &from.n, &first)) {
        return;
    }
    const struct state at2 = moved(&from, &pull, &from, &first, 0.5 * dt_s);
    const struct vector half = turn_of(&pull, &at2.u, middle);
    const struct state at3 = moved(&from, &pull, &at2, &half, 0.5 * dt_s);
    const struct state at4 = moved(&from, &pull, &at3, &half, dt_s);
    const struct vector last = turn_of(&pull, &at4.u, flat_of(breeze->end_m_s));
    const struct state mean = {mean_of(&from.n, &at2.n, &at3.n, &at4.n),
                               mean_of(&from.u, &at2.u, &at3.u, &at4.u)};
    const struct state to = moved(&mean, &pull, &at4, &last, (1.0 / 6.0) * dt_s);
    put(&to.n, pendulum->n);
    put(&to.u, pendulum->u_per_s);
    if (pendulum->friction_per_s2 > 0.0) {
        rub(pendulum, dt_s);
    }
}

bool wp_pendulum_is_held(const struct wp_pendulum *pendulum)
{
    static const flat still = {0.0, 0.0};
    if (!is_at_rest(pendulum)) {
        return false;
    }
    const struct pull pull = pull_of(pendulum, 0.0);
    const struct state at = state_of(pendulum);
    const struct vector turn = turn_of(&pull, &at.u, still);
    return is_held(pendulum, &at.n, &turn);
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
