/* SPDX-License-Identifier: MIT */
#ifndef WINDPEAL_WEATHER_CLOCK_CHANGE_H
#define WINDPEAL_WEATHER_CLOCK_CHANGE_H

#include "weather/records.h"

/*
 * Local clocks that are set back in autumn: an hour comes twice, and the order of the file tells
 * which of two records is the later one. Where that is plain, times go on without the step, and so
 * do those after a missing hour in spring. The zone of the first record holds for all then.
 *
 * rows: in the order of the file, all stamped by one local clock; zone_s: its offset from UTC as
 * known. Notes in weather what was done. WP_E_NO_MEMORY leaves rows as they were.
 */
enum wp_status wp_clock_change_undo(struct wp_rows *rows, double zone_s,
                                    struct wp_weather *weather);

#endif
