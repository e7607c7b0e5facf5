/* SPDX-License-Identifier: MIT */
#ifndef WINDPEAL_WEATHER_COMPASS_H
#define WINDPEAL_WEATHER_COMPASS_H

#include <stdbool.h>

#include "weather/table.h"
#include "windpeal/weather.h"

/* Directions in letters: the sixteen points N, NNE, NE, ... */

/* The letters that a column of directions uses. */
struct wp_compass_letters {
    bool has_e;
    bool has_w;
    bool has_o;
};

/* True when the field is one to three letters of N, E, S, W, O; adds them to letters. */
bool wp_compass_note(struct wp_slice field, struct wp_compass_letters *letters);

/* What O means beside these letters: with E it cannot be German, with W not the others. */
enum wp_letter_o wp_compass_decide(const struct wp_compass_letters *letters);

/* Degrees of one of the sixteen points, N = 0; false: none of them, from_deg untouched. */
bool wp_compass_read(struct wp_slice field, enum wp_letter_o letter_o, double *from_deg);

/* True for the words for no single direction: VRB, V, VAR, variable, calm, C. */
bool wp_compass_is_variable(struct wp_slice field);

#endif
