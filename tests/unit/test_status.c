/* SPDX-License-Identifier: MIT */
/* Statuses, findings and near words. */
#include "windpeal/status.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>

static const struct wp_mark nowhere = {0, 0};

static void every_status_has_its_own_text_and_code(void **state)
{
    (void)state;
    for (int a = WP_OK; a <= WP_E_INTERRUPTED; a++) {
        assert_non_null(wp_status_text((enum wp_status)a));
        for (int b = WP_OK; b < a; b++) {
            assert_string_not_equal(wp_status_code((enum wp_status)a),
                                    wp_status_code((enum wp_status)b));
            assert_string_not_equal(wp_status_text((enum wp_status)a),
                                    wp_status_text((enum wp_status)b));
        }
    }
    assert_string_equal(wp_status_code(WP_E_RANGE), "range");
    assert_string_equal(wp_status_code((enum wp_status)999), "unknown");
}

static void only_wrong_input_is_input(void **state)
{
    (void)state;
    assert_false(wp_status_is_input(WP_OK));
    assert_true(wp_status_is_input(WP_E_SYNTAX));
    assert_true(wp_status_is_input(WP_E_EXISTS));
    assert_false(wp_status_is_input(WP_E_NO_MEMORY));
    assert_false(wp_status_is_input(WP_E_INTERRUPTED));
}

static void finding_keeps_place_and_text(void **state)
{
    (void)state;
    struct wp_diags diags;
    wp_diags_init(&diags);
    assert_int_equal(wp_diags_add(&diags, WP_E_UNIT, "a.yaml", (struct wp_mark){3, 9}, "try 32 mm",
                                  "wall %d has no unit", 2),
                     WP_E_UNIT);
    assert_int_equal(diags.n_items, 1);
    assert_int_equal(diags.n_errors, 1);
    assert_string_equal(diags.items[0].file, "a.yaml");
    assert_int_equal(diags.items[0].mark.line, 3);
    assert_int_equal(diags.items[0].mark.column, 9);
    assert_string_equal(diags.items[0].message, "wall 2 has no unit");
    assert_string_equal(diags.items[0].hint, "try 32 mm");
    assert_int_equal(wp_diags_status(&diags), WP_E_UNIT);
}

static void status_alone_is_handed_on_without_a_list(void **state)
{
    (void)state;
    assert_int_equal(wp_diags_add(NULL, WP_E_IO, NULL, nowhere, NULL, "x"), WP_E_IO);
}

static void warnings_are_no_errors(void **state)
{
    (void)state;
    struct wp_diags diags;
    wp_diags_init(&diags);
    (void)wp_diags_add(&diags, WP_OK, NULL, nowhere, NULL, "warm");
    assert_int_equal(diags.n_errors, 0);
    assert_int_equal(wp_diags_status(&diags), WP_OK);
    (void)wp_diags_add(&diags, WP_E_RANGE, NULL, nowhere, NULL, "hot");
    (void)wp_diags_add(&diags, WP_E_UNIT, NULL, nowhere, NULL, "cold");
    assert_int_equal(wp_diags_status(&diags), WP_E_RANGE);
}

static void full_list_counts_on_and_keeps_the_first_error(void **state)
{
    (void)state;
    struct wp_diags diags;
    wp_diags_init(&diags);
    for (int i = 0; i < WP_DIAGS_MAX; i++) {
        (void)wp_diags_add(&diags, WP_OK, NULL, nowhere, NULL, "warning");
    }
    (void)wp_diags_add(&diags, WP_E_EMPTY, NULL, nowhere, NULL, "error");
    (void)wp_diags_add(&diags, WP_E_RANGE, NULL, nowhere, NULL, "another");
    assert_int_equal(diags.n_items, WP_DIAGS_MAX);
    assert_int_equal(diags.n_left_out, 2);
    assert_int_equal(diags.n_errors, 2);
    assert_int_equal(wp_diags_status(&diags), WP_E_EMPTY);
}

