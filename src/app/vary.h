/* SPDX-License-Identifier: MIT */
#ifndef WINDPEAL_APP_VARY_H
#define WINDPEAL_APP_VARY_H

#include "app/arguments.h"
#include "windpeal/set.h"

/* What --vary asks for: one or two keys of the set file, each with a row of values. */

enum { APP_VARY_KEYS = 2, APP_VARY_STEPS_MAX = 50, APP_VARY_VALUE_SIZE = 64 };

/* One key and its values, as they would stand in the file. */
struct app_vary_key {
    char path[128];
    size_t n_values;
    double number[APP_VARY_STEPS_MAX]; /* in unit */
    char unit[32];
    char value[APP_VARY_STEPS_MAX][APP_VARY_VALUE_SIZE];
};

/* Every value of the first key with every value of the second. */
struct app_vary {
    size_t n_keys;
    struct app_vary_key keys[APP_VARY_KEYS];
    size_t n_settings;
};

/* Reads --vary and --steps: "striker.diameter=30..80 mm". */
enum wp_status app_vary_parse(struct app_vary *vary, const struct app_arguments *arguments,
                              struct wp_diags *diags);

/* Index of a key's value in a setting; the last key changes fastest. */
size_t app_vary_index(const struct app_vary *vary, size_t setting, size_t key);

/* The edits that make a setting: vary->n_keys of them, pointing into vary. */
void app_vary_edits(const struct app_vary *vary, size_t setting,
                    struct wp_set_edit edits[APP_VARY_KEYS]);

#endif
