/* SPDX-License-Identifier: MIT */
/* Restitution of a contact that loses energy, and the loss that belongs to a restitution. */
#include "striker/loss.h"

#include <math.h>
#include <stdbool.h>

#include "base/exact.h"

enum { HALVINGS = 60 };

/* Positive while e is below the restitution at x, and while x is below the loss for e. */
static double excess(double x, double e)
{
    return (1.0 + e) * x - wp_exact_log((1.0 + x) / (1.0 - e * x));
}

double wp_loss_restitution(double x)
{
    if (x < 1e-4) { /* the series: its next term is below 1e-8, where logarithms cancel */
        return 1.0 - 2.0 / 3.0 * x;
    }
    double low = 0.0;
    double high = fmin(1.0, 1.0 / x);
    for (int i = 0; i < HALVINGS; i++) {
        const double middle = 0.5 * (low + high);
        const bool is_below = excess(x, middle) > 0.0;
        low = is_below ? middle : low;
        high = is_below ? high : middle;
    }
    return low;
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
