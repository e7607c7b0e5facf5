/* SPDX-License-Identifier: MIT */
/* Claims about which loudspeaker a part of a name means. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>

#include "windpeal/loudspeaker.h"

static void fill(struct wp_loudspeakers *list, const char *const names[], size_t n)
{
    memset(list, 0, sizeof *list);
    for (size_t i = 0; i < n; i++) {
        snprintf(list->items[i].name, sizeof list->items[i].name, "%s", names[i]);
    }
    list->n_items = n;
}

static const char *const three[] = {"Built-in: Analog (ALSA)", "Built-in: HDMI (ALSA)",
                                    "USB desk (ALSA)"};

static void a_part_that_one_name_has_is_enough(void **state)
{
    (void)state;
    struct wp_loudspeakers list;
    size_t found = 99;
    fill(&list, three, 3);
    assert_int_equal(wp_loudspeakers_find(&list, "usb", &found, NULL), WP_OK);
    assert_int_equal(found, 2);
    assert_int_equal(wp_loudspeakers_find(&list, "hDmI", &found, NULL), WP_OK);
    assert_int_equal(found, 1);
}

static void a_part_that_two_have_names_both(void **state)
{
    (void)state;
    struct wp_loudspeakers list;
    struct wp_diags diags;
    size_t found = 99;
    fill(&list, three, 3);
    wp_diags_init(&diags);
    assert_int_equal(wp_loudspeakers_find(&list, "built-in", &found, &diags), WP_E_AMBIGUOUS);
    assert_int_equal(found, 99);
    assert_non_null(strstr(diags.items[0].message, "Analog"));
    assert_non_null(strstr(diags.items[0].message, "HDMI"));
    assert_null(strstr(diags.items[0].message, "USB"));
}

static void a_part_that_none_has_names_all(void **state)
{
    (void)state;
    struct wp_loudspeakers list;
    struct wp_diags diags;
    size_t found = 99;
    fill(&list, three, 3);
    wp_diags_init(&diags);
    assert_int_equal(wp_loudspeakers_find(&list, "tuba", &found, &diags), WP_E_UNKNOWN_NAME);
    assert_non_null(strstr(diags.items[0].message, "tuba"));
    assert_non_null(strstr(diags.items[0].hint, "USB desk"));
    assert_int_equal(found, 99);
}

static void a_whole_name_wins_over_a_longer_one_that_holds_it(void **state)
{
    (void)state;
    static const char *const names[] = {"system (JACK) 2", "System (JACK)"};
    struct wp_loudspeakers list;
    size_t found = 99;
    fill(&list, names, 2);
    assert_int_equal(wp_loudspeakers_find(&list, "system (jack)", &found, NULL), WP_OK);
    assert_int_equal(found, 1);
}

static void without_a_name_the_default_is_meant_or_the_first(void **state)
{
    (void)state;
    struct wp_loudspeakers list;
    size_t found = 99;
    fill(&list, three, 3);
    assert_int_equal(wp_loudspeakers_find(&list, NULL, &found, NULL), WP_OK);
    assert_int_equal(found, 0);
    list.items[1].is_default = true;
    assert_int_equal(wp_loudspeakers_find(&list, NULL, &found, NULL), WP_OK);
    assert_int_equal(found, 1);
}

static void no_loudspeaker_at_all_is_no_mistake_of_the_user(void **state)
{
    (void)state;
    struct wp_loudspeakers list;
    size_t found = 99;
    fill(&list, NULL, 0);
    assert_int_equal(wp_loudspeakers_find(&list, "usb", &found, NULL), WP_E_DEVICE);
    assert_false(wp_status_is_input(WP_E_DEVICE));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_part_that_one_name_has_is_enough),
        cmocka_unit_test(a_part_that_two_have_names_both),
        cmocka_unit_test(a_part_that_none_has_names_all),
        cmocka_unit_test(a_whole_name_wins_over_a_longer_one_that_holds_it),
        cmocka_unit_test(without_a_name_the_default_is_meant_or_the_first),
        cmocka_unit_test(no_loudspeaker_at_all_is_no_mistake_of_the_user),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
