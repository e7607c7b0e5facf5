/* SPDX-License-Identifier: MIT */
/* Contact and wall as two springs, one behind the other. */
#include "striker/spring.h"

#include <math.h>
#include <stdbool.h>

#include "base/exact.h"

double wp_spring_force(const struct wp_spring *spring, double depth_m)
{
    const double hertz_n = spring->hertz * depth_m * sqrt(depth_m);
    if (!(spring->stiffening > 0.0)) {
        return hertz_n;
    }
    return hertz_n * wp_exact_pow(depth_m / spring->reference_m, spring->stiffening);
}

/*
 * Newton's method on d + c F(d) = total. The left side is convex and rises, so that after the first
 * step every next one comes down towards the root and none passes it. Each step leaves about the
 * square of its own relative length: after one of 1e-4 some 1e-8 of the depth.
 */
double wp_spring_depth(const struct wp_spring *spring, double total_m, double before_m,
                       double guess_m, double step_s, double *force_n)
{
    const double exponent = 1.5 + spring->stiffening;
    const double loss = spring->loss_s_m / step_s;
    const bool is_guess_near = guess_m > 0.0 && guess_m < total_m;
    double depth = spring->compliance > 0.0 && is_guess_near ? guess_m : total_m;
    for (int round = 0; round < 30; round++) {
        const double elastic = wp_spring_force(spring, depth);
        const double gain = 1.0 + loss * (depth - before_m);
        const double slope = gain > 0.0 ? elastic * (gain * exponent / depth + loss) : 0.0;
        const double force = gain > 0.0 ? elastic * gain : 0.0;
        const double excess = depth + spring->compliance * force - total_m;
        const double aim = depth - excess / (1.0 + spring->compliance * slope);
        const double least = 0.01 * depth;
        const double next = aim > total_m ? total_m : aim > least ? aim : least;
        const double moved = next - depth;
        const double moved_n = force + slope * moved;
        *force_n = moved_n > 0.0 ? moved_n : 0.0;
        depth = next;
        if (fabs(moved) <= 1e-4 * depth) {
            break;
        }
    }
    return depth;
}
