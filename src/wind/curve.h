/* SPDX-License-Identifier: MIT */
#ifndef WINDPEAL_WIND_CURVE_H
#define WINDPEAL_WIND_CURVE_H

#include <stdbool.h>

#include "windpeal/attributes.h"

/*
 * One record's piece of a continuous curve whose average over each record is that record's value:
 * straight from the edge value to a level, along it, and straight to the other edge value.
 */
struct wp_curve {
    double left;
    double level;
    double right;
    double ramp; /* share of the record on the two ramps together, above 0 to 1 */
};

/* Value shared by two neighbours that keeps a curve of non-negative values non-negative. */
double wp_curve_edge(double value, double neighbour) WP_REALTIME;

/* Piece with an average of value and the given edges. */
struct wp_curve wp_curve_through(double left, double value, double right, double ramp) WP_REALTIME;

/* Makes the ramps of a piece with an average of value steeper until no level is above limit, which
 * must be above value. */
void wp_curve_clamp(struct wp_curve *curve, double value, double limit) WP_REALTIME;

/* Mean square of a piece's difference from a value. */
double wp_curve_variance(const struct wp_curve *curve, double value) WP_REALTIME;

/* Chooses the level, not below least, with which the mean square of a piece is as wanted. */
void wp_curve_set_square(struct wp_curve *curve, double square, double least) WP_REALTIME;

/* Straight line from edge to edge. */
struct wp_curve wp_curve_line(double left, double right) WP_REALTIME;

/* Value at x, 0 at the left edge to 1 at the right. */
static inline double wp_curve_at(const struct wp_curve *curve, double x)
{
    const double half = 0.5 * curve->ramp;
    const bool is_left = x < half;
    const double from_edge = is_left ? x : 1.0 - x;
    const double edge = is_left ? curve->left : curve->right;
    const double on_ramp = edge + (curve->level - edge) * (from_edge / half);
    return from_edge < half ? on_ramp : curve->level;
}

#endif
