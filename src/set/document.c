/* SPDX-License-Identifier: MIT */
/* YAML events become a tree with places; what a set file must not use is refused. */
#include "set/document.h"

#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <yaml.h>

/* The tree while it grows. The open node and its parents are the stack. */
struct builder {
    struct wp_document *document;
    const char *name;
    struct wp_diags *diags;
    struct wp_node *open;
    size_t depth;
    const char *key; /* waits for its value; NULL when the next scalar is a key */
    struct wp_mark key_mark;
    bool is_key_refused;
    size_t n_documents;
    bool is_done;
};

static struct wp_mark place(yaml_mark_t mark)
{
    return (struct wp_mark){(int)mark.line + 1, (int)mark.column + 1};
}

static enum wp_status refuse(const struct builder *builder, enum wp_status status,
                             struct wp_mark mark, const char *hint, const char *message)
{
    return wp_diags_add(builder->diags, status, builder->name, mark, hint, "%s", message);
}

static enum wp_status too_large(const struct builder *builder, struct wp_mark mark)
{
    return wp_diags_add(builder->diags, WP_E_RANGE, builder->name, mark,
                        "is this really a set file?",
                        "the file holds too much; a set file has at most %d kB, %d values and %d "
                        "levels",
                        WP_DOCUMENT_BYTES_MAX / 1024, WP_DOCUMENT_NODES_MAX, WP_DOCUMENT_DEPTH_MAX);
}

/* A copy of length bytes in the document, or NULL when they do not fit. */
static char *keep_text(struct wp_document *document, const void *bytes, size_t length)
{
    if (length >= document->texts_size - document->n_texts) {
        return NULL;
    }
    char *copy = document->texts + document->n_texts;
    memcpy(copy, bytes, length);
    copy[length] = '\0';
    document->n_texts += length + 1;
    return copy;
}

static enum wp_status take_key(struct builder *builder, const char *key, struct wp_mark mark)
{
    const struct wp_node *first = wp_node_find(builder->open, key);
    builder->key = key;
    builder->key_mark = mark;
    if (first) {
        builder->is_key_refused = true;
        (void)wp_diags_add(
            builder->diags, WP_E_CONFLICT, builder->name, mark, "keep one of the two",
            "'%.60s' stands twice, first in line %d; expected it once", key, first->key_mark.line);
    }
    return WP_OK;
}

/* Adds a node under the open one and hands the waiting key over to it. */
static enum wp_status add_node(struct builder *builder, enum wp_node_kind kind, const char *text,
                               struct wp_mark mark)
{
    struct wp_document *document = builder->document;
    struct wp_node *parent = builder->open;
    if (parent && parent->kind == WP_NODE_MAPPING && !builder->key) {
        return refuse(builder, WP_E_SYNTAX, mark, NULL,
                      "a list or mapping stands where a key should; expected 'key: value'");
    }
    if (document->n_nodes == WP_DOCUMENT_NODES_MAX || builder->depth == WP_DOCUMENT_DEPTH_MAX) {
        return too_large(builder, mark);
    }
    struct wp_node *node = &document->nodes[document->n_nodes++];
    *node = (struct wp_node){.kind = kind,
                             .key = builder->key,
                             .text = text,
                             .key_mark = builder->key_mark,
                             .mark = mark,
                             .is_refused = builder->is_key_refused,
                             .parent = parent};
    if (parent) {
        struct wp_node **link =
            parent->last_child ? &parent->last_child->next : &parent->first_child;
        *link = node;
        parent->last_child = node;
        parent->n_children++;
    }
    builder->key = NULL;
    builder->is_key_refused = false;
    if (kind != WP_NODE_SCALAR) {
        builder->open = node;
        builder->depth++;
    }
    return WP_OK;
}

static enum wp_status close_node(struct builder *builder)
{
    if (builder->open) {
        builder->open = builder->open->parent;
        builder->depth--;
    }
    return WP_OK;
}

/* Anchors and tags are findings, but the value that carries them can be read all the same. */
static void refuse_properties(const struct builder *builder, const yaml_char_t *anchor,
                              const yaml_char_t *tag, struct wp_mark mark)
{
    if (anchor) {
        (void)wp_diags_add(
            builder->diags, WP_E_SYNTAX, builder->name, mark, "write the value out at each place",
            "anchor '&%.60s' is not allowed; expected plain values", (const char *)anchor);
    }
    if (tag) {
        (void)refuse(builder, WP_E_SYNTAX, mark, "leave the tag out",
                     "a tag is not allowed; expected plain values");
    }
}

/* Texts of a set file stand on one line and hold nothing that a terminal would obey. */
static bool is_readable(const yaml_char_t *value, size_t length)
{
    for (size_t i = 0; i < length; i++) {
        if (value[i] < 0x20U || value[i] == 0x7FU) {
            return false;
        }
    }
    return true;
}

