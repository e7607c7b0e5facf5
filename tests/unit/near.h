/* SPDX-License-Identifier: MIT */
#ifndef WINDPEAL_TEST_NEAR_H
#define WINDPEAL_TEST_NEAR_H

/* Comparison of doubles: cmocka's own compares in float. Include after cmocka.h. */

static inline void check_near(double got, double want, double within, const char *file, int line)
{
    const double apart = got > want ? got - want : want - got;
    if (!(apart <= within)) {
        print_error("%.12g instead of %.12g (+-%.3g)\n", got, want, within);
        _fail(file, line);
    }
}

#define assert_near(got, want, within) check_near(got, want, within, __FILE__, __LINE__)

#endif
