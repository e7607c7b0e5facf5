/* SPDX-License-Identifier: MIT */
#ifndef WINDPEAL_APP_HELP_H
#define WINDPEAL_APP_HELP_H

#include <stdio.h>

#include "app/options.h"

/* Help in plain text, from the option table. */

/* What the program is and which commands there are. */
void app_help_print(FILE *out);

/* The same in a few lines, for a call without arguments. */
void app_help_print_short(FILE *out);

/* One command: synopsis, options by heading, examples. */
void app_help_print_command(FILE *out, enum app_command_id id);

/* Width for printf's %-*s that pads UTF-8 text to so many columns: a sharp sign takes three bytes
 * and one column. */
int app_field_width(const char *text, int columns);

/* Prints text wrapped at 80 columns, every line after margin blanks. */
void app_print_wrapped(FILE *out, const char *text, int margin);

#endif
