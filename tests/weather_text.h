/* SPDX-License-Identifier: MIT */
#ifndef WINDPEAL_TESTS_WEATHER_TEXT_H
#define WINDPEAL_TESTS_WEATHER_TEXT_H

/* Weather from literal text, and mistakes in it. Include after cmocka.h. */

#include <stdbool.h>
#include <stdio.h>
#include <string.h>

#include "windpeal/weather.h"

/* Parses text that must be right; the caller finishes the weather. */
static inline struct wp_weather weather_of(const char *text, const struct wp_weather_config *config)
{
    struct wp_weather weather;
    struct wp_diags diags;
    wp_diags_init(&diags);
    if (wp_weather_parse(&weather, "a.csv", text, strlen(text), config, &diags)) {
        fail_msg("line %d: %s", diags.items[0].mark.line, diags.items[0].message);
    }
    assert_int_equal(diags.n_items, 0);
    return weather;
}

static inline bool has_note(const struct wp_weather *weather, const char *part)
{
    for (size_t i = 0; i < weather->n_notes; i++) {
        if (strstr(weather->notes[i], part)) {
            return true;
        }
    }
    return false;
}

static inline void assert_note(const struct wp_weather *weather, const char *part)
{
    if (!has_note(weather, part)) {
        for (size_t i = 0; i < weather->n_notes; i++) {
            print_error("note: %s\n", weather->notes[i]);
        }
        fail_msg("no note says '%s'", part);
    }
}

/* A text with exactly one finding. */
struct weather_mistake {
    const char *text;
    enum wp_status status;
    int line;
    const char *message; /* a part of it */
    const char *hint;    /* a part of it */
};

static inline void assert_mistakes(const struct weather_mistake *mistakes, size_t n)
{
    for (size_t i = 0; i < n; i++) {
        struct wp_weather weather;
        struct wp_diags diags;
        wp_diags_init(&diags);
        const enum wp_status status = wp_weather_parse(&weather, "a.csv", mistakes[i].text,
                                                       strlen(mistakes[i].text), NULL, &diags);
        const struct wp_diag *diag = &diags.items[0];
        if (status != mistakes[i].status || diags.n_items != 1 || diag->status != status ||
            diag->mark.line != mistakes[i].line || !strstr(diag->message, mistakes[i].message) ||
            !strstr(diag->hint, mistakes[i].hint) || strcmp(diag->file, "a.csv") != 0) {
            fail_msg("'%s': status %d, %zu findings, line %d: %s; %s", mistakes[i].text,
                     (int)status, diags.n_items, diag->mark.line, diag->message, diag->hint);
        }
        assert_null(weather.records);
        assert_int_equal(weather.n_records, 0);
    }
}

#endif
