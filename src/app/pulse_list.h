/* SPDX-License-Identifier: MIT */
#ifndef WINDPEAL_APP_PULSE_LIST_H
#define WINDPEAL_APP_PULSE_LIST_H

#include <stdbool.h>

#include "app/text_file.h"
#include "windpeal/strike.h"

/* What a builder's controller needs of a coil drive: kicks as a table, or C tables to compile. */

/* Notes what a builder of coils must mind, one line each. */
void app_pulse_cautions(void);

/* Writes the heading of the table of kicks; tells text of every print. */
void app_pulse_print_heading(struct app_text_file *text);

/* Writes one line of it. */
void app_pulse_print(struct app_text_file *text, const struct wp_kick *kick);

/*
 * Writes the coil drive's schedule as a C99 header in whole numbers: kick_delay_ms of the mean wind
 * and kick_duty_4096 of the wind now, both in mm/s. It gives the values of the table of kicks.
 */
void app_pulse_print_header(struct app_text_file *text, const struct wp_set *set);

#endif
