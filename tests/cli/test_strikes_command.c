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
#include "sound.h"

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

static void course_agrees_with_the_counts(void **state)
{
    (void)state;
    struct program_run run;
    RUN(&run, "strikes", PROGRAM_SET, PROGRAM_WEATHER, "--json");
    claim_exit(&run, 0);
    json_t *root = program_json(&run);
    const json_t *speeds = json_object_get(root, "speeds");
    assert_true(claim_number(speeds, "p10_m_s") < claim_number(speeds, "p50_m_s"));
    assert_true(claim_number(speeds, "p50_m_s") < claim_number(speeds, "p90_m_s"));
    const json_t *lists[] = {json_object_get(speeds, "classes"), json_object_get(root, "by_wind")};
    for (size_t k = 0; k < 2; k++) {
        double sum = 0.0;
        for (size_t i = 0; i < json_array_size(lists[k]); i++) {
            sum += claim_number(json_array_get(lists[k], i), "strikes");
        }
        assert_true(sum == claim_number(root, "strikes"));
    }
    assert_true(claim_number(root, "gusts") >= 1.0);
    assert_true(claim_number(root, "tubes_per_gust") <= 4.0);
    json_decref(root);
    program_run_finish(&run);
}

static void report_fits_a_narrow_terminal_in_ascii(void **state)
{
    (void)state;
    struct program_run run;
    RUN(&run, "strikes", PROGRAM_SET, PROGRAM_WEATHER);
    claim_exit(&run, 0);
    claim_holds(run.out, "strikes a minute");
    size_t column = 0;
    for (const char *at = run.out; *at; at++) {
        column = *at == '\n' ? 0 : column + 1;
        assert_true((unsigned char)*at < 0x80 && column <= 80);
    }
    program_run_finish(&run);
}

/* Tubes of 25.4 mm on a ring: what is left of its radius decides whether a striker hangs free. */
static void sweep_shows_what_cannot_hang_and_goes_on(void **state)
{
    (void)state;
    struct program_run run;
    RUN(&run, "strikes", PROGRAM_SET, PROGRAM_WEATHER, "--vary", "striker.diameter=40..500 mm",
        "--json");
    claim_exit(&run, 0);
    json_t *root = program_json(&run);
    const json_t *settings = json_object_get(root, "settings");
    assert_int_equal(json_array_size(settings), 8);
    const json_t *first = json_array_get(settings, 0);
    const json_t *last = json_array_get(settings, 7);
    assert_string_equal(
        json_string_value(json_object_get(json_object_get(first, "setting"), "striker.diameter")),
        "40 mm");
    assert_true(claim_number(first, "per_minute") > 0.0);
    const char *why = json_string_value(json_object_get(json_object_get(last, "error"), "message"));
    assert_non_null(why);
    claim_holds(why, "the striker at rest touches all tubes");
    assert_non_null(json_object_get(root, "best"));
    json_decref(root);
    program_run_finish(&run);
}

/* A sweep's row is what the set file with that value gives, whoever computes it. */
static void sweep_is_alike_on_any_number_of_threads(void **state)
{
    (void)state;
    struct program_run one;
    struct program_run many;
    static const char range[] = "drive.statistical.busiest=0.5..4 /s";
    RUN(&one, "strikes", PROGRAM_SET, PROGRAM_WEATHER, "--vary", range, "--vary",
        "layout.ring.radius=60..90 mm", "--steps", "3", "--threads", "1");
    RUN(&many, "strikes", PROGRAM_SET, PROGRAM_WEATHER, "--vary", range, "--vary",
        "layout.ring.radius=60..90 mm", "--steps", "3", "--threads", "5");
    claim_exit(&one, 0);
    claim_exit(&many, 0);
    assert_string_equal(one.out, many.out);
    program_run_finish(&one);
    program_run_finish(&many);
}

/* More rate wanted, more rate found: the busiest setting that there is gives most. */
static void best_setting_keeps_the_wanted_rate(void **state)
{
    (void)state;
    static const char *const wanted[] = {"15 /min", "60 /min"};
    for (size_t i = 0; i < 2; i++) {
        struct program_run run;
        RUN(&run, "strikes", PROGRAM_SET, PROGRAM_WEATHER, "--vary",
            "drive.statistical.busiest=0.2..6 /s", "--steps", "20", "--rate-wanted", wanted[i],
            "--json");
        claim_exit(&run, 0);
        json_t *root = program_json(&run);
        const double rate = i == 0 ? 15.0 : 60.0;
        const double found = claim_number(json_object_get(root, "best"), "per_minute");
        assert_true(fabs(found - rate) <= claim_number(root, "tolerance") * rate);
        json_decref(root);
        program_run_finish(&run);
    }
}

