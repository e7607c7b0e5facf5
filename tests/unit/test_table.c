/* SPDX-License-Identifier: MIT */
/* Lines, fields and numbers of a table. */
#include "weather/table.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>

static struct wp_slice slice(const char *text)
{
    return (struct wp_slice){text, strlen(text)};
}

static void assert_slice(struct wp_slice got, const char *want)
{
    if (got.length != strlen(want) || memcmp(got.at, want, got.length) != 0) {
        fail_msg("'%.*s' instead of '%s'", (int)got.length, got.at, want);
    }
}

static void assert_lines(const char *text, const char *const *want, size_t n_want)
{
    struct wp_lines lines;
    struct wp_slice line;
    wp_lines_init(&lines, text, strlen(text));
    for (size_t i = 0; i < n_want; i++) {
        assert_true(wp_lines_next(&lines, &line));
        assert_slice(line, want[i]);
        assert_int_equal(lines.number, (int)i + 1);
    }
    assert_false(wp_lines_next(&lines, &line));
}

static void lines_end_in_any_customary_way(void **state)
{
    (void)state;
    const char *const want[] = {"a", "", "b", "c"};
    assert_lines("a\n\nb\nc", want, 4);
    assert_lines("a\r\n\r\nb\r\nc\r\n", want, 4);
    assert_lines("a\r\rb\rc\r", want, 4);
    assert_lines("a\r\n\nb\rc\n", want, 4);
}

static void byte_order_mark_is_no_text(void **state)
{
    (void)state;
    const char *const want[] = {"time"};
    assert_lines("\xEF\xBB\xBFtime\n", want, 1);
}

static void comments_and_blank_lines_are_no_rows(void **state)
{
    (void)state;
    static const char text[] = "# story\n\n  \t\n  # more\na,b\n";
    struct wp_lines lines;
    struct wp_slice line;
    wp_lines_init(&lines, text, sizeof text - 1);
    assert_true(wp_lines_next_row(&lines, &line));
    assert_slice(line, "a,b");
    assert_int_equal(lines.number, 5);
    assert_false(wp_lines_next_row(&lines, &line));
}

static void assert_fields(const char *line, char separator, const char *const *want, size_t n_want)
{
    struct wp_slice fields[8];
    const size_t n = wp_fields_split(slice(line), separator, fields, 8);
    assert_int_equal(n, n_want);
    for (size_t i = 0; i < n_want; i++) {
        assert_slice(fields[i], want[i]);
    }
}

static void quotes_guard_separators(void **state)
{
    (void)state;
    const char *const want[] = {"a,b", "", "say \"\"so\"\"", "c"};
    assert_fields("\"a,b\",\"\", \"say \"\"so\"\"\" ,c", ',', want, 4);
    const char *const open[] = {"a", "b,c"};
    assert_fields("a,\"b,c", ',', open, 2);
}

static void empty_fields_count(void **state)
{
    (void)state;
    const char *const want[] = {"", "a", "", ""};
    assert_fields(";a;;", ';', want, 4);
    assert_fields("\ta\t\t", '\t', want, 4);
}

static void runs_of_blanks_separate_once(void **state)
{
    (void)state;
    const char *const want[] = {"a", "b", "c"};
    assert_fields("  a  b\t c  ", ' ', want, 3);
}

static void fields_past_the_room_are_counted_only(void **state)
{
    (void)state;
    struct wp_slice fields[3] = {{"x", 1}, {"x", 1}, {"untouched", 9}};
    assert_int_equal(wp_fields_split(slice("a,b,c,d"), ',', fields, 2), 4);
    assert_slice(fields[1], "b");
    assert_slice(fields[2], "untouched");
}

static char separator_of(const char *text)
{
    return wp_separator_find(text, strlen(text));
}

static void separator_is_the_most_constant_mark(void **state)
{
    (void)state;
    assert_int_equal(separator_of("a,b,c\n1,2,3\n4,5,6\n"), ',');
    assert_int_equal(separator_of("a;b;c\n1,5;2,5;3\n4,0;5;6,1\n"), ';');
    assert_int_equal(separator_of("a;b;c\n1,5;2,5;3,0\n4,0;5,0;6,1\n"), ';');
    assert_int_equal(separator_of("a\tb, of c\n1,5\t2\n"), '\t');
    assert_int_equal(separator_of("a|b\n1|2\n"), '|');
    assert_int_equal(separator_of("a b\n1 2\n"), ' ');
    assert_int_equal(separator_of("\"a;b\",\"c;d\"\n1,2\n"), ',');
    assert_int_equal(separator_of("Station of x; y\na,b,c\n1,2,3\n4,5,6\n"), ',');
}

