/* SPDX-License-Identifier: MIT */
#ifndef WINDPEAL_WIND_KAIMAL_H
#define WINDPEAL_WIND_KAIMAL_H

#include "windpeal/attributes.h"

/*
 * The spectrum of turbulence: Kaimal's form with the scales of IEC 61400-1 (edition 3, annex B.2).
 * One-sided; frequencies in Hz; time_s stands for the length scale over the mean speed, L / U.
 */

enum wp_component { WP_ALONG, WP_ACROSS, WP_COMPONENTS };

/* Standard deviation of the component across the wind over that along it (table B.1). */
static const double WP_ACROSS_SHARE = 0.8;

/* Length scale L of a component at a height, both in metres. */
double wp_kaimal_length(enum wp_component component, double height_m) WP_REALTIME;

/* Density for unit variance, in 1/Hz. Its integral over all frequencies is 1. */
double wp_kaimal_density(double time_s, double freq_hz) WP_REALTIME;

/* Share of the variance above a frequency. */
double wp_kaimal_above(double time_s, double freq_hz) WP_REALTIME;

#endif