static void mistakes_of_a_sweep_are_told(void **state)
{
    (void)state;
    static const struct {
        const char *range;
        const char *part;
    } wrong[] = {
        {"striker.diameter", "no key before a '='"},
        {"striker.diameter=30 mm", "no '..'"},
        {"striker.diameter=30 mm..80 mm", "no bare number"},
        {"striker.diameter=30..30 mm", "alike"},
        {"striker.diametre=30..80 mm", "unknown key 'diametre'"},
        {"striker.diameter=30..80", "has no unit"},
        {"striker.diameter=3..4 m", "out of range"},
    };
    for (size_t i = 0; i < sizeof wrong / sizeof wrong[0]; i++) {
        struct program_run run;
        RUN(&run, "strikes", PROGRAM_SET, PROGRAM_WEATHER, "--vary", wrong[i].range);
        claim_exit(&run, 2);
        claim_holds(run.err, wrong[i].part);
        claim_holds(run.err, "windpeal: --vary ");
        assert_null(strstr(run.err, PROGRAM_SET));
        assert_string_equal(run.out, "");
        program_run_finish(&run);
    }
    claim_fails(2, WORDS("strikes", PROGRAM_SET, PROGRAM_WEATHER, "--steps", "4"),
                WORDS("--steps needs --vary"));
    claim_fails(2,
                WORDS("strikes", PROGRAM_SET, PROGRAM_WEATHER, "--vary", "a=1..2", "--steps", "51"),
                WORDS("--steps 51 is out of range; expected 2 to 50"));
    claim_fails(2,
                WORDS("strikes", PROGRAM_SET, PROGRAM_WEATHER, "--vary", "a=1..2", "--rate-wanted",
                      "0 /min"),
                WORDS("out of range; expected 1e-6 to 100 /s"));
    claim_fails(2,
                WORDS("strikes", PROGRAM_SET, PROGRAM_WEATHER, "--vary", "a=1..2", "--vary",
                      "b=1..2", "--vary", "c=1..2"),
                WORDS("more than twice"));
}

/* Four tubes round a striker with a sail, 2 m above a garden. */
static const char sail_set[] =
    "tubes: {outer_diameter: 32 mm, wall: 1.6 mm, notes: [A3, C4, D4, E4]}\n"
    "drive: {sail: {area: 150 cm2, below: 300 mm, mass: 20 g}}\n"
    "site: {height: 2 m, roughness: garden}\n";

static double sail_strikes(const char *option, const char *value)
{
    struct program_run run;
    RUN(&run, "strikes", "sail.yaml", "--wind", "3 m/s", "--json", option, value);
    claim_exit(&run, 0);
    json_t *root = program_json(&run);
    const double n_strikes = claim_number(root, "strikes");
    json_decref(root);
    program_run_finish(&run);
    return n_strikes;
}

/* Near the ground there is less wind than at the station's 10 m (the logarithmic law). */
static void a_sail_feels_the_wind_where_it_hangs(void **state)
{
    (void)state;
    program_write_file("sail.yaml", sail_set);
    const double as_set = sail_strikes("--height", "2 m");
    assert_true(sail_strikes("--seed", "1") == as_set);
    assert_true(sail_strikes("--height", "1 m") < as_set);
    assert_true(sail_strikes("--height", "8 m") > as_set);
    assert_true(sail_strikes("--no-height-change", NULL) > as_set);
}

static void a_sail_within_the_roughness_is_refused(void **state)
{
    (void)state;
    program_write_file("sail.yaml", sail_set);
    claim_fails(2, WORDS("strikes", "sail.yaml", "--wind", "5 m/s", "--height", "0.2 m"),
                WORDS("within the roughness", "0.25 m", "--no-height-change"));
}

static void strikes_of_a_sail_play_back(void **state)
{
    (void)state;
    static const char *const commands[][13] = {
        {"render", "sail.yaml", "--wind", "7 m/s", "--duration", "20 s", "-o", "sail.wav",
         "--level", "calibrated", NULL},
        {"strikes", "sail.yaml", "--wind", "7 m/s", "--duration", "20 s", "-o", "sail.csv", NULL},
        {"render", "sail.yaml", "--strikes", "sail.csv", "--duration", "20 s", "-o", "list.wav",
         "--level", "calibrated", NULL},
    };
    struct sound wind;
    struct sound list;
    program_write_file("sail.yaml", sail_set);
    for (size_t i = 0; i < sizeof commands / sizeof commands[0]; i++) {
        struct program_run run;
        program_run(&run, commands[i]);
        claim_exit(&run, 0);
        program_run_finish(&run);
    }
    sound_load(&wind, "sail.wav");
    sound_load(&list, "list.wav");
    assert_true(sound_peak(&wind, 0.0, 18.0) > 0.0);
    assert_true(sound_is_same(&wind, &list));
    sound_finish(&wind);
    sound_finish(&list);
}

