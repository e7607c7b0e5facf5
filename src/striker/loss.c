/* SPDX-License-Identifier: MIT */
/* Restitution of a contact that loses energy, and the loss that belongs to a restitution. */
#include "striker/loss.h"

#include <math.h>
#include <stdbool.h>

#include "base/exact.h"

enum { HALVINGS = 60, ROUNDS = 20 };

/* Positive while e is below the restitution at x, and while x is below the loss for e. */
static double excess(double x, double e)
{
    return (1.0 + e) * x - wp_exact_log((1.0 + x) / (1.0 - e * x));
}

/*
 * With w = 1 + x and y = 1 - e x the law is y - ln y = w - ln w, y < 1 < w. The left side falls and
 * is convex: Newton's method from below the root comes up to it and never passes it. Below are
 * w exp(-w), as y e^-y = w e^-w, and what e = 1 / (1 + 2/3 x) gives; past x of 700 all is lost but
 * the last of it.
 */
double wp_loss_restitution(double x)
{
    if (x < 1e-4) { /* the series: its next term is below 1e-8, where logarithms cancel */
        return 1.0 - 2.0 / 3.0 * x;
    }
    const double w = 1.0 + x;
    const double wanted = w - wp_exact_log(w);
    double y =
        x < 2.5 ? (1.0 - x / 3.0) / (1.0 + 2.0 / 3.0 * x) : fmax(w * wp_exact_exp(-w), 0x1p-1000);
    for (int i = 0; i < ROUNDS; i++) {
        const double step = (y - wp_exact_log(y) - wanted) * y / (1.0 - y);
        y += step;
        if (!(step > 1e-12 * y)) {
            break;
        }
    }
    return (1.0 - fmax(y, 0x1p-52)) / x; /* below 1 / x, where y is lost in rounding */
}

double wp_loss_for(double restitution)
{
    if (restitution > 0.9999) {
        return 1.5 * fmax(1.0 - restitution, 0.0);
    }
    double low = 0.0;
    double high = 1.0 / restitution;
    for (int i = 0; i < HALVINGS; i++) {
        const double middle = 0.5 * (low + high);
        const bool is_below = excess(middle, restitution) > 0.0;
        low = is_below ? middle : low;
        high = is_below ? high : middle;
    }
    return low;
}
