/* SPDX-License-Identifier: MIT */
/* Mappings read by tables of their keys. */
#include "set/fields.h"

#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <string.h>

enum { WORDS_MAX = 24, LIST_SIZE = 200, HINT_SIZE = 128 };

enum wp_status wp_reader_refuse(const struct wp_reader *reader, const struct wp_node *node,
                                enum wp_status status, const char *hint, const char *format, ...)
{
    char message[sizeof((struct wp_diag *)0)->message];
    va_list arguments;
    va_start(arguments, format);
    (void)vsnprintf(message, sizeof message, format, arguments);
    va_end(arguments);
    return wp_diags_add(reader->diags, status, reader->set->file, node->mark, hint, "%s", message);
}

const char *wp_node_label(const struct wp_node *node)
{
    while (!node->key && node->parent) {
        node = node->parent;
    }
    return node->key ? node->key : "the file";
}

bool wp_node_begins_number(const struct wp_node *node)
{
    return node->kind == WP_NODE_SCALAR && node->text[0] != '\0' &&
           strchr("+-.0123456789", node->text[0]);
}

bool wp_reader_wants(const struct wp_reader *reader, const struct wp_node *node,
                     enum wp_node_kind kind, const char *expected)
{
    if (node->is_refused) {
        return false;
    }
    const bool is_empty = node->kind == WP_NODE_SCALAR && node->text[0] == '\0';
    if (node->kind == kind && !is_empty) {
        return true;
    }
    const char *const what[] = {"a single value", "a list", "a mapping"};
    (void)wp_reader_refuse(reader, node, is_empty ? WP_E_MISSING : WP_E_SYNTAX,
                           is_empty ? "give it a value or leave the key out" : NULL,
                           "%.40s is %s; expected %s", wp_node_label(node),
                           is_empty ? "empty" : what[node->kind], expected);
    return false;
}

/* "a, b, c" from words; cut at the last word that fits. */
static void join_words(const char *const *words, size_t n_words, char *list, size_t list_size)
{
    size_t length = 0;
    list[0] = '\0';
    for (size_t i = 0; i < n_words; i++) {
        const size_t size = strlen(words[i]) + (i > 0 ? 2 : 0);
        if (length + size >= list_size) {
            return;
        }
        (void)snprintf(list + length, list_size - length, "%s%s", i > 0 ? ", " : "", words[i]);
        length += size;
    }
}

/* The hint for a slip of the fingers; NULL when no word is near. */
static const char *nearest_hint(const char *word, const char *const *words, size_t n_words,
                                char hint[HINT_SIZE])
{
    const char *nearest = wp_nearest_word(word, words, n_words);
    if (!nearest) {
        return NULL;
    }
    (void)snprintf(hint, HINT_SIZE, "did you mean '%s'?", nearest);
    return hint;
}

/* The keys of a section, one by one and as a list. */
static void list_keys(const struct wp_section *section, const char *keys[WORDS_MAX],
                      char list[LIST_SIZE])
{
    for (size_t i = 0; i < section->n_fields; i++) {
        keys[i] = section->fields[i].key;
    }
    join_words(keys, section->n_fields, list, LIST_SIZE);
}

static void refuse_key(const struct wp_reader *reader, const struct wp_section *section,
                       const struct wp_node *node)
{
    const char *keys[WORDS_MAX];
    char list[LIST_SIZE];
    char hint[HINT_SIZE];
    list_keys(section, keys, list);
    (void)wp_diags_add(reader->diags, WP_E_UNKNOWN_KEY, reader->set->file, node->key_mark,
                       nearest_hint(node->key, keys, section->n_fields, hint),
                       "unknown key '%.40s' in %s; expected one of %s", node->key, section->name,
                       list);
}

static void read_field(const struct wp_reader *reader, const struct wp_field *field,
                       const struct wp_node *node, void *target)
{
    void *value = (char *)target + field->offset;
    switch (field->kind) {
    case WP_FIELD_QUANTITY:
        *(double *)value = wp_read_quantity(reader, node, field->limits);
        return;
    case WP_FIELD_SPECIAL:
        field->read(reader, node, value);
        return;
    case WP_FIELD_NOT_BUILT:
        (void)wp_diags_add(reader->diags, WP_E_NOT_BUILT, reader->set->file, node->key_mark,
                           "leave the key out", "'%s' is not in this version", field->key);
        return;
    case WP_FIELD_LATER:
        return;
    }
}

