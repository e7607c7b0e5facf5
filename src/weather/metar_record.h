/* SPDX-License-Identifier: MIT */
#ifndef WINDPEAL_WEATHER_METAR_RECORD_H
#define WINDPEAL_WEATHER_METAR_RECORD_H

#include "weather/intake.h"
#include "weather/metar_groups.h"

/* What files of METAR reports share. */

/* Seconds of a report's day and time in a month; NAN where the month has no such day. Months 0 and
 * 13 belong to the years beside. */
double wp_metar_time_in(int year, int month, const struct wp_metar *metar);

/* The report's time in the month that brings it closest to near_s. */
double wp_metar_time_near(double near_s, const struct wp_metar *metar);

/* Wind and air of a report; a wind group that cannot be read is counted. */
void wp_metar_take(struct wp_intake *intake, const struct wp_metar *metar, int number,
                   struct wp_record *record);

#endif
