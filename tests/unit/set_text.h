/* SPDX-License-Identifier: MIT */
#ifndef TESTS_UNIT_SET_TEXT_H
#define TESTS_UNIT_SET_TEXT_H

/* Set files as texts, good ones and such with a mistake. Include after cmocka.h. */

#include <string.h>

#include "windpeal/set.h"

/* The least that makes a set. */
#define SMALL "tubes: {outer_diameter: 32 mm, wall: 1.6 mm, notes: [A3, C4]}\n"

static inline struct wp_set read_well(const char *text)
{
    struct wp_set set;
    struct wp_diags diags;
    wp_diags_init(&diags);
    const enum wp_status status = wp_set_parse(&set, "a.yaml", text, strlen(text), &diags);
    if (status || diags.n_items > 0) {
        fail_msg("%s", diags.items[0].message);
    }
    return set;
}

/* A file with exactly one finding. */
struct mistake {
    const char *text;
    enum wp_status status;
    int line;
    int column;
    const char *message; /* a part of it */
    const char *hint;    /* a part of it, or NULL */
};

static inline void assert_mistakes(const struct mistake *mistakes, size_t n)
{
    for (size_t i = 0; i < n; i++) {
        const struct mistake *wanted = &mistakes[i];
        struct wp_set set;
        struct wp_diags diags;
        wp_diags_init(&diags);
        const enum wp_status status =
            wp_set_parse(&set, "a.yaml", wanted->text, strlen(wanted->text), &diags);
        const struct wp_diag *diag = &diags.items[0];
        if (status != wanted->status || diags.n_items != 1 || diag->mark.line != wanted->line ||
            diag->mark.column != wanted->column || !strstr(diag->message, wanted->message) ||
            (wanted->hint && !strstr(diag->hint, wanted->hint))) {
            fail_msg("%s%zu findings, first status %d at %d:%d: %s; %s", wanted->text,
                     diags.n_items, (int)status, diag->mark.line, diag->mark.column, diag->message,
                     diag->hint);
        }
    }
}

#endif
