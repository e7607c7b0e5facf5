/* SPDX-License-Identifier: MIT */
#ifndef WINDPEAL_WEATHER_COLUMN_SPEC_H
#define WINDPEAL_WEATHER_COLUMN_SPEC_H

#include "weather/intake.h"

/*
 * Reads what the user says about columns, "time=1,speed=3,gust=4,from=5": numbers count from 1. A
 * time beside a date is its clock. index: out, by meaning, from 0; -1 where nothing is said. The
 * error is in the intake's diags.
 */
enum wp_status wp_column_spec_read(struct wp_intake *intake, int index[WP_MEANING_COUNT]);

#endif
