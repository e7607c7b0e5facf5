/* SPDX-License-Identifier: MIT */
/* Contact and wall as two springs, one behind the other. */
#include "striker/spring.h"

#include <math.h>

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
 * step every next one comes down towards the root and none passes it.
 */
double wp_spring_depth(const struct wp_spring *spring, double total_m, double before_m,
                       double step_s, double *force_n)
{
    const double exponent = 1.5 + spring->stiffening;
    const double loss = spring->loss_s_m / step_s;
    double depth = spring->compliance > 0.0 && before_m > 0.0 ? fmin(before_m, total_m) : total_m;
    for (int round = 0; round < 30; round++) {
        const double elastic = wp_spring_force(spring, depth);
        const double gain = fmax(1.0 + loss * (depth - before_m), 0.0);
        const double slope = gain > 0.0 ? elastic * (gain * exponent / depth + loss) : 0.0;
        *force_n = elastic * gain;
        const double excess = depth + spring->compliance * *force_n - total_m;
        const double next =
            fmin(fmax(depth - excess / (1.0 + spring->compliance * slope), 0.01 * depth), total_m);
        const double moved = fabs(next - depth);
        depth = next;
        if (moved <= 1e-12 * total_m) {
            break;
        }
    }
    return depth;
}
