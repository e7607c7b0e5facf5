/* SPDX-License-Identifier: MIT */
/* Claims about strike lists: what is read, filled in, sorted and refused. */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>

#include <cmocka.h>

#include "../near.h"
#include "striker_fixture.h"

static enum wp_status parse(struct fixture *f, struct wp_strike_list *list, const char *text)
{
    wp_diags_init(&f->diags);
    return wp_strike_list_parse(list, "strikes.csv", text, strlen(text), &f->context, &f->diags);
}

static void columns_may_stand_in_any_order(void **state)
{
    (void)state;
    struct fixture f;
    struct wp_strike_list list;
    assert_int_equal(fixture_init(&f), WP_OK);
    assert_int_equal(parse(&f, &list,
                           "height_m,tube,t_s,impulse_n_s,speed_m_s,bearing_deg\n"
                           "0.02,3,1.5,0.01,0.25,118.5\n"),
                     WP_OK);
    assert_int_equal(list.n_items, 1);
    const struct wp_strike *s = &list.items[0];
    assert_true(s->t_s == 1.5 && s->tube == 2 && s->speed_m_s == 0.25);
    assert_true(s->bearing_deg == 118.5 && s->height_m == 0.02 && s->impulse_n_s == 0.01);
    wp_strike_list_finish(&list);
}

static void missing_columns_and_empty_fields_are_filled_in(void **state)
{
    (void)state;
    struct fixture f;
    struct wp_strike_list few;
    struct wp_strike_list empty;
    assert_int_equal(fixture_init(&f), WP_OK);
    assert_int_equal(parse(&f, &few, "t_s,tube,speed_m_s\n0.5,2,0.3"), WP_OK);
    assert_int_equal(
        parse(&f, &empty, "t_s,tube,speed_m_s,bearing_deg,height_m,impulse_n_s\n0.5,2,0.3,, ,\n"),
        WP_OK);
    assert_true(few.items[0].bearing_deg == 60.0);
    assert_true(few.items[0].height_m == 0.03);
    struct wp_contact contact;
    wp_contact_solve(&contact, &f.striker, &f.chime.tubes[1], 0.03, 0.3);
    assert_true(isnan(few.items[0].impulse_n_s) && isnan(empty.items[0].impulse_n_s));
    wp_strike_complete(&few.items[0], &f.context);
    wp_strike_complete(&empty.items[0], &f.context);
    assert_near(few.items[0].impulse_n_s, contact.impulse_n_s, 1e-5 * contact.impulse_n_s);
    assert_memory_equal(few.items, empty.items, sizeof *few.items);
    wp_strike_list_finish(&few);
    wp_strike_list_finish(&empty);
}

static void blank_lines_comments_and_foreign_line_ends_are_accepted(void **state)
{
    (void)state;
    struct fixture f;
    struct wp_strike_list list;
    assert_int_equal(fixture_init(&f), WP_OK);
    assert_int_equal(parse(&f, &list,
                           "\xEF\xBB\xBF# by hand\r\n\r\n\"t_s\", tube ,speed_m_s\r\n"
                           "1, 1, .3\r\n\t\r\n  # pause\r\n2,\"6\",3e-1"),
                     WP_OK);
    assert_int_equal(list.n_items, 2);
    assert_true(list.items[0].t_s == 1.0 && list.items[0].speed_m_s == 0.3);
    assert_true(list.items[1].tube == 5 && list.items[1].speed_m_s == 0.3);
    assert_int_equal(f.diags.n_items, 0);
    wp_strike_list_finish(&list);
}

static void strikes_out_of_order_are_sorted_and_said_so(void **state)
{
    (void)state;
    static const size_t tubes[] = {4, 1, 2, 5, 0, 3, 0};
    struct fixture f;
    struct wp_strike_list list;
    assert_int_equal(fixture_init(&f), WP_OK);
    assert_int_equal(parse(&f, &list,
                           "t_s,tube,speed_m_s\n3,1,.3\n1,5,.3\n2,2,.3\n2,3,.3\n4,4,.3\n2,6,.3\n"
                           "5,1,.3\n"),
                     WP_OK);
    assert_int_equal(list.n_items, 7);
    for (size_t i = 0; i < 7; i++) {
        assert_int_equal(list.items[i].tube, tubes[i]); /* equal times keep their order */
    }
    assert_int_equal(f.diags.n_items, 1);
    assert_int_equal(f.diags.items[0].status, WP_OK);
    wp_strike_list_finish(&list);
}