static enum wp_status take_scalar(struct builder *builder, const yaml_event_t *event,
                                  struct wp_mark mark)
{
    const yaml_char_t *value = event->data.scalar.value;
    size_t length = event->data.scalar.length;
    refuse_properties(builder, event->data.scalar.anchor, event->data.scalar.tag, mark);
    if (!is_readable(value, length)) {
        (void)refuse(builder, WP_E_SYNTAX, mark, "write the text on one line",
                     "a line break, tab or control character in a text; expected one line");
        builder->is_key_refused = true;
        length = 0;
    }
    const char *text = keep_text(builder->document, value, length);
    if (!text) {
        return too_large(builder, mark);
    }
    if (builder->open && builder->open->kind == WP_NODE_MAPPING && !builder->key) {
        return take_key(builder, text, mark);
    }
    return add_node(builder, WP_NODE_SCALAR, text, mark);
}

/* An alias stands in for a value that is elsewhere: the place is kept, its reading refused. */
static enum wp_status take_alias(struct builder *builder, const yaml_event_t *event,
                                 struct wp_mark mark)
{
    (void)wp_diags_add(builder->diags, WP_E_SYNTAX, builder->name, mark, "write the value out here",
                       "alias '*%.60s' is not allowed; expected plain values",
                       (const char *)event->data.alias.anchor);
    builder->is_key_refused = true;
    if (builder->open && builder->open->kind == WP_NODE_MAPPING && !builder->key) {
        builder->key = "*";
        builder->key_mark = mark;
        return WP_OK;
    }
    return add_node(builder, WP_NODE_SCALAR, "", mark);
}

static enum wp_status start_document(struct builder *builder, const yaml_event_t *event,
                                     struct wp_mark mark)
{
    const bool has_tags = event->data.document_start.tag_directives.start !=
                          event->data.document_start.tag_directives.end;
    builder->n_documents++;
    if (builder->n_documents > 1) {
        builder->is_done = true;
        (void)refuse(builder, WP_E_SYNTAX, mark, "put the second set into a file of its own",
                     "a second document begins; expected one set in a file");
    }
    if (has_tags) {
        (void)refuse(builder, WP_E_SYNTAX, mark, "leave the line out",
                     "a %TAG directive is not allowed; expected plain YAML");
    }
    return WP_OK;
}

static enum wp_status take_event(struct builder *builder, const yaml_event_t *event)
{
    const struct wp_mark mark = place(event->start_mark);
    switch (event->type) {
    case YAML_DOCUMENT_START_EVENT:
        return start_document(builder, event, mark);
    case YAML_SCALAR_EVENT:
        return take_scalar(builder, event, mark);
    case YAML_ALIAS_EVENT:
        return take_alias(builder, event, mark);
    case YAML_SEQUENCE_START_EVENT:
        refuse_properties(builder, event->data.sequence_start.anchor,
                          event->data.sequence_start.tag, mark);
        return add_node(builder, WP_NODE_LIST, NULL, mark);
    case YAML_MAPPING_START_EVENT:
        refuse_properties(builder, event->data.mapping_start.anchor, event->data.mapping_start.tag,
                          mark);
        return add_node(builder, WP_NODE_MAPPING, NULL, mark);
    case YAML_SEQUENCE_END_EVENT:
    case YAML_MAPPING_END_EVENT:
        return close_node(builder);
    case YAML_STREAM_END_EVENT:
        builder->is_done = true;
        return WP_OK;
    default:
        return WP_OK;
    }
}

/* libyaml points at the byte that breaks a character off; the user looks for where it begins. */
static size_t start_of_broken(const char *text, size_t offset)
{
    while (offset > 0 && ((unsigned char)text[offset - 1] & 0xC0U) == 0x80U) {
        offset--;
    }
    return offset > 0 ? offset - 1 : 0;
}

/* Line and column of a byte; columns count characters. */
static struct wp_mark mark_of_byte(const char *text, size_t offset)
{
    struct wp_mark mark = {1, 1};
    for (size_t i = 0; i < offset; i++) {
        if (text[i] == '\n') {
            mark.line++;
            mark.column = 1;
        } else {
            mark.column += ((unsigned char)text[i] & 0xC0U) != 0x80U;
        }
    }
    return mark;
}

static const char *syntax_hint(const char *problem)
{
    if (strstr(problem, "cannot start any token")) {
        return "indent with blanks, not tabs, and put texts with special characters in quotes";
    }
    if (strstr(problem, "mapping values are not allowed")) {
        return "a colon too many, or a line indented differently from its neighbours";
    }
    if (strstr(problem, "expected ',' or")) {
        return "close the bracket, and separate entries with commas";
    }
    return "check indentation, brackets, commas and the blank after each colon";
}

