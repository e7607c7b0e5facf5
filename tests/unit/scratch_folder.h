/* SPDX-License-Identifier: MIT */
#ifndef TESTS_SCRATCH_FOLDER_H
#define TESTS_SCRATCH_FOLDER_H

/* A folder of its own for each test that writes files; cmocka's state points to its path. */

#include <dirent.h>
#include <stdbool.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

enum { SCRATCH_PATH_MAX = 512 };

static inline int scratch_create(void **state)
{
    const char *parent = getenv("TMPDIR");
    char *folder = malloc(SCRATCH_PATH_MAX);
    if (!folder) {
        return -1;
    }
    snprintf(folder, SCRATCH_PATH_MAX, "%s/windpeal-test-XXXXXX", parent ? parent : "/tmp");
    *state = mkdtemp(folder);
    return *state ? 0 : -1;
}

/* Writes FOLDER/name into path and returns path. */
static inline const char *scratch_path(void *const *state, const char *name,
                                       char path[SCRATCH_PATH_MAX])
{
    snprintf(path, SCRATCH_PATH_MAX, "%s/%s", (const char *)*state, name);
    return path;
}

static inline bool scratch_has(void *const *state, const char *name)
{
    char path[SCRATCH_PATH_MAX];
    return access(scratch_path(state, name, path), F_OK) == 0;
}

/* Reads a whole file into a heap block; NULL when there is none. */
static inline char *scratch_read(void *const *state, const char *name, size_t *size)
{
    char path[SCRATCH_PATH_MAX];
    FILE *file = fopen(scratch_path(state, name, path), "rb");
    if (!file) {
        return NULL;
    }
    fseek(file, 0, SEEK_END);
    *size = (size_t)ftell(file);
    rewind(file);
    char *bytes = malloc(*size + 1);
    if (bytes && fread(bytes, 1, *size, file) != *size) {
        free(bytes);
        bytes = NULL;
    }
    fclose(file);
    return bytes;
}

static inline void scratch_write(void *const *state, const char *name, const char *text)
{
    char path[SCRATCH_PATH_MAX];
    FILE *file = fopen(scratch_path(state, name, path), "wb");
    if (file) {
        fputs(text, file);
        fclose(file);
    }
}

/* Removes the folder and the files and empty folders in it. */
static inline int scratch_remove(void **state)
{
    char *folder = *state;
    char path[SCRATCH_PATH_MAX];
    DIR *entries = opendir(folder);
    const struct dirent *entry;
    while (entries && (entry = readdir(entries))) {
        if (strcmp(entry->d_name, ".") != 0 && strcmp(entry->d_name, "..") != 0) {
            remove(scratch_path(state, entry->d_name, path));
        }
    }
    if (entries) {
        closedir(entries);
    }
    const int result = rmdir(folder);
    free(folder);
    return result;
}

#endif
