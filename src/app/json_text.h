/* SPDX-License-Identifier: MIT */
#ifndef WINDPEAL_APP_JSON_TEXT_H
#define WINDPEAL_APP_JSON_TEXT_H

#include <jansson.h>
#include <stddef.h>

#include "windpeal/status.h"

/*
 * JSON values for reports. Out of memory makes a value NULL; json_pack and the functions below
 * hand NULL on, so that only app_json_print has to look.
 */

/* A number, or null when it is not finite. */
json_t *app_json_number(double value);

/* A text; bytes that are no UTF-8 become question marks. */
json_t *app_json_string(const char *text);

/* Appends value to array and returns array; frees both and returns NULL when either is NULL. */
json_t *app_json_append(json_t *array, json_t *value);

/* An array of numbers, null where not finite. */
json_t *app_json_numbers(const double *values, size_t n_values);

/* Prints root and a newline on stdout and frees it. WP_E_NO_MEMORY when root is NULL. */
enum wp_status app_json_print(json_t *root);

/* The same in one line, and flushed: for a reader that follows. */
enum wp_status app_json_print_line(json_t *root);

#endif
