/* SPDX-License-Identifier: MIT */
/* When and how the striker meets a tube. */
#include "striker/touch.h"

#include <math.h>

static const double time_error_s = 1e-7;

struct wp_gap wp_gap_between(const struct wp_bob *bob, const struct wp_swinging_tubes *tubes,
                             const struct wp_tube_motion *motion, size_t tube, double tube_radius_m)
{
    double away[2];
    double speed[2];
    for (size_t c = 0; c < 2; c++) {
        away[c] =
            tubes->rest_m[c][tube] + motion->shift_m[c][tube] - bob->arm_m * bob->pendulum.n[c];
        speed[c] = motion->speed_m_s[c][tube] - bob->arm_m * bob->pendulum.u_per_s[c];
    }
    const double distance_m = sqrt(away[0] * away[0] + away[1] * away[1]);
    const double towards[2] = {away[0] / distance_m, away[1] / distance_m};
    return (struct wp_gap){
        .gap_m = distance_m - bob->radius_m - tube_radius_m,
        .opening_m_s = speed[0] * towards[0] + speed[1] * towards[1],
        .towards = {towards[0], towards[1]},
    };
}

/* The cubic through both ends with their slopes, at the share x of the step. */
static double gap_at(const struct wp_gap *begin, const struct wp_gap *end, double dt_s, double x)
{
    const double y = 1.0 - x;
    const double bend_begin = dt_s * begin->opening_m_s;
    const double bend_end = dt_s * end->opening_m_s;
    return begin->gap_m * y * y * (1.0 + 2.0 * x) + end->gap_m * x * x * (1.0 + 2.0 * y) +
           x * y * (bend_begin * y - bend_end * x);
}

static double bisect(const struct wp_gap *begin, const struct wp_gap *end, double dt_s, double open,
                     double closed)
{
    while ((closed - open) * dt_s > time_error_s) {
        const double x = 0.5 * (open + closed);
        const int is_open = gap_at(begin, end, dt_s, x) >= 0.0;
        open = is_open ? x : open;
        closed = is_open ? closed : x;
    }
    return open * dt_s;
}

/* Where the cubic turns round between 0 and 1, in order; returns how often. */
static size_t turns_of(const struct wp_gap *begin, const struct wp_gap *end, double dt_s,
                       double turns[2])
{
    /* Half its slope is a x^2 + b x + c. */
    const double rise_m = end->gap_m - begin->gap_m;
    const double c = 0.5 * dt_s * begin->opening_m_s;
    const double a = 3.0 * (c + 0.5 * dt_s * end->opening_m_s - rise_m);
    const double half_b = 0.5 * (0.5 * dt_s * end->opening_m_s - c - a);
    const double root2 = half_b * half_b - a * c;
    size_t n = 0;
    if (!(root2 > 0.0)) {
        return 0;
    }
    /* Neither root is the small difference of large numbers. */
    const double q = -(half_b + copysign(sqrt(root2), half_b));
    const double roots[2] = {q / a, c / q};
    const size_t lower = roots[0] > roots[1];
    for (size_t i = 0; i < 2; i++) {
        const double x = roots[i ^ lower];
        if (x > 0.0 && x < 1.0) {
            turns[n++] = x;
        }
    }
    return n;
}

double wp_gap_closes_s(const struct wp_gap *begin, const struct wp_gap *end, double dt_s)
{
    /* The slopes' share in a cubic by Hermite is at most 4/27 of each. */
    const double dip_m = 0.149 * dt_s * (fabs(begin->opening_m_s) + fabs(end->opening_m_s));
    if (begin->gap_m > dip_m && end->gap_m > dip_m) {
        return -1.0;
    }
    if (begin->gap_m <= 0.0 && begin->opening_m_s < 0.0) {
        return 0.0;
    }
    double open = begin->gap_m > 0.0 ? 0.0 : -1.0; /* latest share of the step known to be open */
    double stations[3]; /* between them the gap only opens or only closes */
    const size_t n_turns = turns_of(begin, end, dt_s, stations);
    stations[n_turns] = 1.0;
    for (size_t i = 0; i <= n_turns; i++) {
        if (gap_at(begin, end, dt_s, stations[i]) >= 0.0) {
            open = stations[i];
        } else if (open >= 0.0) {
            return bisect(begin, end, dt_s, open, stations[i]);
        }
    }
    return open < 0.0 && end->opening_m_s < 0.0 ? dt_s : -1.0;
}