static void long_reversed_list_is_sorted(void **state)
{
    (void)state;
    enum { N = 1001, LINE = 32 };
    struct fixture f;
    struct wp_strike_list list;
    assert_int_equal(fixture_init(&f), WP_OK);
    char *text = calloc(N + 1, LINE);
    assert_non_null(text);
    size_t used = (size_t)snprintf(text, LINE, "t_s,tube,speed_m_s\n");
    for (int i = N; i-- > 0;) {
        used += (size_t)snprintf(text + used, LINE, "%d,%d,0.2\n", i / 2, i % 6 + 1);
    }
    assert_int_equal(parse(&f, &list, text), WP_OK);
    assert_int_equal(list.n_items, N);
    for (size_t i = 0; i < N; i++) {
        assert_true(list.items[i].t_s == (double)(i / 2));
    }
    wp_strike_list_finish(&list);
    free(text);
}

static void heading_alone_is_an_empty_list(void **state)
{
    (void)state;
    struct fixture f;
    struct wp_strike_list list;
    assert_int_equal(fixture_init(&f), WP_OK);
    assert_int_equal(parse(&f, &list, "t_s,tube,speed_m_s\n"), WP_OK);
    assert_int_equal(list.n_items, 0);
    wp_strike_list_finish(&list);
}

struct refusal {
    const char *text;
    enum wp_status status;
    int line;
    int column;
    const char *message;
    const char *hint;
};

static void bad_lists_are_refused_with_place_and_hint(void **state)
{
    (void)state;
    static const struct refusal cases[] = {
        {"", WP_E_EMPTY, 0, 0, "empty", "t_s,tube,speed_m_s"},
        {"\n# nothing\n", WP_E_EMPTY, 0, 0, "empty", "t_s,tube,speed_m_s"},
        {"t_s,tube,sped_m_s\n", WP_E_UNKNOWN_KEY, 1, 10, "'sped_m_s'", "'speed_m_s'"},
        {"t_s,tube,speed_m_s,colour\n", WP_E_UNKNOWN_KEY, 1, 20, "'colour'", "t_s,tube,speed"},
        {"0.1,1,0.3\n0.2,2,0.3\n", WP_E_MISSING, 1, 1, "'0.1' begins no heading", "above"},
        {"t_s;tube;speed_m_s\n", WP_E_UNKNOWN_KEY, 1, 1, "t_s;tube", "commas"},
        {"t_s,tube,t_s,speed_m_s\n", WP_E_CONFLICT, 1, 10, "'t_s' stands twice", "leave"},
        {"t_s,tube\n1,1\n", WP_E_MISSING, 1, 1, "'speed_m_s'", "needs"},
        {"t_s,tube,speed_m_s\n1,7,0.3\n", WP_E_RANGE, 2, 3, "no tube 7", "count from 1"},
        {"t_s,tube,speed_m_s\n1,0,0.3\n", WP_E_RANGE, 2, 3, "1 to 6", "count from 1"},
        {"t_s,tube,speed_m_s\n1,1.5,0.3\n", WP_E_RANGE, 2, 3, "no tube 1.5", "count from 1"},
        {"t_s,tube,speed_m_s\n\n1,1,0.3 m/s\n", WP_E_SYNTAX, 3, 5, "'0.3 m/s'", "without a unit"},
        {"t_s,tube,speed_m_s\n1,1,nan\n", WP_E_SYNTAX, 2, 5, "'nan'", "decimal point"},
        {"t_s,tube,speed_m_s\n1,1,\n", WP_E_SYNTAX, 2, 5, "''", "decimal point"},
        {"t_s,tube,speed_m_s\n1,1,0,3\n", WP_E_SYNTAX, 2, 1, "4 fields; expected 3", "point"},
        {"t_s,tube,speed_m_s\n1\n", WP_E_SYNTAX, 2, 1, "1 field; expected 3", "comma"},
        {"t_s,tube,speed_m_s\n-1,1,0.3\n", WP_E_RANGE, 2, 1, "t_s is -1", ""},
        {"t_s,tube,speed_m_s\n1,1,1e-9\n", WP_E_RANGE, 2, 5, "speed_m_s is 1e-09", "below 0"},
        {"t_s,tube,speed_m_s\n1,1,-30\n", WP_E_RANGE, 2, 5, "speed_m_s is -30", ""},
        {"t_s,tube,speed_m_s\n1,1,.3\n\n2,1,-.1\n", WP_E_CONFLICT, 4, 1,
         "tube 1 is left at 2.000000 s", "speed 0"},
        {"t_s,tube,speed_m_s\n1,2,0\n2,1,.3\n3,2,0\n", WP_E_CONFLICT, 4, 1,
         "tube 2 gets a rest at 3.000000 s", "below 0"},
        {"t_s,tube,speed_m_s\n2,2,0\n1,2,-1\n", WP_E_CONFLICT, 0, 0, "left at 1.000000 s", ""},
        {"t_s,tube,speed_m_s,impulse_n_s\n1,1,0,.1\n", WP_E_CONFLICT, 2, 7, "impulse_n_s is 0.1",
         "above 0"},
        {"t_s,tube,speed_m_s\n1,1,300\n", WP_E_RANGE, 2, 5, "speed_m_s is 300", ""},
        {"t_s,tube,speed_m_s,height_m\n1,1,.3,0.71\n", WP_E_RANGE, 2, 8, "0 to 0.7", ""},
        {"t_s,tube,speed_m_s,bearing_deg\n1,1,.3,361\n", WP_E_RANGE, 2, 8, "bearing_deg", ""},
        {"t_s,tube,speed_m_s,impulse_n_s\n1,1,.3,-1\n", WP_E_RANGE, 2, 8, "impulse_n_s", ""},
    };
    struct fixture f;
    assert_int_equal(fixture_init(&f), WP_OK);
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        struct wp_strike_list list = {(struct wp_strike *)&f, 99};
        assert_int_equal(parse(&f, &list, cases[i].text), cases[i].status);
        assert_null(list.items);
        assert_int_equal(list.n_items, 0);
        const struct wp_diag *diag = &f.diags.items[0];
        assert_string_equal(diag->file, "strikes.csv");
        assert_int_equal(diag->mark.line, cases[i].line);
        assert_int_equal(diag->mark.column, cases[i].column);
        assert_non_null(strstr(diag->message, cases[i].message));
        assert_non_null(strstr(diag->hint, cases[i].hint));
    }
}

