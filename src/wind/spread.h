/* SPDX-License-Identifier: MIT */
#ifndef WINDPEAL_WIND_SPREAD_H
#define WINDPEAL_WIND_SPREAD_H

#include <stddef.h>

#include "windpeal/attributes.h"

/* How much the means of short records differ within some minutes: they are the gusts themselves. */

/* Time whose records are looked at, and how many of them it takes. */
static const double WP_SPREAD_S = 300.0;
enum { WP_SPREAD_LEAST = 10 };

struct wp_spread {
    double origin; /* values count from here, so that squares do not swamp the difference */
    size_t n;
    double sum;
    double squares;
    double last;
    double least_step; /* smallest difference between neighbours that differ */
};

void wp_spread_init(struct wp_spread *spread, double origin) WP_REALTIME;

void wp_spread_add(struct wp_spread *spread, double value) WP_REALTIME;

/*
 * Standard deviation of the values, less what their rounding adds: steps of q add q^2 / 12 to the
 * variance (W. F. Sheppard, Proc. London Math. Soc. 29 (1898) 353), and the smallest difference
 * between neighbours is q or, where nothing is rounded, too small to matter. NAN: too few values,
 * or all alike.
 */
double wp_spread_sigma(const struct wp_spread *spread) WP_REALTIME;

#endif