static enum wp_status syntax_error(const struct builder *builder, const yaml_parser_t *parser,
                                   const char *text, size_t text_size)
{
    const char *problem = parser->problem ? parser->problem : "unreadable";
    if (parser->error == YAML_MEMORY_ERROR) {
        return refuse(builder, WP_E_NO_MEMORY, (struct wp_mark){0, 0}, NULL, "out of memory");
    }
    if (parser->error == YAML_READER_ERROR) {
        size_t offset = parser->problem_offset < text_size ? parser->problem_offset : text_size;
        if (strstr(problem, "trailing")) {
            offset = start_of_broken(text, offset);
        }
        return wp_diags_add(builder->diags, WP_E_SYNTAX, builder->name, mark_of_byte(text, offset),
                            "save the file as plain UTF-8 text",
                            "a character that cannot be read (%s); expected UTF-8", problem);
    }
    char hint[128];
    (void)snprintf(hint, sizeof hint, "%s", syntax_hint(problem));
    if (parser->context && strstr(parser->context, "flow")) {
        (void)snprintf(hint, sizeof hint,
                       "close the bracket of line %d, and separate entries with commas; # behind a "
                       "blank begins a comment",
                       place(parser->context_mark).line);
    }
    return wp_diags_add(builder->diags, WP_E_SYNTAX, builder->name, place(parser->problem_mark),
                        hint, "broken YAML: %s", problem);
}

static enum wp_status build(struct builder *builder, yaml_parser_t *parser, const char *text,
                            size_t text_size)
{
    enum wp_status status = WP_OK;
    while (!status && !builder->is_done) {
        yaml_event_t event;
        if (!yaml_parser_parse(parser, &event)) {
            return syntax_error(builder, parser, text, text_size);
        }
        status = take_event(builder, &event);
        yaml_event_delete(&event);
    }
    return status;
}

/* Gives the document its root, or says why there is none. */
static enum wp_status find_root(const struct builder *builder)
{
    const struct wp_mark start = {1, 1};
    struct wp_document *document = builder->document;
    struct wp_node *top = document->n_nodes > 0 ? &document->nodes[0] : NULL;
    if (!top || (top->kind == WP_NODE_SCALAR && top->text[0] == '\0' && !top->is_refused)) {
        return refuse(builder, WP_E_EMPTY, start, "begin with 'tubes:'",
                      "the file is empty; expected a chime set");
    }
    if (top->kind != WP_NODE_MAPPING) {
        return refuse(builder, WP_E_SYNTAX, top->mark, "begin with 'tubes:'",
                      "no set file; expected lines of the form 'key: value'");
    }
    document->root = top;
    return WP_OK;
}

static enum wp_status parse(struct builder *builder, const char *text, size_t text_size)
{
    yaml_parser_t parser;
    if (!yaml_parser_initialize(&parser)) {
        return refuse(builder, WP_E_NO_MEMORY, (struct wp_mark){0, 0}, NULL, "out of memory");
    }
    yaml_parser_set_input_string(&parser, (const unsigned char *)text, text_size);
    enum wp_status status = build(builder, &parser, text, text_size);
    yaml_parser_delete(&parser);
    return status ? status : find_root(builder);
}

enum wp_status wp_document_parse(struct wp_document *document, const char *name, const char *text,
                                 size_t text_size, struct wp_diags *diags)
{
    struct builder builder = {.document = document, .name = name, .diags = diags};
    *document = (struct wp_document){0};
    if (text_size > WP_DOCUMENT_BYTES_MAX) {
        return too_large(&builder, (struct wp_mark){0, 0});
    }
    /* An escape of two characters stands for up to three bytes, and each text ends with a zero. */
    document->texts_size = 4 * text_size + 16 + WP_DOCUMENT_EDIT_BYTES;
    document->texts = malloc(document->texts_size);
    document->nodes = calloc(WP_DOCUMENT_NODES_MAX, sizeof *document->nodes);
    if (!document->texts || !document->nodes) {
        return refuse(&builder, WP_E_NO_MEMORY, (struct wp_mark){0, 0}, NULL, "out of memory");
    }
    return parse(&builder, text_size > 0 ? text : "", text_size); /* libyaml takes no NULL */
}

void wp_document_finish(struct wp_document *document)
{
    free(document->nodes);
    free(document->texts);
    *document = (struct wp_document){0};
}

const struct wp_node *wp_node_find(const struct wp_node *mapping, const char *key)
{
    const struct wp_node *child = mapping->first_child;
    while (child && !(child->key && strcmp(child->key, key) == 0)) {
        child = child->next;
    }
    return child;
}
