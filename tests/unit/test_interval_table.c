/* SPDX-License-Identifier: MIT */
/* Intervals of a set and smoother ones near them. */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>

#include <cmocka.h>

#include "../near.h"
#include "chime_fixture.h"
#include "windpeal/hearing.h"

static struct wp_chime *solve(const struct wp_set *set)
{
    struct wp_chime_config config;
    struct wp_diags diags;
    struct wp_chime *chime;
    wp_chime_config_default(&config);
    wp_diags_init(&diags);
    assert_int_equal(wp_chime_create(&chime, set, &config, &diags), WP_OK);
    return chime;
}

static struct wp_chime *chime_of(const double *notes_hz, size_t n_tubes)
{
    const struct wp_set set = plain_set(notes_hz, n_tubes);
    return solve(&set);
}

/* Every partial as loud as the first, all ringing on. */
static void voice_of(const struct wp_tube *tube, size_t n_tones, struct wp_voice *voice)
{
    voice->n_tones = n_tones;
    for (size_t i = 0; i < n_tones; i++) {
        voice->tones[i] = (struct wp_tone){tube->partials[i].freq_hz, 1.0, INFINITY};
    }
}

static void neighbours_are_those_in_pitch(void **state)
{
    (void)state;
    const double notes_hz[] = {660.0, 440.0, 550.0};
    struct wp_chime *chime = chime_of(notes_hz, 3);
    struct wp_voice voices[3];
    struct wp_interval_table table;
    for (size_t i = 0; i < 3; i++) {
        voice_of(&chime->tubes[i], 6, &voices[i]);
    }
    wp_interval_table_init(&table, chime, WP_TUNED_FIRST_PARTIAL, voices);
    assert_int_equal(table.n_intervals, 2);
    assert_int_equal(table.intervals[0].lower, 1);
    assert_int_equal(table.intervals[0].upper, 2);
    assert_int_equal(table.intervals[1].upper, 0);
    /* 5:4 and 6:5, just third and minor third. */
    assert_near(table.intervals[0].cents, 386.314, 0.01);
    assert_near(table.intervals[1].cents, 315.641, 0.01);
    wp_chime_destroy(chime);
}

/* Two single sines 20 cents apart: the only smoother place is the unison. */
static void unison_is_the_smooth_place_of_two_sines(void **state)
{
    (void)state;
    const double notes_hz[] = {440.0, 440.0 * exp2(20.0 / 1200.0)};
    struct wp_chime *chime = chime_of(notes_hz, 2);
    struct wp_voice voices[2];
    struct wp_interval_table table;
    for (size_t i = 0; i < 2; i++) {
        voice_of(&chime->tubes[i], 1, &voices[i]);
    }
    wp_interval_table_init(&table, chime, WP_TUNED_FIRST_PARTIAL, voices);
    const struct wp_interval *interval = &table.intervals[0];
    assert_int_equal(interval->n_smoother, 1);
    assert_near(interval->smoother[0].cents, 0.0, 0.02);
    assert_near(interval->smoother[0].move_cents, -20.0, 0.02);
    assert_near(interval->smoother[0].roughness, 0.0, 1e-6);
    assert_near(interval->smoother[0].length_m, chime->tubes[0].spec.length_m, 1e-6);
    assert_true(interval->roughness > 0.01);
    wp_chime_destroy(chime);
}

