/* SPDX-License-Identifier: MIT */
/* A set file as a whole: from bytes to a validated set. */
#include "windpeal/set.h"

#include <errno.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "set/arrangement.h"
#include "set/document.h"
#include "set/exposure.h"
#include "set/fields.h"
#include "set/surrounding.h"
#include "set/tubes.h"

static void read_name(const struct wp_reader *reader, const struct wp_node *node, void *value)
{
    (void)value;
    wp_read_text(reader, node, reader->set->name, sizeof reader->set->name);
}

static const struct wp_field set_fields[] = {
    {"name", WP_FIELD_SPECIAL, NULL, 0, read_name}, {"tubes", WP_FIELD_LATER, NULL, 0, NULL},
    {"layout", WP_FIELD_LATER, NULL, 0, NULL},      {"striker", WP_FIELD_LATER, NULL, 0, NULL},
    {"drive", WP_FIELD_LATER, NULL, 0, NULL},       {"site", WP_FIELD_LATER, NULL, 0, NULL},
    {"listener", WP_FIELD_LATER, NULL, 0, NULL},    {"room", WP_FIELD_LATER, NULL, 0, NULL},
};
static const struct wp_section set_section = {"a set file", set_fields,
                                              sizeof set_fields / sizeof set_fields[0]};

/* Sections in the order in which they need each other, whatever their order in the file. */
static void read_sections(const struct wp_reader *reader, const struct wp_node *root)
{
    static const struct {
        const char *key;
        void (*read)(const struct wp_reader *reader, const struct wp_node *node);
    } sections[] = {
        {"tubes", wp_read_tubes}, {"layout", wp_read_layout}, {"striker", wp_read_striker},
        {"drive", wp_read_drive}, {"site", wp_read_site},     {"listener", wp_read_listener},
        {"room", wp_read_room},
    };
    wp_section_read(reader, &set_section, root, reader->set);
    for (size_t i = 0; i < sizeof sections / sizeof sections[0]; i++) {
        const struct wp_node *node = wp_node_find(root, sections[i].key);
        if (node) {
            sections[i].read(reader, node);
        }
    }
    if (!wp_node_find(root, "tubes")) {
        (void)wp_reader_refuse(reader, root, WP_E_MISSING, "add a section 'tubes:'",
                               "a set without tubes; expected the section 'tubes'");
    }
}

static bool is_before(struct wp_mark a, struct wp_mark b)
{
    return a.line < b.line || (a.line == b.line && a.column < b.column);
}

/* Sections are not read in the file's order; the user reads the findings in it. */
static void sort_findings(struct wp_diags *diags, size_t first)
{
    for (size_t i = first + 1; i < diags->n_items; i++) {
        const struct wp_diag item = diags->items[i];
        size_t at = i;
        for (; at > first && is_before(item.mark, diags->items[at - 1].mark); at--) {
            diags->items[at] = diags->items[at - 1];
        }
        diags->items[at] = item;
    }
}

/* Status of the first error among the findings from item first on. */
static enum wp_status first_error(const struct wp_diags *diags, size_t first)
{
    for (size_t i = first; i < diags->n_items; i++) {
        if (diags->items[i].status) {
            return diags->items[i].status;
        }
    }
    return wp_diags_status(diags);
}

/* What stands for a file: its name, its text and what is to stand in it instead. */
struct source {
    const char *name;
    const char *text;
    size_t text_size;
    const struct wp_set_edit *edits;
    size_t n_edits;
};

static enum wp_status make_document(struct wp_document *document, const struct source *source,
                                    const char *name, struct wp_diags *diags)
{
    enum wp_status status =
        wp_document_parse(document, name, source->text, source->text_size, diags);
    for (size_t i = 0; i < source->n_edits && !status; i++) {
        status =
            wp_document_edit(document, name, source->edits[i].path, source->edits[i].value, diags);
    }
    return status;
}

static enum wp_status parse(struct wp_set *set, const struct source *source, struct wp_diags *diags)
{
    struct wp_diags own;
    struct wp_diags *findings = diags ? diags : &own;
    wp_diags_init(&own);
    const size_t n_before = findings->n_items;
    const size_t n_errors_before = findings->n_errors;
    struct wp_document document;
    wp_set_default(set);
    (void)snprintf(set->file, sizeof set->file, "%s", source->name);
    const struct wp_reader reader = {set, findings};
    if (!make_document(&document, source, set->file, findings)) {
        read_sections(&reader, document.root);
    }
    wp_document_finish(&document);
    sort_findings(findings, n_before);
    return findings->n_errors > n_errors_before ? first_error(findings, n_before) : WP_OK;
}

enum wp_status wp_set_parse_edited(struct wp_set *set, const char *name, const char *text,
                                   size_t text_size, const struct wp_set_edit *edits,
                                   size_t n_edits, struct wp_diags *diags)
{
    return parse(set, &(struct source){name, text, text_size, edits, n_edits}, diags);
}

enum wp_status wp_set_parse(struct wp_set *set, const char *name, const char *text,
                            size_t text_size, struct wp_diags *diags)
{
    return wp_set_parse_edited(set, name, text, text_size, NULL, 0, diags);
}

/* Reads up to size bytes of a file; sets errno and returns false when that fails. */
static bool read_bytes(const char *path, char *bytes, size_t size, size_t *n_read)
{
    FILE *file = fopen(path, "rb");
    if (!file) {
        return false;
    }
    *n_read = fread(bytes, 1, size, file);
    const int error = ferror(file) ? errno : 0;
    (void)fclose(file);
    errno = error;
    return error == 0;
}

enum wp_status wp_set_load(struct wp_set *set, const char *path, struct wp_diags *diags)
{
    return wp_set_load_edited(set, path, NULL, 0, diags);
}

enum wp_status wp_set_load_edited(struct wp_set *set, const char *path,
                                  const struct wp_set_edit *edits, size_t n_edits,
                                  struct wp_diags *diags)
{
    const struct wp_mark nowhere = {0, 0};
    /* One byte more than allowed, so that a file that is too large shows. */
    const size_t size = WP_DOCUMENT_BYTES_MAX + 1;
    size_t n_read = 0;
    char *bytes = malloc(size);
    wp_set_default(set);
    (void)snprintf(set->file, sizeof set->file, "%s", path);
    if (!bytes) {
        return wp_diags_add(diags, WP_E_NO_MEMORY, path, nowhere, NULL, "out of memory");
    }
    enum wp_status status;
    if (read_bytes(path, bytes, size, &n_read)) {
        status = wp_set_parse_edited(set, path, bytes, n_read, edits, n_edits, diags);
    } else if (errno == ENOENT || errno == ENOTDIR) {
        status = wp_diags_add(diags, WP_E_NO_FILE, path, nowhere, NULL,
                              "there is no such file; expected a set file");
    } else {
        status = wp_diags_add(diags, WP_E_IO, path, nowhere, NULL, "cannot be read: %s",
                              strerror(errno));
    }
    free(bytes);
    return status;
}
