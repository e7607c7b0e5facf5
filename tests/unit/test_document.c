/* SPDX-License-Identifier: MIT */
/* YAML documents: the tree, its places, and what is refused. */
#include "set/document.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

struct reading {
    struct wp_document document;
    struct wp_diags diags;
    enum wp_status status;
};

static struct reading *read_text(const char *text, size_t size)
{
    struct reading *reading = calloc(1, sizeof *reading);
    assert_non_null(reading);
    wp_diags_init(&reading->diags);
    reading->status = wp_document_parse(&reading->document, "a.yaml", text, size, &reading->diags);
    return reading;
}

static void finish(struct reading *reading)
{
    wp_document_finish(&reading->document);
    free(reading);
}

/* One finding, with that place and that text in it, whether or not the rest could be read. */
static void assert_refused(const char *text, enum wp_status status, int line, int column,
                           const char *part)
{
    struct reading *reading = read_text(text, strlen(text));
    const struct wp_diag *diag = &reading->diags.items[0];
    if (reading->diags.n_items != 1 || diag->status != status || diag->mark.line != line ||
        diag->mark.column != column || !strstr(diag->message, part)) {
        fail_msg("%zu findings, first status %d at %d:%d: %s", reading->diags.n_items,
                 (int)diag->status, diag->mark.line, diag->mark.column, diag->message);
    }
    assert_string_equal(diag->file, "a.yaml");
    finish(reading);
}

static void tree_keeps_order_kind_and_place(void **state)
{
    (void)state;
    const char *text = "name: Two  # comment\n"
                       "tubes:\n"
                       "  notes: [A3, \"C#4\"]\n"
                       "  wall: 1.6 mm\n";
    struct reading *reading = read_text(text, strlen(text));
    assert_int_equal(reading->status, WP_OK);
    const struct wp_node *root = reading->document.root;
    assert_int_equal(root->n_children, 2);
    assert_string_equal(root->first_child->key, "name");
    assert_string_equal(root->first_child->text, "Two");
    const struct wp_node *tubes = wp_node_find(root, "tubes");
    assert_int_equal(tubes->kind, WP_NODE_MAPPING);
    assert_int_equal(tubes->key_mark.line, 2);
    const struct wp_node *notes = wp_node_find(tubes, "notes");
    assert_int_equal(notes->kind, WP_NODE_LIST);
    assert_int_equal(notes->n_children, 2);
    assert_string_equal(notes->last_child->text, "C#4");
    assert_int_equal(notes->last_child->mark.line, 3);
    assert_int_equal(notes->last_child->mark.column, 15);
    assert_ptr_equal(notes->last_child->parent, notes);
    assert_int_equal(wp_node_find(tubes, "wall")->mark.column, 9);
    assert_null(wp_node_find(tubes, "name"));
    finish(reading);
}

static void columns_count_characters_not_bytes(void **state)
{
    (void)state;
    assert_refused("{\"\xC3\xBC\xC3\xBC\": 1, a: &x 2}", WP_E_SYNTAX, 1, 14, "anchor '&x'");
}

static void what_yaml_can_do_beyond_values_is_refused(void **state)
{
    (void)state;
    assert_refused("a: &one 1\n", WP_E_SYNTAX, 1, 4, "anchor '&one' is not allowed");
    assert_refused("a: [1, *b]\n", WP_E_SYNTAX, 1, 8, "alias '*b' is not allowed");
    assert_refused("*b : 1\n", WP_E_SYNTAX, 1, 1, "alias '*b' is not allowed");
    assert_refused("a:\n  !!str 1\n", WP_E_SYNTAX, 2, 3, "a tag is not allowed");
    assert_refused("a: !x {b: 1}\n", WP_E_SYNTAX, 1, 4, "a tag is not allowed");
    assert_refused("%TAG ! tag:x,2026:\n---\na: 1\n", WP_E_SYNTAX, 1, 1, "%TAG");
    assert_refused("a: 1\n---\nb: 2\n", WP_E_SYNTAX, 2, 1, "second document");
    assert_refused("a: 1\nb: 2\na: 3\n", WP_E_CONFLICT, 3, 1, "'a' stands twice, first in line 1");
    assert_refused("? [a, b]\n: 1\n", WP_E_SYNTAX, 1, 3, "where a key should");
    assert_refused("a: \"x\\e[31m\"\n", WP_E_SYNTAX, 1, 4, "control character");
    assert_refused("a: |\n  two\n  lines\n", WP_E_SYNTAX, 1, 4, "line break");
}

