/* SPDX-License-Identifier: MIT */
#ifndef WINDPEAL_SET_DOCUMENT_H
#define WINDPEAL_SET_DOCUMENT_H

#include <stdbool.h>
#include <stddef.h>

#include "windpeal/status.h"

/* A YAML file as a tree that knows where each key and value stands. */

enum {
    WP_DOCUMENT_BYTES_MAX = 256 * 1024, /* a set file has a few hundred */
    WP_DOCUMENT_NODES_MAX = 2048,
    WP_DOCUMENT_DEPTH_MAX = 12,    /* a set file has 4 */
    WP_DOCUMENT_EDIT_BYTES = 4096, /* room for keys that edits add */
};

enum wp_node_kind { WP_NODE_SCALAR, WP_NODE_LIST, WP_NODE_MAPPING };

/* A scalar, list or mapping with its links. Texts live as long as the document. */
struct wp_node {
    enum wp_node_kind kind;
    const char *key;  /* in a mapping; else NULL */
    const char *text; /* of a scalar, UTF-8 on one line; else NULL */
    struct wp_mark key_mark;
    struct wp_mark mark;
    bool is_refused; /* a finding about it stands already: readers pass over it in silence */
    size_t n_children;
    struct wp_node *parent;
    struct wp_node *first_child;
    struct wp_node *last_child;
    struct wp_node *next; /* the next child of the same parent, in the file's order */
};

/* Owns its nodes and texts; root is NULL when there is nothing to read. */
struct wp_document {
    struct wp_node *nodes;
    size_t n_nodes;
    char *texts;
    size_t texts_size;
    size_t n_texts; /* bytes in use */
    struct wp_node *root;
};

/*
 * Parses text as one YAML document whose top is a mapping. Anchors, aliases, tags, a second
 * document and keys that stand twice are refused one by one, all in one run; broken YAML ends the
 * reading.
 *
 * document: out; free with wp_document_finish, whatever the outcome. diags: findings are added,
 * name stands for the file. Returns WP_OK when document->root can be read (also with findings),
 * else the finding's status.
 */
enum wp_status wp_document_parse(struct wp_document *document, const char *name, const char *text,
                                 size_t text_size, struct wp_diags *diags);

/*
 * Gives the scalar at path another text, which must outlive the document; keys that are missing are
 * added at the end of their mapping. Returns WP_OK, or a finding's status: WP_E_SYNTAX (an empty
 * key, a path through a value or to a list or mapping), WP_E_RANGE (no such item of a list, too
 * long, no room).
 */
enum wp_status wp_document_edit(struct wp_document *document, const char *name, const char *path,
                                const char *text, struct wp_diags *diags);

void wp_document_finish(struct wp_document *document);

/* The child of a mapping with that key, the first one where it stands twice; else NULL, also for a
 * list or a scalar. */
const struct wp_node *wp_node_find(const struct wp_node *mapping, const char *key);

#endif