static const struct wp_field *find_field(const struct wp_section *section, const char *key)
{
    for (size_t i = 0; i < section->n_fields; i++) {
        if (strcmp(section->fields[i].key, key) == 0) {
            return &section->fields[i];
        }
    }
    return NULL;
}

void wp_section_read(const struct wp_reader *reader, const struct wp_section *section,
                     const struct wp_node *node, void *target)
{
    const char *keys[WORDS_MAX];
    char list[LIST_SIZE];
    char expected[LIST_SIZE + 64];
    list_keys(section, keys, list);
    (void)snprintf(expected, sizeof expected, "'key: value' with the key%s %s",
                   section->n_fields > 1 ? "s" : "", list);
    if (!wp_reader_wants(reader, node, WP_NODE_MAPPING, expected)) {
        return;
    }
    for (const struct wp_node *child = node->first_child; child; child = child->next) {
        const struct wp_field *field = find_field(section, child->key);
        if (child->is_refused) {
            continue;
        }
        if (field) {
            read_field(reader, field, child, target);
        } else {
            refuse_key(reader, section, child);
        }
    }
}

static void refuse_quantity(const struct wp_reader *reader, const struct wp_node *node,
                            enum wp_status status, const char *why)
{
    double number;
    const char *wrong = "cannot be read";
    const char *hint = NULL;
    if (status == WP_E_UNIT) {
        const bool is_bare = !wp_quantity_parse(node->text, WP_NUMBER, &number, NULL, 0);
        wrong = is_bare ? "has no unit" : "has an unsuitable unit";
        hint = is_bare ? "write the unit behind the number" : NULL;
    }
    (void)wp_reader_refuse(reader, node, status, hint, "%s '%.40s' %s; expected %s",
                           wp_node_label(node), node->text, wrong, why);
}

double wp_read_quantity(const struct wp_reader *reader, const struct wp_node *node,
                        const struct wp_limits *limits)
{
    double value = NAN;
    char why[128];
    (void)wp_quantity_parse("", limits->dimension, &value, why, sizeof why);
    if (!wp_reader_wants(reader, node, WP_NODE_SCALAR, why)) {
        return NAN;
    }
    const enum wp_status status =
        wp_quantity_parse(node->text, limits->dimension, &value, why, sizeof why);
    if (status) {
        refuse_quantity(reader, node, status, why);
        return NAN;
    }
    /* A limit in a unit of its own may be off by a rounding: "0.2 mm" is not 0.0002 exactly. */
    const double slack = 1e-12 * fabs(value);
    if (value < limits->smallest - slack || value > limits->largest + slack) {
        (void)wp_reader_refuse(reader, node, WP_E_RANGE, NULL,
                               "%s '%.40s' is out of range; expected %s", wp_node_label(node),
                               node->text, limits->range);
        return NAN;
    }
    return value;
}

int wp_read_word(const struct wp_reader *reader, const struct wp_node *node,
                 const char *const *words, size_t n_words, const char *otherwise)
{
    char list[LIST_SIZE];
    char expected[LIST_SIZE + 64];
    char hint[HINT_SIZE];
    join_words(words, n_words, list, sizeof list);
    (void)snprintf(expected, sizeof expected, "%s%s%s%.40s", n_words > 1 ? "one of " : "", list,
                   otherwise ? " or " : "", otherwise ? otherwise : "");
    if (!wp_reader_wants(reader, node, WP_NODE_SCALAR, expected)) {
        return -1;
    }
    for (size_t i = 0; i < n_words; i++) {
        if (strcmp(node->text, words[i]) == 0) {
            return (int)i;
        }
    }
    (void)wp_reader_refuse(
        reader, node, WP_E_UNKNOWN_NAME, nearest_hint(node->text, words, n_words, hint),
        "%s '%.40s' is unknown; expected %s", wp_node_label(node), node->text, expected);
    return -1;
}

void wp_read_text(const struct wp_reader *reader, const struct wp_node *node, char *text,
                  size_t text_size)
{
    text[0] = '\0';
    if (!wp_reader_wants(reader, node, WP_NODE_SCALAR, "a text")) {
        return;
    }
    const size_t length = strlen(node->text);
    if (length >= text_size) {
        (void)wp_reader_refuse(reader, node, WP_E_RANGE, NULL,
                               "%s is too long; expected at most %zu bytes", wp_node_label(node),
                               text_size - 1);
        return;
    }
    memcpy(text, node->text, length + 1);
}
