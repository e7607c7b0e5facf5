/* SPDX-License-Identifier: MIT */
/* A zero of a function between two places of opposite sign. */
#include "tube/root.h"

#include <float.h>
#include <math.h>
#include <stdbool.h>

/* The last three points: a and b enclose the zero, c is the one that b replaced. */
struct bracket {
    double a, b, c;
    double fa, fb, fc;
};

/* Share of the way from a to b at which to look next, from the three points. */
static double next_share(const struct bracket *s)
{
    const double xi = (s->a - s->b) / (s->c - s->b);
    const double phi = (s->fa - s->fb) / (s->fc - s->fb);
    const bool is_quadratic_safe = phi * phi < xi && (1.0 - phi) * (1.0 - phi) < 1.0 - xi;
    if (!is_quadratic_safe) {
        return 0.5;
    }
    return s->fa / (s->fb - s->fa) * s->fc / (s->fb - s->fc) +
           (s->c - s->a) / (s->b - s->a) * s->fa / (s->fc - s->fa) * s->fb / (s->fc - s->fb);
}

/* Takes in a new point and drops the end that no longer encloses the zero. */
static void take_point(struct bracket *s, double x, double fx)
{
    if (signbit(fx) == signbit(s->fa)) {
        s->c = s->a;
        s->fc = s->fa;
    } else {
        s->c = s->b;
        s->fc = s->fb;
        s->b = s->a;
        s->fb = s->fa;
    }
    s->a = x;
    s->fa = fx;
}

double wp_root_find(wp_function *f, const void *context, double low, double high)
{
    struct bracket s = {.a = high, .b = low, .fa = f(high, context), .fb = f(low, context)};
    s.c = s.b;
    s.fc = s.fb;
    double share = 0.5;
    const int most_steps = 200; /* halving alone needs about 60 */
    for (int step = 0; step < most_steps; step++) {
        const double best = fabs(s.fa) < fabs(s.fb) ? s.a : s.b;
        const double least = 2.0 * DBL_EPSILON * fabs(best) / fabs(s.b - s.a);
        if (!(least < 0.5) || s.fa == 0.0 || s.fb == 0.0 || signbit(s.fa) == signbit(s.fb)) {
            break;
        }
        const double inside = fmin(fmax(share, least), 1.0 - least);
        const double x = s.a + inside * (s.b - s.a);
        take_point(&s, x, f(x, context));
        share = next_share(&s);
    }
    return fabs(s.fa) < fabs(s.fb) ? s.a : s.b;
}