static void broken_yaml_has_its_place(void **state)
{
    (void)state;
    assert_refused("a: [1, 2\nb: 3\n", WP_E_SYNTAX, 2, 2, "broken YAML");
    assert_refused("a:\n\tb: 1\n", WP_E_SYNTAX, 2, 1, "broken YAML");
    assert_refused("a: b: c\n", WP_E_SYNTAX, 1, 5, "mapping values");
    assert_refused("a: 1\nb: \"c\n", WP_E_SYNTAX, 3, 1, "broken YAML");
    assert_refused("name: x\nb: caf\xE9 y\n", WP_E_SYNTAX, 2, 7, "expected UTF-8");
}

static void file_without_a_mapping_is_refused(void **state)
{
    (void)state;
    assert_refused("", WP_E_EMPTY, 1, 1, "the file is empty");
    assert_refused("# only a comment\n", WP_E_EMPTY, 1, 1, "the file is empty");
    assert_refused("---\n", WP_E_EMPTY, 1, 1, "the file is empty");
    assert_refused("\n  hello\n", WP_E_SYNTAX, 2, 3, "no set file");
    assert_refused("[a, b]\n", WP_E_SYNTAX, 1, 1, "no set file");
}

static void all_findings_come_in_one_run(void **state)
{
    (void)state;
    const char *text = "a: &x 1\nb: *x\nb: !!int 2\nc: 3\n";
    struct reading *reading = read_text(text, strlen(text));
    assert_int_equal(reading->status, WP_OK);
    assert_int_equal(reading->diags.n_errors, 4);
    assert_true(wp_node_find(reading->document.root, "b")->is_refused);
    assert_string_equal(wp_node_find(reading->document.root, "c")->text, "3");
    finish(reading);
}

/* count copies of piece, as a heap string. */
static char *repeated(const char *piece, size_t count)
{
    const size_t size = strlen(piece);
    char *text = malloc(size * count + 1);
    assert_non_null(text);
    for (size_t i = 0; i < count; i++) {
        memcpy(text + i * size, piece, size);
    }
    text[size * count] = '\0';
    return text;
}

static void deep_and_large_files_end_in_a_finding(void **state)
{
    (void)state;
    const char *const pieces[] = {"[", "{a: ", "- ", "? ", "[a, b],\n ", "- x\n", "x"};
    const size_t counts[] = {50000, 40000, 50000, 50000, 20000, 60000, 300000};
    for (size_t i = 0; i < sizeof pieces / sizeof pieces[0]; i++) {
        char *text = repeated(pieces[i], counts[i]);
        struct reading *reading = read_text(text, strlen(text));
        assert_int_not_equal(reading->status, WP_OK);
        assert_int_equal(reading->diags.n_errors, 1);
        assert_null(reading->document.root);
        finish(reading);
        free(text);
    }
}

static void depth_just_allowed_is_read(void **state)
{
    (void)state;
    char *open = repeated("{a: ", WP_DOCUMENT_DEPTH_MAX);
    char *close = repeated("}", WP_DOCUMENT_DEPTH_MAX);
    char text[256];
    (void)snprintf(text, sizeof text, "%s[]%s", open, close);
    assert_refused(text, WP_E_RANGE, 1, 4 * WP_DOCUMENT_DEPTH_MAX + 1, "holds too much");
    (void)snprintf(text, sizeof text, "%s[]%s", open + 4, close + 1);
    struct reading *reading = read_text(text, strlen(text));
    assert_int_equal(reading->status, WP_OK);
    finish(reading);
    free(open);
    free(close);
}

static void every_cut_of_a_file_ends_well(void **state)
{
    (void)state;
    const char *text =
        "name: \"\\u00e9 \\x41\"\ntubes: {notes: [A3, 'C#4'], each: {1: {wall: 2 mm}}}\n"
        "site: &a\n  - *a\n  - !!map {}\n";
    for (size_t size = 0; size <= strlen(text); size++) {
        char *exact = malloc(size ? size : 1); /* just that size: a sanitizer sees overruns */
        assert_non_null(exact);
        memcpy(exact, text, size);
        finish(read_text(exact, size));
        free(exact);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(tree_keeps_order_kind_and_place),
        cmocka_unit_test(columns_count_characters_not_bytes),
        cmocka_unit_test(what_yaml_can_do_beyond_values_is_refused),
        cmocka_unit_test(broken_yaml_has_its_place),
        cmocka_unit_test(file_without_a_mapping_is_refused),
        cmocka_unit_test(all_findings_come_in_one_run),
        cmocka_unit_test(deep_and_large_files_end_in_a_finding),
        cmocka_unit_test(depth_just_allowed_is_read),
        cmocka_unit_test(every_cut_of_a_file_ends_well),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
