/* SPDX-License-Identifier: MIT */
#ifndef WINDPEAL_STRIKER_BLOW_H
#define WINDPEAL_STRIKER_BLOW_H

#include "windpeal/attributes.h"
#include "windpeal/strike.h"

/*
 * The figures of one blow, rounded to what a strike list prints. Each rounded value is a whole
 * number over a power of ten, divided once: the same double that reading the printed decimal gives.
 */

double wp_figure_time(double t_s) WP_REALTIME;            /* to 1 us; t_s >= 0 */
double wp_figure_speed(double speed_m_s) WP_REALTIME;     /* to 1 um/s */
double wp_figure_bearing(double bearing_deg) WP_REALTIME; /* to 0.01 deg, within [0, 360) */
double wp_figure_height(double height_m) WP_REALTIME;     /* to 10 um */
double wp_figure_impulse(double impulse_n_s) WP_REALTIME; /* to 6 significant digits */

/* Fills in a bearing and a height that are NAN: those of the layout, rounded. */
void wp_blow_place(struct wp_strike *strike, const struct wp_layout *layout) WP_REALTIME;

#endif
