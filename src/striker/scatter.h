/* SPDX-License-Identifier: MIT */
#ifndef WINDPEAL_STRIKER_SCATTER_H
#define WINDPEAL_STRIKER_SCATTER_H

#include "base/random.h"
#include "windpeal/attributes.h"

/* Random directions and speeds, from exact steps: the same bits on every machine. */

/*
 * Concentration kappa of the von Mises distribution whose mean resultant length is resultant, 0 to
 * below 1: inverse of I1(kappa) / I0(kappa), within 1 %.
 */
double wp_scatter_concentration(double resultant) WP_REALTIME;

/* An angle from the von Mises distribution around 0, in radian within [-pi, pi]; kappa >= 0. */
double wp_scatter_angle(struct wp_random *random, double kappa) WP_REALTIME;

/* A speed >= 0 from the Weibull distribution of shape 1.6 with the given mean. */
double wp_scatter_speed(struct wp_random *random, double mean_m_s) WP_REALTIME;

#endif
