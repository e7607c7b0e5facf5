/* SPDX-License-Identifier: MIT */
#ifndef WINDPEAL_STRIKER_HEAT_H
#define WINDPEAL_STRIKER_HEAT_H

#include "windpeal/attributes.h"

/* Temperature of a coil: one heat capacity that cools to the air through one resistance. Visible
 * state, never allocates. */
struct wp_heat {
    double air_c;
    double limit_c; /* the coil's rating; above air_c */
    double capacity_j_k;
    double resistance_k_w; /* winding to air */
    double coil_c;         /* now */
};

/* Cools for dt_s. */
void wp_heat_cool(struct wp_heat *heat, double dt_s) WP_REALTIME;

/* Takes the heat of a pulse at once, which errs towards too hot. */
void wp_heat_add(struct wp_heat *heat, double heat_j) WP_REALTIME;

/* How long the coil must cool before a pulse of this heat keeps below the limit: 0 when it does
 * now, INFINITY when it never will. */
double wp_heat_wait_s(const struct wp_heat *heat, double heat_j) WP_REALTIME;

#endif
