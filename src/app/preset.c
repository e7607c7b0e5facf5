/* SPDX-License-Identifier: MIT */
/* Finds presets by their bare names. */
#include "app/preset.h"

#include <dirent.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

/* Where presets are looked for, in this order. WINDPEAL_DATA_DIR comes from the build. */
#define INSTALLED_PRESETS WINDPEAL_DATA_DIR "/presets"
static const char *const preset_folders[] = {"presets", INSTALLED_PRESETS};

static const char preset_ending[] = ".yaml";

enum { N_PRESET_FOLDERS = 2 };

static bool has_name(const struct app_presets *presets, const char *name, size_t length)
{
    for (size_t i = 0; i < presets->n_names; i++) {
        if (strlen(presets->names[i]) == length && strncmp(presets->names[i], name, length) == 0) {
            return true;
        }
    }
    return false;
}

static void list_folder(struct app_presets *presets, const char *folder)
{
    DIR *dir = opendir(folder);
    if (!dir) {
        return;
    }
    const size_t ending = sizeof preset_ending - 1;
    const struct dirent *entry;
    while ((entry = readdir(dir)) && presets->n_names < APP_PRESETS_MAX) {
        const size_t size = strlen(entry->d_name);
        const size_t length = size > ending ? size - ending : 0;
        if (length > 0 && length < APP_PRESET_NAME_SIZE &&
            strcmp(entry->d_name + length, preset_ending) == 0 &&
            !has_name(presets, entry->d_name, length)) {
            char *name = presets->names[presets->n_names++];
            memcpy(name, entry->d_name, length);
            name[length] = '\0';
        }
    }
    closedir(dir);
}

static int compare_names(const void *a, const void *b)
{
    return strcmp(a, b);
}

void app_presets_list(struct app_presets *presets)
{
    presets->n_names = 0;
    for (size_t i = 0; i < N_PRESET_FOLDERS; i++) {
        list_folder(presets, preset_folders[i]);
    }
    qsort(presets->names, presets->n_names, sizeof presets->names[0], compare_names);
}

void app_presets_join(const struct app_presets *presets, char *text, size_t text_size)
{
    static const char rest[] = ", ...";
    size_t length = 0;
    snprintf(text, text_size, "%s",
             presets->n_names > 0 ? "" : "none in ./presets or " INSTALLED_PRESETS);
    for (size_t i = 0; i < presets->n_names; i++) {
        const size_t size = strlen(presets->names[i]) + (i > 0 ? 2 : 0);
        const bool is_last = i + 1 == presets->n_names;
        if (length + size + (is_last ? 0 : sizeof rest - 1) >= text_size) {
            snprintf(text + length, text_size - length, "%s", i > 0 ? rest : "...");
            return;
        }
        snprintf(text + length, text_size - length, "%s%s", i > 0 ? ", " : "", presets->names[i]);
        length += size;
    }
}

bool app_preset_path(const char *name, char *path, size_t path_size)
{
    for (size_t i = 0; i < N_PRESET_FOLDERS && !strpbrk(name, "/."); i++) {
        const int length =
            snprintf(path, path_size, "%s/%s%s", preset_folders[i], name, preset_ending);
        if ((size_t)length < path_size && access(path, F_OK) == 0) {
            return true;
        }
    }
    return false;
}

bool app_weather_sample_path(const char *name, char *path, size_t path_size)
{
    static const char *const folders[] = {"weather-samples", WINDPEAL_DATA_DIR "/weather-samples"};
    for (size_t i = 0; i < sizeof folders / sizeof folders[0] && !strpbrk(name, "/."); i++) {
        const int length = snprintf(path, path_size, "%s/%s.csv", folders[i], name);
        if ((size_t)length < path_size && access(path, F_OK) == 0) {
            return true;
        }
    }
    return false;
}
