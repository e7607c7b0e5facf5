/* SPDX-License-Identifier: MIT */
#ifndef WINDPEAL_WEATHER_COLUMN_SPEC_H
#define WINDPEAL_WEATHER_COLUMN_SPEC_H

#include "weather/intake.h"

/* What the user says of one meaning: a number, or a heading or key by its name. */
struct wp_column_choice {
    int index;            /* from 0; -1: not by number */
    struct wp_slice name; /* empty: not by name */
};

/*
 * Reads what the user says about columns, "time=1,speed=3,from=wind dir": numbers count from 1. A
 * time beside a date is its clock. choices: out, by meaning. The error is in the intake's diags.
 */
enum wp_status wp_column_spec_read(struct wp_intake *intake,
                                   struct wp_column_choice choices[WP_MEANING_COUNT]);

/* What the user calls a meaning. Static text. */
const char *wp_column_word(enum wp_meaning meaning);

/* True when something is said of the meaning. */
bool wp_column_is_chosen(const struct wp_column_choice *choice);

#endif
