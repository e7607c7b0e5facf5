/* SPDX-License-Identifier: MIT */
/* The scatter of the means of short records. */
#include "wind/spread.h"

#include <math.h>

void wp_spread_init(struct wp_spread *spread, double origin)
{
    *spread = (struct wp_spread){.origin = origin, .least_step = INFINITY};
}

void wp_spread_add(struct wp_spread *spread, double value)
{
    const double off = value - spread->origin;
    const double step = fabs(off - spread->last);
    if (spread->n > 0 && step > 0.0) {
        spread->least_step = fmin(spread->least_step, step);
    }
    spread->n++;
    spread->sum += off;
    spread->squares += off * off;
    spread->last = off;
}

double wp_spread_sigma(const struct wp_spread *spread)
{
    if (spread->n < WP_SPREAD_LEAST || isinf(spread->least_step)) {
        return (double)NAN;
    }
    const double n = (double)spread->n;
    const double variance = (spread->squares - spread->sum * spread->sum / n) / n -
                            spread->least_step * spread->least_step / 12.0;
    return variance > 0.0 ? sqrt(variance) : (double)NAN;
}
