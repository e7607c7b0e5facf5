/* SPDX-License-Identifier: MIT */
#ifndef WINDPEAL_APP_PRESET_H
#define WINDPEAL_APP_PRESET_H

#include <stdbool.h>
#include <stddef.h>

/* Presets: set files in ./presets, then in the installed data, known by their bare names. */

enum { APP_PRESETS_MAX = 64, APP_PRESET_NAME_SIZE = 64 };

/* Names of presets, without folder and ending, in alphabetical order, each once. */
struct app_presets {
    char names[APP_PRESETS_MAX][APP_PRESET_NAME_SIZE];
    size_t n_names;
};

/* Looks into both folders; one that cannot be read holds nothing. */
void app_presets_list(struct app_presets *presets);

/* "lantern-court, mill-tower" with "..." where the text is too short; without any, where they are
 * looked for. */
void app_presets_join(const struct app_presets *presets, char *text, size_t text_size);

/* The path of the preset with that name; false when there is none. */
bool app_preset_path(const char *name, char *path, size_t path_size);

/* The path of the weather sample with that name, without folder and ending; false: there is none.
 */
bool app_weather_sample_path(const char *name, char *path, size_t path_size);

#endif
