/* SPDX-License-Identifier: MIT */
/* Brings a weather file, or standard input, into memory. */
#include <errno.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "windpeal/weather.h"

/* Text that grows while it is read. */
struct buffer {
    char *text;
    size_t size;
    size_t capacity;
};

static enum wp_status grow(struct buffer *buffer)
{
    const size_t capacity = buffer->capacity > 0 ? 2 * buffer->capacity : 1 << 16;
    char *const text = capacity > buffer->capacity ? realloc(buffer->text, capacity) : NULL;
    if (!text) {
        return WP_E_NO_MEMORY;
    }
    buffer->text = text;
    buffer->capacity = capacity;
    return WP_OK;
}

static enum wp_status read_all(FILE *file, struct buffer *buffer)
{
    for (;;) {
        if (buffer->size == buffer->capacity) {
            const enum wp_status status = grow(buffer);
            if (status) {
                return status;
            }
        }
        const size_t room = buffer->capacity - buffer->size;
        const size_t n = fread(buffer->text + buffer->size, 1, room, file);
        buffer->size += n;
        if (n < room) {
            return ferror(file) ? WP_E_IO : WP_OK;
        }
    }
}

static enum wp_status report(const char *name, enum wp_status status, int error,
                             struct wp_diags *diags)
{
    const struct wp_mark nowhere = {0, 0};
    if (status == WP_E_NO_MEMORY) {
        return wp_diags_add(diags, status, name, nowhere, NULL,
                            "the file does not fit into memory");
    }
    if (status == WP_E_NO_FILE) {
        return wp_diags_add(diags, status, name, nowhere, "check the name and the folder",
                            "no such weather file; expected a file or '-' for standard input");
    }
    return wp_diags_add(diags, status, name, nowhere, NULL, "the weather file cannot be read: %s",
                        strerror(error));
}

enum wp_status wp_weather_load(struct wp_weather *weather, const char *path,
                               const struct wp_weather_config *config, struct wp_diags *diags)
{
    memset(weather, 0, sizeof *weather);
    const bool is_stdin = strcmp(path, "-") == 0;
    const char *const name = is_stdin ? "standard input" : path;
    FILE *const file = is_stdin ? stdin : fopen(path, "rb");
    if (!file) {
        const bool is_absent = errno == ENOENT || errno == ENOTDIR;
        return report(name, is_absent ? WP_E_NO_FILE : WP_E_IO, errno, diags);
    }
    struct buffer buffer = {NULL, 0, 0};
    errno = 0;
    enum wp_status status = read_all(file, &buffer);
    const int error = errno;
    if (!is_stdin) {
        (void)fclose(file);
    }
    if (status) {
        (void)report(name, status, error, diags);
    } else {
        status = wp_weather_parse(weather, name, buffer.text, buffer.size, config, diags);
    }
    free(buffer.text);
    return status;
}
