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

/* Of a straight line from a to b: (a^2 + a b + b^2) / 3. */
static double line_square(double a, double b)
{
    return (a * a + a * b + b * b) / 3.0;
}

double wp_curve_variance(const struct wp_curve *curve, double value)
{
    const double level = curve->level - value;
    const double half = 0.5 * curve->ramp;
    return half * (line_square(curve->left - value, level) +
                   line_square(curve->right - value, level)) +
           (1.0 - curve->ramp) * level * level;
}

/* wp_curve_variance about 0, solved for the level. */
void wp_curve_set_square(struct wp_curve *curve, double square, double least)
{
    const double sixth = curve->ramp / 6.0;
    const double a = 1.0 - 4.0 * sixth;
    const double b = sixth * (curve->left + curve->right);
    const double c = sixth * (curve->left * curve->left + curve->right * curve->right) - square;
    const double root = sqrt(fmax(b * b - 4.0 * a * c, 0.0));
    curve->level = fmax((root - b) / (2.0 * a), least);
}

struct wp_curve wp_curve_line(double left, double right)
{
    return (struct wp_curve){
        .left = left, .level = 0.5 * (left + right), .right = right, .ramp = 1.0};
}
