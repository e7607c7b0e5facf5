/* SPDX-License-Identifier: MIT */
/* JSON values for reports. */
#include "app/json_text.h"

#include <math.h>
#include <stdio.h>

json_t *app_json_number(double value)
{
    return isfinite(value) ? json_real(value) : json_null();
}

json_t *app_json_string(const char *text)
{
    json_t *value = json_string(text);
    if (value) {
        return value;
    }
    char clean[512];
    size_t n = 0;
    for (; text[n] && n + 1 < sizeof clean; n++) {
        clean[n] = (unsigned char)text[n] < 0x80 ? text[n] : '?';
    }
    clean[n] = '\0';
    return json_string(clean);
}

json_t *app_json_append(json_t *array, json_t *value)
{
    if (array && value && json_array_append_new(array, value) == 0) {
        return array;
    }
    /* json_array_append_new frees the value on failure, and so does a missing array. */
    if (!array) {
        json_decref(value);
    }
    json_decref(array);
    return NULL;
}

json_t *app_json_numbers(const double *values, size_t n_values)
{
    json_t *array = json_array();
    for (size_t i = 0; i < n_values; i++) {
        array = app_json_append(array, app_json_number(values[i]));
    }
    return array;
}

enum wp_status app_json_print(json_t *root)
{
    if (!root) {
        return WP_E_NO_MEMORY;
    }
    /* 12 digits: more than any figure deserves, fewer than show the noise of binary fractions. */
    const int failed = json_dumpf(root, stdout, JSON_INDENT(2) | JSON_REAL_PRECISION(12));
    json_decref(root);
    putchar('\n');
    /* A stream that takes no more keeps its error until the program flushes it and tells why. */
    return failed && !ferror(stdout) ? WP_E_NO_MEMORY : WP_OK;
}

enum wp_status app_json_print_line(json_t *root)
{
    if (!root) {
        return WP_E_NO_MEMORY;
    }
    const int failed = json_dumpf(root, stdout, JSON_COMPACT | JSON_REAL_PRECISION(9));
    json_decref(root);
    putchar('\n');
    fflush(stdout);
    return failed && !ferror(stdout) ? WP_E_NO_MEMORY : WP_OK;
}
