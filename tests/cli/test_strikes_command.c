/* SPDX-License-Identifier: MIT */
/* windpeal strikes: the list, and how varied it is. */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#include "claims.h"

static const char list_heading[] = "t_s,tube,speed_m_s,bearing_deg,height_m,impulse_n_s\n";

static void list_agrees_with_the_report(void **state)
{
    (void)state;
    struct program_run run;
    RUN(&run, "strikes", PROGRAM_SET, PROGRAM_WEATHER, "-o", "list.csv", "--json");
    claim_exit(&run, 0);
    json_t *root = program_json(&run);
    char *text = program_read_file("list.csv", NULL);
    assert_int_equal(strncmp(text, list_heading, sizeof list_heading - 1), 0);
    const double n_strikes = claim_number(root, "strikes");
    assert_true(n_strikes > 10.0);
    assert_true((double)program_count_lines(text) == n_strikes + 1.0);
    assert_true(claim_number(root, "duration_s") == 600.0);
    assert_true(fabs(claim_number(root, "per_minute") - n_strikes / 10.0) < 1e-9);
    const json_t *per_tube = json_object_get(root, "per_tube");
    double sum = 0.0;
    for (size_t i = 0; i < json_array_size(per_tube); i++) {
        sum += json_number_value(json_array_get(per_tube, i));
    }
    assert_int_equal(json_array_size(per_tube), 4);
    assert_true(sum == n_strikes);
    /* Four tubes give at most log2(4) bits. */
    assert_true(claim_number(root, "entropy_bits") <= 2.0);
    assert_true(claim_number(root, "reached_share") <= 1.0);
    claim_number(root, "repeat_share");
    claim_number(root, "longest_silence_s");
    assert_non_null(json_object_get(root, "kicks"));
    assert_non_null(json_object_get(root, "tubes_per_kick"));
    free(text);
    json_decref(root);
    program_run_finish(&run);
}

static void same_seed_same_list(void **state)
{
    (void)state;
    struct program_run first;
    struct program_run again;
    struct program_run other;
    RUN(&first, "strikes", PROGRAM_SET, PROGRAM_WEATHER, "-o", "-", "--seed", "7");
    RUN(&again, "strikes", PROGRAM_SET, PROGRAM_WEATHER, "-o", "-", "--seed", "7");
    RUN(&other, "strikes", PROGRAM_SET, PROGRAM_WEATHER, "-o", "-", "--seed", "8");
    claim_exit(&first, 0);
    claim_holds(first.err, "seed 7");
    assert_string_equal(first.out, again.out);
    assert_string_not_equal(first.out, other.out);
    program_run_finish(&first);
    program_run_finish(&again);
    program_run_finish(&other);
}

static size_t strikes_at(const char *wind)
{
    struct program_run run;
    RUN(&run, "strikes", PROGRAM_SET, "--wind", wind, "--no-height-change", "--json");
    claim_exit(&run, 0);
    json_t *root = program_json(&run);
    const double n_strikes = claim_number(root, "strikes");
    json_decref(root);
    program_run_finish(&run);
    return (size_t)n_strikes;
}

/* The set's drive is silent below 0.5 m/s and busiest, six strikes a second, from 12 m/s. */
static void more_wind_more_strikes(void **state)
{
    (void)state;
    assert_int_equal(strikes_at("0 m/s"), 0);
    const size_t breeze = strikes_at("3 m/s");
    const size_t gale = strikes_at("18 m/s");
    assert_true(breeze > 0);
    assert_true(gale > 2 * breeze);
    assert_true(gale <= 6 * 600);
}

static void report_uses_words(void **state)
{
    (void)state;
    struct program_run run;
    RUN(&run, "strikes", PROGRAM_SET, PROGRAM_WEATHER);
    claim_exit(&run, 0);
    claim_holds(run.out, "a minute");
    claim_holds(run.out, "of 4 tubes struck");
    claim_holds(run.out, "longest silence");
    claim_holds(run.out, "seed 1");
    program_run_finish(&run);
}

static void weather_past_its_end_is_told(void **state)
{
    (void)state;
    struct program_run run;
    RUN(&run, "strikes", PROGRAM_SET, PROGRAM_WEATHER, "--duration", "40 min");
    claim_exit(&run, 0);
    claim_holds(run.err, "the weather ends at 2026-04-11T14:29:00Z");
    program_run_finish(&run);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(list_agrees_with_the_report),  cmocka_unit_test(same_seed_same_list),
        cmocka_unit_test(more_wind_more_strikes),       cmocka_unit_test(report_uses_words),
        cmocka_unit_test(weather_past_its_end_is_told),
    };
    return cmocka_run_group_tests(tests, program_enter_folder, program_leave_folder);
}
