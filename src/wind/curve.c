/* SPDX-License-Identifier: MIT */
/* Continuous curves that keep the mean of every record. */
#include "wind/curve.h"

#include <math.h>

double wp_curve_edge(double value, double neighbour)
{
    return fmin(0.5 * (value + neighbour), 2.0 * fmin(value, neighbour));
}

/* The average is level (1 - ramp / 2) + ramp / 2 (mean of the edges). */
struct wp_curve wp_curve_through(double left, double value, double right, double ramp)
{
    const double half = 0.5 * ramp;
    const double edges = 0.5 * (left + right);
    return (struct wp_curve){
        .left = left,
        .level = (value - half * edges) / (1.0 - half),
        .right = right,
        .ramp = ramp,
    };
}

void wp_curve_clamp(struct wp_curve *curve, double value, double limit)
{
    if (curve->level > limit) {
        const double edges = 0.5 * (curve->left + curve->right);
        curve->ramp = 2.0 * (limit - value) / (limit - edges);
        curve->level = limit;
    }
}

struct wp_curve wp_curve_line(double left, double right)
{
    return (struct wp_curve){
        .left = left, .level = 0.5 * (left + right), .right = right, .ramp = 1.0};
}