static void long_text_is_cut_between_characters(void **state)
{
    (void)state;
    char text[400];
    struct wp_diags diags;
    for (size_t shift = 0; shift < 2; shift++) {
        memset(text, 'a', shift);
        for (size_t i = shift; i + 2 < sizeof text; i += 2) {
            memcpy(text + i, "\xC3\xA9", 3); /* e with an acute accent */
        }
        wp_diags_init(&diags);
        (void)wp_diags_add(&diags, WP_OK, NULL, nowhere, NULL, "%s", text);
        const size_t length = strlen(diags.items[0].message);
        assert_int_equal(length, shift ? 319 : 318);
        assert_int_equal((unsigned char)diags.items[0].message[length - 1], 0xA9);
    }
}

static void quoted_bytes_become_printable(void **state)
{
    (void)state;
    const char *const texts[][2] = {
        {"a\x1B[31m\n\x7F", "a?[31m??"},
        {"caf\xE9 ouvert", "caf? ouvert"},  /* Latin-1 */
        {"\xC2\x9B\xC2\xB0", "??\xC2\xB0"}, /* a C1 control, a degree sign */
        {"\xC0\xAF\xED\xA0\x80", "?????"},  /* overlong, surrogate */
        {"\xE2\x99\xAF\xF0\x9F\x8E\xB5", "\xE2\x99\xAF\xF0\x9F\x8E\xB5"},
        {"\xF4\x90\x80\x80\xF8\xE2\x99", "???????"}, /* past U+10FFFF, cut off */
    };
    for (size_t i = 0; i < sizeof texts / sizeof texts[0]; i++) {
        struct wp_diags diags;
        wp_diags_init(&diags);
        (void)wp_diags_add(&diags, WP_OK, texts[i][0], nowhere, texts[i][0], "%s", texts[i][0]);
        assert_string_equal(diags.items[0].message, texts[i][1]);
        assert_string_equal(diags.items[0].hint, texts[i][1]);
        assert_string_equal(diags.items[0].file, texts[i][1]);
    }
}

static void nearest_word_is_the_one_meant(void **state)
{
    (void)state;
    const char *const keys[] = {"material", "outer_diameter", NULL, "wall", "notes", "note"};
    const size_t n = sizeof keys / sizeof keys[0];
    assert_string_equal(wp_nearest_word("Materiel", keys, n), "material");
    assert_string_equal(wp_nearest_word("outer diametre", keys, n), "outer_diameter");
    assert_string_equal(wp_nearest_word("wal", keys, n), "wall");
    assert_string_equal(wp_nearest_word("note", keys, n), "note");
    assert_string_equal(wp_nearest_word("notess", keys, n), "notes");
}

static void word_far_from_all_has_no_neighbour(void **state)
{
    (void)state;
    const char *const keys[] = {"material", "wall", "a"};
    char endless[5000];
    memset(endless, 'w', sizeof endless - 1);
    endless[sizeof endless - 1] = '\0';
    assert_null(wp_nearest_word("colour", keys, 3));
    assert_null(wp_nearest_word("", keys, 3));
    assert_null(wp_nearest_word("b", keys, 3));
    assert_null(wp_nearest_word(endless, keys, 3));
    assert_null(wp_nearest_word("wall", keys, 0));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_status_has_its_own_text_and_code),
        cmocka_unit_test(only_wrong_input_is_input),
        cmocka_unit_test(finding_keeps_place_and_text),
        cmocka_unit_test(status_alone_is_handed_on_without_a_list),
        cmocka_unit_test(warnings_are_no_errors),
        cmocka_unit_test(full_list_counts_on_and_keeps_the_first_error),
        cmocka_unit_test(long_text_is_cut_between_characters),
        cmocka_unit_test(quoted_bytes_become_printable),
        cmocka_unit_test(nearest_word_is_the_one_meant),
        cmocka_unit_test(word_far_from_all_has_no_neighbour),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