/* Common practice, no source: in a gale the striker hangs on the leeward tubes or far outside. */
static void in_a_gale_a_sail_strikes_rarer_and_leans(void **state)
{
    (void)state;
    static const char *const winds[] = {"8 m/s", "18 m/s"};
    double n_strikes[2];
    program_write_file("rods.yaml", "tubes: {material: steel, outer_diameter: 14 mm, wall: solid,\n"
                                    "        notes: [A4, B4, D5, E5, F#5]}\n"
                                    "layout: {ring: {radius: 46 mm}, align: middles}\n"
                                    "striker: {material: brass, diameter: 30 mm, mass: 120 g,\n"
                                    "          suspension: 220 mm, strike_height: 12 mm}\n"
                                    "drive: {sail: {area: 32 cm2, below: 300 mm, mass: 20 g}}\n"
                                    "site: {height: 2 m, roughness: sea}\n");
    for (size_t i = 0; i < 2; i++) {
        struct program_run run;
        RUN(&run, "strikes", "rods.yaml", "--wind", winds[i], "-o", "gale.csv", "--overwrite",
            "--json");
        claim_exit(&run, 0);
        json_t *root = program_json(&run);
        char *text = program_read_file("gale.csv", NULL);
        size_t n_rests = 0;
        size_t n_leaves = 0;
        for (const char *line = text; (line = strchr(line, '\n')) != NULL && line[1]; line++) {
            const char *speed = strchr(strchr(line, ',') + 1, ',') + 1;
            n_rests += strncmp(speed, "0.000000,", 9) == 0;
            n_leaves += *speed == '-';
        }
        n_strikes[i] = claim_number(root, "strikes");
        assert_true(n_rests > 0 && claim_number(root, "rests") == (double)n_rests);
        assert_true(n_leaves <= n_rests && n_leaves + 3 > n_rests); /* it may end leaning */
        assert_true((double)program_count_lines(text) ==
                    1.0 + n_strikes[i] + (double)(n_rests + n_leaves));
        assert_true(claim_number(root, "rest_s") > 0.0);
        free(text);
        json_decref(root);
        program_run_finish(&run);
    }
    assert_true(n_strikes[1] < 0.5 * n_strikes[0]);
}

static void leave_without_a_rest_is_one_clear_line(void **state)
{
    (void)state;
    struct program_run run;
    program_write_file("left.csv", "t_s,tube,speed_m_s\n1,1,0.3\n2,1,-0.1\n");
    RUN(&run, "render", PROGRAM_SET, "--strikes", "left.csv", "-o", "left.wav");
    claim_exit(&run, 2);
    assert_int_equal(program_count_lines(run.err), 1);
    claim_holds(run.err, "left.csv:3:1: tube 1 is left at 2.000000 s");
    program_run_finish(&run);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(list_agrees_with_the_report),
        cmocka_unit_test(same_seed_same_list),
        cmocka_unit_test(more_wind_more_strikes),
        cmocka_unit_test(a_sail_feels_the_wind_where_it_hangs),
        cmocka_unit_test(a_sail_within_the_roughness_is_refused),
        cmocka_unit_test(strikes_of_a_sail_play_back),
        cmocka_unit_test(in_a_gale_a_sail_strikes_rarer_and_leans),
        cmocka_unit_test(leave_without_a_rest_is_one_clear_line),
        cmocka_unit_test(report_uses_words),
        cmocka_unit_test(weather_past_its_end_is_told),
        cmocka_unit_test(course_agrees_with_the_counts),
        cmocka_unit_test(report_fits_a_narrow_terminal_in_ascii),
        cmocka_unit_test(sweep_shows_what_cannot_hang_and_goes_on),
        cmocka_unit_test(sweep_is_alike_on_any_number_of_threads),
        cmocka_unit_test(best_setting_keeps_the_wanted_rate),
        cmocka_unit_test(mistakes_of_a_sweep_are_told),
    };
    return cmocka_run_group_tests(tests, program_enter_folder, program_leave_folder);
}
