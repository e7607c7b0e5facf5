/* SPDX-License-Identifier: MIT */
#ifndef WINDPEAL_BASE_EXACT_H
#define WINDPEAL_BASE_EXACT_H

#include <stddef.h>

#include "windpeal/attributes.h"

/*
 * Elementary functions that give the same bits on every machine and compiler: only + - * / sqrt
 * and exact scaling, compiled without contraction. Where trajectories are chaotic (wind, striker)
 * they stand in for libm, whose last bits differ between machines. Accuracy: 4 ulp or better, for
 * trigonometry with arguments up to 1e6.
 */

double wp_exact_log(double x) WP_REALTIME; /* x > 0; -INFINITY at 0, NAN below */
/* That of each of n normal numbers above 0, the same bits, in much less time. */
void wp_exact_log_each(const double *x, double *log, size_t n) WP_REALTIME;
double wp_exact_exp(double x) WP_REALTIME;           /* 0 and INFINITY past the range of double */
double wp_exact_pow(double x, double y) WP_REALTIME; /* x >= 0; exp(y log x), a few 1e-15 */
double wp_exact_sin(double x) WP_REALTIME;
double wp_exact_cos(double x) WP_REALTIME;
/* Both, the same bits, in little more time than one. */
void wp_exact_sine_cosine(double x, double *sine, double *cosine) WP_REALTIME;
double wp_exact_atan2(double y, double x) WP_REALTIME; /* as C's, 0 at the origin */
/* That of each of n pairs, the same bits, in much less time. */
void wp_exact_atan2_each(const double *y, const double *x, double *angle, size_t n) WP_REALTIME;

#endif