/* What is promised for a pair holds when its upper tube is really cut so; the count of promises. */
static size_t check_promises(const struct wp_chime *chime)
{
    struct wp_voice voices[2];
    struct wp_interval_table table;
    voice_of(&chime->tubes[0], 5, &voices[0]);
    voice_of(&chime->tubes[1], 5, &voices[1]);
    wp_interval_table_init(&table, chime, WP_TUNED_FIRST_PARTIAL, voices);
    const struct wp_interval *interval = &table.intervals[0];
    for (size_t i = 0; i < interval->n_smoother; i++) {
        const struct wp_smoother *smoother = &interval->smoother[i];
        struct wp_tube_spec spec = chime->tubes[1].spec;
        struct wp_tube moved;
        struct wp_tone tones[10];
        spec.length_m = smoother->length_m;
        assert_int_equal(wp_tube_solve(&moved, &spec, 0.0), WP_OK);
        for (size_t n = 0; n < 5; n++) {
            tones[n] = voices[0].tones[n];
            tones[5 + n] = (struct wp_tone){moved.partials[n].freq_hz, 1.0, INFINITY};
        }
        assert_near(smoother->cents, interval->cents + smoother->move_cents, 1e-2);
        assert_near(wp_roughness(tones, 10), smoother->roughness, 0.002);
        assert_true(smoother->roughness < interval->roughness);
        assert_true(i == 0 || smoother->roughness >= interval->smoother[i - 1].roughness);
    }
    return interval->n_smoother;
}

static void retuned_tube_is_as_smooth_as_promised(void **state)
{
    (void)state;
    size_t n_found = 0;
    for (double cents = 150.0; cents < 1250.0; cents += 100.0) {
        const double notes_hz[] = {330.0, 330.0 * exp2(cents / 1200.0)};
        struct wp_chime *chime = chime_of(notes_hz, 2);
        n_found += check_promises(chime);
        wp_chime_destroy(chime);
    }
    assert_true(n_found >= 5);
}

/* A wide and thin wall rings in more ovalling partials than a tube's bending ones are kept. */
static void retuned_tube_with_a_ringing_wall_keeps_the_promise(void **state)
{
    (void)state;
    size_t n_found = 0;
    for (double cents = 150.0; cents < 1250.0; cents += 100.0) {
        const double notes_hz[] = {220.0, 220.0 * exp2(cents / 1200.0)};
        struct wp_set set = plain_set(notes_hz, 2);
        for (size_t i = 0; i < 2; i++) {
            set.tubes[i].outer_diameter_m = 0.060;
            set.tubes[i].wall_m = 0.0015;
        }
        struct wp_chime *chime = solve(&set);
        assert_true(chime->tubes[1].n_partials > WP_BENDING_MAX);
        n_found += check_promises(chime);
        wp_chime_destroy(chime);
    }
    assert_true(n_found >= 5);
}

/* What decays no longer counts: the upper partials that clash here are gone after half a second. */
static void roughness_dies_with_the_partials_that_make_it(void **state)
{
    (void)state;
    const double notes_hz[] = {440.0, 700.0};
    struct wp_chime *chime = chime_of(notes_hz, 2);
    struct wp_voice voices[2] = {
        {2, {{440.0, 1.0, INFINITY}, {1500.0, 1.0, 0.1}}},
        {2, {{700.0, 1.0, INFINITY}, {1550.0, 1.0, 0.1}}},
    };
    struct wp_interval_table table;
    wp_interval_table_init(&table, chime, WP_TUNED_FIRST_PARTIAL, voices);
    assert_true(table.roughness > 0.1);
    assert_true(table.later < 1e-6);
    assert_near(table.intervals[0].roughness, table.roughness, 1e-12);
    wp_chime_destroy(chime);
}

static void one_tube_has_no_interval(void **state)
{
    (void)state;
    const double notes_hz[] = {440.0};
    struct wp_chime *chime = chime_of(notes_hz, 1);
    struct wp_voice voice;
    struct wp_interval_table table;
    voice_of(&chime->tubes[0], 6, &voice);
    wp_interval_table_init(&table, chime, WP_TUNED_FIRST_PARTIAL, &voice);
    assert_int_equal(table.n_intervals, 0);
    assert_true(isfinite(table.roughness) && table.roughness < 0.01);
    wp_chime_destroy(chime);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(neighbours_are_those_in_pitch),
        cmocka_unit_test(unison_is_the_smooth_place_of_two_sines),
        cmocka_unit_test(retuned_tube_is_as_smooth_as_promised),
        cmocka_unit_test(retuned_tube_with_a_ringing_wall_keeps_the_promise),
        cmocka_unit_test(roughness_dies_with_the_partials_that_make_it),
        cmocka_unit_test(one_tube_has_no_interval),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
