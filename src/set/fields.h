/* SPDX-License-Identifier: MIT */
#ifndef WINDPEAL_SET_FIELDS_H
#define WINDPEAL_SET_FIELDS_H

#include <stddef.h>

#include "set/document.h"
#include "windpeal/quantity.h"
#include "windpeal/set.h"

/*
 * Reading a mapping by a table of its keys. Every wrong value becomes a finding with its place and
 * leaves NAN behind; reading goes on, so that one run shows all findings.
 */

/* What a reading needs at hand. Owns nothing. */
struct wp_reader {
    struct wp_set *set;
    struct wp_diags *diags;
};

enum wp_field_kind {
    WP_FIELD_QUANTITY,  /* a number with a unit, within limits, into a double */
    WP_FIELD_SPECIAL,   /* read by a function of its own */
    WP_FIELD_LATER,     /* a good key that the caller reads itself, with wp_node_find */
    WP_FIELD_NOT_BUILT, /* known, but not in this version */
};

/* Values from smallest to largest, both included; range says so in words. SI units. */
struct wp_limits {
    enum wp_dimension dimension;
    double smallest;
    double largest;
    const char *range;
};

/* One key of a mapping. */
struct wp_field {
    const char *key;
    enum wp_field_kind kind;
    const struct wp_limits *limits; /* of a quantity */
    size_t offset;                  /* of the value in the section's target */
    void (*read)(const struct wp_reader *reader, const struct wp_node *node, void *value);
};

/* A mapping: its name for messages and its keys. */
struct wp_section {
    const char *name;
    const struct wp_field *fields;
    size_t n_fields;
};

/* Reads every key of the mapping node into target. A key that does not exist is a finding with its
 * neighbour. */
void wp_section_read(const struct wp_reader *reader, const struct wp_section *section,
                     const struct wp_node *node, void *target);

/* Adds a finding about a value. */
enum wp_status wp_reader_refuse(const struct wp_reader *reader, const struct wp_node *node,
                                enum wp_status status, const char *hint, const char *format, ...)
    WP_PRINTF(5, 6);

/* The key under which a value stands, also for an entry of a list. Never NULL. */
const char *wp_node_label(const struct wp_node *node);

/* True when a scalar begins like a number; else it may be one of a few words. */
bool wp_node_begins_number(const struct wp_node *node);

/* True for what can be read; else a finding says what kind of value was expected (once). */
bool wp_reader_wants(const struct wp_reader *reader, const struct wp_node *node,
                     enum wp_node_kind kind, const char *expected);

/* A quantity within limits, or NAN and a finding. */
double wp_read_quantity(const struct wp_reader *reader, const struct wp_node *node,
                        const struct wp_limits *limits);

/* Index of the scalar's text among n_words words, or -1 and a finding. otherwise: what else than
 * the words the finding should offer, or NULL. */
int wp_read_word(const struct wp_reader *reader, const struct wp_node *node,
                 const char *const *words, size_t n_words, const char *otherwise);

/* Copies a scalar's text; one that does not fit, or an empty one, is a finding and leaves "". */
void wp_read_text(const struct wp_reader *reader, const struct wp_node *node, char *text,
                  size_t text_size);

#endif