/* The striker's share in the change of speed by an impulse along a horizontal direction: arm^2 /
 * inertia, less what goes along the suspension. */
static double bob_mobility(const double direction[2], const struct wp_bob *bob)
{
    const double *n = bob->pendulum.n;
    const double along = direction[0] * n[0] + direction[1] * n[1];
    return bob->arm_m * bob->arm_m / bob->pendulum.inertia_kg_m2 * (1.0 - along * along);
}

/* An impulse from the striker on the tube. */
static void push_apart(const double direction[2], double impulse, struct wp_bob *bob,
                       struct wp_swinging_tubes *tubes, size_t tube)
{
    const double turn = impulse * bob->arm_m / bob->pendulum.inertia_kg_m2;
    const double *n = bob->pendulum.n;
    const double along = direction[0] * n[0] + direction[1] * n[1];
    const double level[3] = {direction[0], direction[1], 0.0};
    for (size_t c = 0; c < 3; c++) {
        bob->pendulum.u_per_s[c] -= turn * (level[c] - along * n[c]);
    }
    for (size_t c = 0; c < 2; c++) {
        tubes->motion.speed_m_s[c][tube] += impulse * tubes->mobility_per_kg[tube] * direction[c];
    }
}

/* What slides is slowed by at most friction times the impulse across. A striker on an arm does not
 * spin, nor does a tube on two legs of cord. */
static void rub(const struct wp_gap *gap, struct wp_bob *bob, struct wp_swinging_tubes *tubes,
                size_t tube, double most)
{
    const double along[2] = {-gap->towards[1], gap->towards[0]};
    double sliding_m_s = 0.0;
    for (size_t c = 0; c < 2; c++) {
        sliding_m_s +=
            along[c] * (bob->arm_m * bob->pendulum.u_per_s[c] - tubes->motion.speed_m_s[c][tube]);
    }
    const double stop = sliding_m_s / (bob_mobility(along, bob) + tubes->mobility_per_kg[tube]);
    push_apart(along, fmin(fmax(stop, -most), most), bob, tubes, tube);
}

void wp_gap_collide(const struct wp_gap *gap, struct wp_bob *bob, struct wp_swinging_tubes *tubes,
                    size_t tube, const struct wp_surfaces *surfaces)
{
    const double mobility = bob_mobility(gap->towards, bob) + tubes->mobility_per_kg[tube];
    const double impulse = -(1.0 + surfaces->restitution) * gap->opening_m_s / mobility;
    push_apart(gap->towards, impulse, bob, tubes, tube);
    if (surfaces->friction > 0.0) {
        rub(gap, bob, tubes, tube, surfaces->friction * impulse);
    }
}

/* Both give way as to an impulse. Of the striker's way only what is across its suspension counts,
 * which is in its mobility. */
void wp_gap_part(const struct wp_gap *gap, struct wp_bob *bob, struct wp_swinging_tubes *tubes,
                 size_t tube)
{
    double *n = bob->pendulum.n;
    const double mobility = bob_mobility(gap->towards, bob) + tubes->mobility_per_kg[tube];
    const double push = -gap->gap_m / mobility;
    const double turn = push * bob->arm_m / bob->pendulum.inertia_kg_m2;
    for (size_t c = 0; c < 2; c++) {
        n[c] -= turn * gap->towards[c];
        tubes->motion.shift_m[c][tube] += push * tubes->mobility_per_kg[tube] * gap->towards[c];
    }
    const double length = sqrt(n[0] * n[0] + n[1] * n[1] + n[2] * n[2]);
    double along = 0.0;
    for (size_t c = 0; c < 3; c++) {
        n[c] /= length;
        along += n[c] * bob->pendulum.u_per_s[c];
    }
    for (size_t c = 0; c < 3; c++) {
        bob->pendulum.u_per_s[c] -= along * n[c];
    }
}