static void all_bad_lines_are_reported_in_one_run(void **state)
{
    (void)state;
    struct fixture f;
    struct wp_strike_list list;
    assert_int_equal(fixture_init(&f), WP_OK);
    assert_int_equal(parse(&f, &list, "t_s,tube,speed_m_s\n1,9,.3\n2,1,.3\nx,1,.3\n3,1,99\n"),
                     WP_E_RANGE);
    assert_int_equal(f.diags.n_errors, 3);
    assert_int_equal(f.diags.items[2].mark.line, 5);
}

static void bytes_that_do_not_print_are_not_shown(void **state)
{
    (void)state;
    struct fixture f;
    struct wp_strike_list list;
    assert_int_equal(fixture_init(&f), WP_OK);
    assert_int_equal(parse(&f, &list, "t_s,tube,speed_m_s\n1,1,\x1b[31m\n"), WP_E_SYNTAX);
    assert_non_null(strstr(f.diags.items[0].message, "'?[31m'"));
}

static void rests_and_leaves_read_back_as_printed(void **state)
{
    (void)state;
    static const char rows[] = "t_s,tube,speed_m_s,bearing_deg,height_m,impulse_n_s\n"
                               "0.500000,2,0.000000,61.50,0.03100,0\n"
                               "0.750000,2,0.300000,61.00,0.03000,0.0100000\n"
                               "1.500000,2,-0.012345,62.00,0.03200,0\n"
                               "1.500001,2,-0.000001,62.00,0.03200,0\n";
    char text[sizeof rows + 100] = "";
    struct fixture f;
    struct wp_strike_list list;
    assert_int_equal(fixture_init(&f), WP_OK);
    assert_int_equal(parse(&f, &list, rows), WP_E_CONFLICT); /* the second leave */
    const size_t n_fine = (size_t)(strstr(rows, "1.500001") - rows);
    char fine[sizeof rows];
    snprintf(fine, sizeof fine, "%.*s", (int)n_fine, rows);
    assert_int_equal(parse(&f, &list, fine), WP_OK);
    assert_true(list.items[0].speed_m_s == 0.0 && !wp_strike_is_blow(&list.items[0]));
    assert_true(list.items[2].speed_m_s == -0.012345 && !wp_strike_is_blow(&list.items[2]));
    FILE *file = fmemopen(text, sizeof text, "w");
    assert_non_null(file);
    wp_strike_print_heading(file);
    for (size_t i = 0; i < list.n_items; i++) {
        wp_strike_complete(&list.items[i], &f.context);
        wp_strike_print(file, &list.items[i]);
    }
    fclose(file);
    assert_string_equal(text, fine);
    wp_strike_list_finish(&list);
}

