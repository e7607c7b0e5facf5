/* SPDX-License-Identifier: MIT */
#ifndef WINDPEAL_TESTS_NEAR_H
#define WINDPEAL_TESTS_NEAR_H

/* Doubles compared with a tolerance of their own unit. Include after cmocka.h. */

#include <math.h>

#define assert_near(got, want, tolerance) near_at((got), (want), (tolerance), __FILE__, __LINE__)

static inline void near_at(double got, double want, double tolerance, const char *file, int line)
{
    if (!(fabs(got - want) <= tolerance)) {
        print_error("%.9g is not within %.3g of %.9g\n", got, tolerance, want);
        _fail(file, line);
    }
}

#endif
