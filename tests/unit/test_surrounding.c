/* SPDX-License-Identifier: MIT */
/* The key 'room' of a set file. */

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "set_text.h"

static void room_is_read_in_each_form(void **state)
{
    (void)state;
    struct wp_set set = read_well(SMALL);
    assert_int_equal(set.room.kind, WP_ROOM_FREE);
    set = read_well(SMALL "room: outdoors\n");
    assert_int_equal(set.room.kind, WP_ROOM_OUTDOORS);
    assert_int_equal(set.room.ground, WP_GROUND_GRASS);
    assert_true(set.room.humidity_01 == 0.5);
    set = read_well(SMALL "room: {ground: forest floor, humidity: 80 %}\n");
    assert_int_equal(set.room.kind, WP_ROOM_OUTDOORS);
    assert_int_equal(set.room.ground, WP_GROUND_FOREST_FLOOR);
    assert_true(fabs(set.room.humidity_01 - 0.8) < 1e-15);
    set = read_well(SMALL "room: {size: [5 m, 4 m, 2600 mm], decay: 400 ms}\n");
    assert_int_equal(set.room.kind, WP_ROOM_OF_SIZE);
    assert_true(set.room.size_m[0] == 5.0 && set.room.size_m[1] == 4.0);
    assert_true(fabs(set.room.size_m[2] - 2.6) < 1e-15 && fabs(set.room.decay_s - 0.4) < 1e-15);
    set = read_well(SMALL "room: {impulse: halls/big hall.wav}\n");
    assert_int_equal(set.room.kind, WP_ROOM_RECORDED);
    assert_string_equal(set.room.impulse, "halls/big hall.wav");
}

static void mistakes_in_a_room_are_told(void **state)
{
    (void)state;
#define NEAR SMALL "listener: {distance: 3 m, bearing: 90}\n"
    const struct mistake mistakes[] = {
        {SMALL "room: {}\n", WP_E_MISSING, 2, 7, "without size, impulse or ground", "decay"},
        {SMALL "room: {decay: 1 s}\n", WP_E_MISSING, 2, 7, "without size", NULL},
        {SMALL "room: {sise: 1}\n", WP_E_UNKNOWN_KEY, 2, 8, "unknown key 'sise'", "size"},
        {SMALL "room: {ground: gras}\n", WP_E_UNKNOWN_NAME, 2, 16, "ground 'gras'", "grass"},
        {SMALL "room: {ground: water, decay: 1 s}\n", WP_E_CONFLICT, 2, 30, "decay does not go",
         "leave it out"},
        {SMALL "room: {impulse: a.wav, humidity: 40 %}\n", WP_E_CONFLICT, 2, 34,
         "humidity does not go", NULL},
        {SMALL "room: {impulse: a.wav, ground: water}\n", WP_E_CONFLICT, 2, 32,
         "both impulse and ground", NULL},
        {NEAR "room: {size: [5 m, 4 m, 3 m]}\n", WP_E_MISSING, 3, 7, "without its decay", NULL},
        {NEAR "room: {size: [5 m, 4 m], decay: 1 s}\n", WP_E_SYNTAX, 3, 14, "a size of 2 values",
         NULL},
        {NEAR "room: {size: 5 m, decay: 1 s}\n", WP_E_SYNTAX, 3, 14, "expected three sides", NULL},
        {NEAR "room: {size: [5 m, 4 m, 0 m], decay: 1 s}\n", WP_E_RANGE, 3, 25, "0.5 m to 300 m",
         NULL},
        {NEAR "room: {size: [5 m, 4 m, 3 m], decay: 0 s}\n", WP_E_RANGE, 3, 38, "20 ms to 60 s",
         NULL},
        {NEAR "room: {size: [3 m, 4 m, 3 m], decay: 1 s}\n", WP_E_CONFLICT, 3, 14,
         "outside of the room: 3 m from the set from west to east", "larger room"},
        {NEAR "room: {size: [5 m, 4 m, 3 m], decay: 1 s, humidity: 0.5}\n", WP_E_UNIT, 3, 53,
         "humidity", NULL},
        {SMALL "site: {height: 1 m}\nlistener: {height: -1.2 m}\nroom: outdoors\n", WP_E_RANGE, 4,
         7, "0.2 m under the ground", "middle of the longest tube"},
        {SMALL "site: {height: 1 m}\nlistener: {height: -1.2 m}\nroom: {ground: lawn}\n",
         WP_E_RANGE, 4, 16, "under the ground", NULL},
    };
    assert_mistakes(mistakes, sizeof mistakes / sizeof mistakes[0]);
#undef NEAR
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(room_is_read_in_each_form),
        cmocka_unit_test(mistakes_in_a_room_are_told),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