static void numbers_take_point_or_comma(void **state)
{
    (void)state;
    double value = 0.0;
    assert_true(wp_number_read(slice("4,3"), &value));
    assert_true(value == 4.3);
    assert_true(wp_number_read(slice("-0.5"), &value));
    assert_true(value == -0.5);
    assert_true(wp_number_read(slice("1e2"), &value));
    assert_true(value == 100.0);
}

static void other_texts_are_no_numbers(void **state)
{
    (void)state;
    const char *const texts[] = {
        "",     "-",   "4.3 m/s", "1.013,5", "1,2,3",
        "0x10", "nan", "inf",     "4 3",     "--4",
        "1e",   "e5",  ".",       "1e999",   "12345678901234567890123456789012345678901234567890"};
    for (size_t i = 0; i < sizeof texts / sizeof texts[0]; i++) {
        double value = 7.0;
        if (wp_number_read(slice(texts[i]), &value) || value != 7.0) {
            fail_msg("'%s' was read as %g", texts[i], value);
        }
    }
}

static void missing_values_have_many_names(void **state)
{
    (void)state;
    const char *const missing[] = {"",     "-",    "--", "---", "/",   "//",  "/////",
                                   "M",    "MM",   "m",  "NA",  "n/a", "NaN", "null",
                                   "NULL", "None", ".",  "...", "****"};
    for (size_t i = 0; i < sizeof missing / sizeof missing[0]; i++) {
        assert_true(wp_field_is_missing(slice(missing[i])));
    }
    assert_false(wp_field_is_missing(slice("0")));
    assert_false(wp_field_is_missing(slice("N")));
    assert_false(wp_field_is_missing(slice("-1")));
}

static void codes_are_all_nines_or_all_bits(void **state)
{
    (void)state;
    const char *const codes[] = {"99",   "999",     "99.0",  "999.9", "99,9",
                                 "-999", "-999.99", "-99.0", "32767", "65535"};
    for (size_t i = 0; i < sizeof codes / sizeof codes[0]; i++) {
        assert_true(wp_field_is_code(slice(codes[i])));
    }
    const char *const values[] = {"", "-", "98", "199", "9a", "90.9", "99.1", "0"};
    for (size_t i = 0; i < sizeof values / sizeof values[0]; i++) {
        assert_false(wp_field_is_code(slice(values[i])));
    }
}

static void shown_text_is_valid_utf8(void **state)
{
    (void)state;
    char shown[16];
    wp_slice_show(slice("B\xF6"
                        "e"),
                  shown, sizeof shown);
    assert_string_equal(shown, "B\xC3\xB6"
                               "e");
    wp_slice_show(slice("B\xC3\xB6"
                        "e"),
                  shown, sizeof shown);
    assert_string_equal(shown, "B\xC3\xB6"
                               "e");
    wp_slice_show(slice("a\x1B[2J\x9B"), shown, sizeof shown);
    assert_string_equal(shown, "a?[2J?");
    wp_slice_show(slice("\xC3\xB6\xC3\xB6"), shown, 4);
    assert_string_equal(shown, "\xC3\xB6");
    wp_slice_show(slice("\xE2\x82\xAC"), shown, sizeof shown);
    assert_string_equal(shown, "\xE2\x82\xAC");
    /* An overlong slash and a surrogate (RFC 3629, section 10) are Latin-1 letters, not UTF-8. */
    wp_slice_show(slice("\xC0\xAF"), shown, sizeof shown);
    assert_string_equal(shown, "\xC3\x80\xC2\xAF");
    wp_slice_show(slice("\xED\xA0\x80"), shown, sizeof shown);
    assert_string_equal(shown, "\xC3\xAD\xC2\xA0?");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(lines_end_in_any_customary_way),
        cmocka_unit_test(byte_order_mark_is_no_text),
        cmocka_unit_test(comments_and_blank_lines_are_no_rows),
        cmocka_unit_test(quotes_guard_separators),
        cmocka_unit_test(empty_fields_count),
        cmocka_unit_test(runs_of_blanks_separate_once),
        cmocka_unit_test(fields_past_the_room_are_counted_only),
        cmocka_unit_test(separator_is_the_most_constant_mark),
        cmocka_unit_test(numbers_take_point_or_comma),
        cmocka_unit_test(other_texts_are_no_numbers),
        cmocka_unit_test(missing_values_have_many_names),
        cmocka_unit_test(codes_are_all_nines_or_all_bits),
        cmocka_unit_test(shown_text_is_valid_utf8),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
