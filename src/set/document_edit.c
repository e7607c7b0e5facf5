/* SPDX-License-Identifier: MIT */
/* Puts other values into a document before it is read. */
#include "set/document.h"

#include <string.h>

/* A path on its way down; node is where it has come to. */
struct descent {
    struct wp_document *document;
    struct wp_node *node;
    const char *name; /* of the file, for findings */
    const char *path;
    struct wp_diags *diags;
};

static const struct wp_mark nowhere = {0, 0};

static enum wp_status refuse(const struct descent *descent, enum wp_status status, const char *why)
{
    return wp_diags_add(descent->diags, status, descent->name, nowhere,
                        "name the keys from the top, as striker.diameter",
                        "'%.80s' cannot be set: %s", descent->path, why);
}

/* The child of a mapping with a key of length bytes. */
static struct wp_node *find_child(const struct wp_node *mapping, const char *key, size_t length)
{
    struct wp_node *child = mapping->first_child;
    while (child && (strncmp(child->key, key, length) != 0 || child->key[length])) {
        child = child->next;
    }
    return child;
}

/* Items of a list count from 1, as tubes do. */
static struct wp_node *find_item(const struct wp_node *list, const char *key, size_t length)
{
    size_t number = 0;
    for (size_t i = 0; i < length; i++) {
        if (key[i] < '0' || key[i] > '9' || number > WP_DOCUMENT_NODES_MAX) {
            return NULL;
        }
        number = 10 * number + (size_t)(key[i] - '0');
    }
    struct wp_node *item = number > 0 ? list->first_child : NULL;
    for (; item && number > 1; number--) {
        item = item->next;
    }
    return item;
}

static struct wp_node *add_child(const struct descent *descent, const char *key, size_t length)
{
    struct wp_document *document = descent->document;
    struct wp_node *parent = descent->node;
    if (document->n_nodes == WP_DOCUMENT_NODES_MAX ||
        length + 1 > document->texts_size - document->n_texts) {
        return NULL;
    }
    char *copy = document->texts + document->n_texts;
    memcpy(copy, key, length);
    copy[length] = '\0';
    document->n_texts += length + 1;
    struct wp_node *child = &document->nodes[document->n_nodes++];
    *child = (struct wp_node){.kind = WP_NODE_MAPPING, .key = copy, .parent = parent};
    *(parent->last_child ? &parent->last_child->next : &parent->first_child) = child;
    parent->last_child = child;
    parent->n_children++;
    return child;
}

/* One key down. */
static enum wp_status descend(struct descent *descent, const char *key, size_t length)
{
    if (length == 0) {
        return refuse(descent, WP_E_SYNTAX, "a key is empty");
    }
    switch (descent->node->kind) {
    case WP_NODE_SCALAR:
        return refuse(descent, WP_E_SYNTAX, "the path goes on behind a single value");
    case WP_NODE_LIST:
        descent->node = find_item(descent->node, key, length);
        return descent->node ? WP_OK : refuse(descent, WP_E_RANGE, "the list has no such item");
    case WP_NODE_MAPPING:
        break;
    }
    struct wp_node *child = find_child(descent->node, key, length);
    descent->node = child ? child : add_child(descent, key, length);
    return descent->node ? WP_OK : refuse(descent, WP_E_RANGE, "the file holds too much");
}

enum wp_status wp_document_edit(struct wp_document *document, const char *name, const char *path,
                                const char *text, struct wp_diags *diags)
{
    struct descent descent = {document, document->root, name, path, diags};
    size_t depth = 0;
    for (const char *key = path;; depth++) {
        const size_t length = strcspn(key, ".");
        if (depth == WP_DOCUMENT_DEPTH_MAX) {
            return refuse(&descent, WP_E_RANGE, "too many keys");
        }
        const enum wp_status status = descend(&descent, key, length);
        if (status) {
            return status;
        }
        if (!key[length]) {
            break;
        }
        key += length + 1;
    }
    struct wp_node *node = descent.node;
    if (node->kind != WP_NODE_SCALAR && node->first_child) {
        return refuse(&descent, WP_E_SYNTAX, "it is a list or mapping, not a single value");
    }
    node->kind = WP_NODE_SCALAR;
    node->text = text;
    node->mark = nowhere;
    node->key_mark = nowhere;
    return WP_OK;
}
