/* SPDX-License-Identifier: MIT */
#ifndef WINDPEAL_SESSION_H
#define WINDPEAL_SESSION_H

#include <stdio.h>

#include "windpeal/attributes.h"
#include "windpeal/weather.h"

/*
 * A session log: what a live feed told, and when each report took hold. Read as weather (format
 * "session log", is_session) it blows as it did then. Text: a first line that says what it is and
 * when the session began, a heading, perhaps a line with the averages, a line a report with t_s
 * counted from the beginning, a missing value left empty, and a last line that says how long it
 * lasted. Other lines that start with # are remarks.
 */

/**
 * Brings a record to what the log holds of it, so that it reads back bit by bit: t_s 1 ms, speeds
 * 0.1 mm/s, 0.01 degrees, 0.01 K, 0.1 Pa. start_s: the session's beginning, a whole second.
 */
WP_API void wp_session_round(struct wp_record *record, double start_s) WP_REALTIME;

/** Writes first line and heading. Returns the bytes written, or a negative number. */
WP_API int wp_session_print_heading(FILE *file, double start_s);

/** Writes what the reports are averages over, for wp_weather; to 1 ms. Returns as the heading does.
 */
WP_API int wp_session_print_averages(FILE *file, const struct wp_averages *averages);

/** Writes a record as rounded. Returns as the heading does. */
WP_API int wp_session_print(FILE *file, const struct wp_record *record, double start_s);

/** Writes the last line. Returns as the heading does. */
WP_API int wp_session_print_end(FILE *file, double duration_s);

#endif
