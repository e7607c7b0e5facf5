/* SPDX-License-Identifier: MIT */
#ifndef WINDPEAL_TUBE_ROOT_H
#define WINDPEAL_TUBE_ROOT_H

/* A zero of a function between two places of opposite sign. */

typedef double wp_function(double x, const void *context);

/**
 * Finds the zero of f between low and high to the last bits of a double.
 *
 * Chandrupatla's bracketing method (Adv. Eng. Software 28 (1997) 145): inverse quadratic steps
 * where they are safe, halving elsewhere. When f has one sign at both ends, the bracket is taken
 * to be narrower than rounding can resolve and the end with the smaller value is returned.
 */
double wp_root_find(wp_function *f, const void *context, double low, double high);

#endif