static void printed_list_reads_back_bit_for_bit(void **state)
{
    (void)state;
    enum { N = 500 };
    static char text[N * 80];
    static struct wp_strike strikes[N];
    struct fixture f;
    struct wp_strike_list list;
    assert_int_equal(fixture_init(&f), WP_OK);
    assert_int_equal(parse(&f, &list, "t_s,tube,speed_m_s\n7.25,3,0.123457\n"), WP_OK);
    FILE *file = fmemopen(text, sizeof text, "w");
    assert_non_null(file);
    wp_strike_print_heading(file);
    for (size_t i = 0; i < N; i++) {
        struct wp_strike_list one;
        char line[96];
        snprintf(line, sizeof line,
                 "t_s,tube,speed_m_s,bearing_deg\n%zu.%06zu,%zu,0.%06zu,%zu.%02zu", i,
                 i * 7919 % 1000000, i % 6 + 1, 20000 + i * 1237 % 900000, i % 360, i % 100);
        assert_int_equal(parse(&f, &one, line), WP_OK);
        strikes[i] = one.items[0];
        wp_strike_complete(&strikes[i], &f.context);
        wp_strike_print(file, &strikes[i]);
        wp_strike_list_finish(&one);
    }
    fclose(file);
    wp_strike_list_finish(&list);
    assert_int_equal(parse(&f, &list, text), WP_OK);
    assert_int_equal(list.n_items, N);
    assert_memory_equal(list.items, strikes, sizeof strikes);
    wp_strike_list_finish(&list);
}

static void each_strikes_every_tube_then_all(void **state)
{
    (void)state;
    struct fixture f;
    struct wp_strike_list list;
    assert_int_equal(fixture_init(&f), WP_OK);
    assert_int_equal(wp_strike_list_each(&list, &f.context, 0.3, 4.0), WP_OK);
    assert_int_equal(list.n_items, 12);
    for (size_t i = 0; i < 12; i++) {
        assert_int_equal(list.items[i].tube, i % 6);
        assert_true(list.items[i].t_s == 4.0 * (double)(i < 6 ? i : 6));
        assert_true(list.items[i].speed_m_s == 0.3 && list.items[i].height_m == 0.03);
    }
    wp_strike_list_finish(&list);
    assert_null(list.items);
    assert_int_equal(wp_strike_list_each(&list, &f.context, 0.0, 4.0), WP_E_RANGE);
    assert_int_equal(wp_strike_list_each(&list, &f.context, NAN, 4.0), WP_E_RANGE);
    assert_int_equal(wp_strike_list_each(&list, &f.context, 0.3, -1.0), WP_E_RANGE);
    assert_int_equal(list.n_items, 0);
}

static void absent_file_and_folder_are_refused(void **state)
{
    (void)state;
    struct fixture f;
    struct wp_strike_list list;
    assert_int_equal(fixture_init(&f), WP_OK);
    assert_int_equal(wp_strike_list_load(&list, "no such list.csv", &f.context, &f.diags),
                     WP_E_NO_FILE);
    assert_string_equal(f.diags.items[0].file, "no such list.csv");
    wp_diags_init(&f.diags);
    assert_int_equal(wp_strike_list_load(&list, "/", &f.context, &f.diags), WP_E_IO);
    assert_int_equal(f.diags.n_errors, 1);
}

static void file_is_read_like_its_text(void **state)
{
    (void)state;
    struct fixture f;
    struct wp_strike_list list;
    char path[] = "/tmp/strikes-XXXXXX";
    assert_int_equal(fixture_init(&f), WP_OK);
    const int descriptor = mkstemp(path);
    assert_true(descriptor >= 0);
    FILE *file = fdopen(descriptor, "w");
    assert_non_null(file);
    wp_strike_print_heading(file);
    enum { N = 3000 }; /* more than one block of reading */
    for (size_t i = 0; i < N; i++) {
        wp_strike_print(file, &(struct wp_strike){(double)i, i % 6, 0.3, 10.0, 0.02, 0.01});
    }
    fclose(file);
    assert_int_equal(wp_strike_list_load(&list, path, &f.context, &f.diags), WP_OK);
    assert_int_equal(list.n_items, N);
    assert_true(list.items[N - 1].t_s == (double)(N - 1));
    wp_strike_list_finish(&list);
    remove(path);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(columns_may_stand_in_any_order),
        cmocka_unit_test(missing_columns_and_empty_fields_are_filled_in),
        cmocka_unit_test(blank_lines_comments_and_foreign_line_ends_are_accepted),
        cmocka_unit_test(strikes_out_of_order_are_sorted_and_said_so),
        cmocka_unit_test(long_reversed_list_is_sorted),
        cmocka_unit_test(heading_alone_is_an_empty_list),
        cmocka_unit_test(bad_lists_are_refused_with_place_and_hint),
        cmocka_unit_test(all_bad_lines_are_reported_in_one_run),
        cmocka_unit_test(bytes_that_do_not_print_are_not_shown),
        cmocka_unit_test(rests_and_leaves_read_back_as_printed),
        cmocka_unit_test(printed_list_reads_back_bit_for_bit),
        cmocka_unit_test(each_strikes_every_tube_then_all),
        cmocka_unit_test(absent_file_and_folder_are_refused),
        cmocka_unit_test(file_is_read_like_its_text),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
