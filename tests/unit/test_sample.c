/* SPDX-License-Identifier: MIT */
/* Sampled sets keep their tolerances and their seed. */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#include "../near.h"
#include "chime_fixture.h"
#include "windpeal/tolerance.h"

enum { N_TUBES = 4, N_SAMPLES = 500, SEED = 7 };

static struct wp_set nominal;
static struct wp_chime *chime;

/* Two brass tubes, an aluminium one, and a rod of brass. */
static int set_up(void **state)
{
    (void)state;
    static const double notes[N_TUBES] = {392.0, 440.0, 523.25, 587.33};
    struct wp_chime_config config;
    const struct wp_set tubes = plain_set(notes, N_TUBES);
    wp_set_default(&nominal);
    nominal.n_tubes = N_TUBES;
    for (size_t i = 0; i < N_TUBES; i++) {
        struct wp_set_tube *tube = &nominal.tubes[i];
        *tube = tubes.tubes[i];
        if (i != 2) {
            (void)snprintf(tube->material.name, sizeof tube->material.name, "brass");
        }
    }
    nominal.tubes[3].is_solid = true;
    nominal.tubes[3].outer_diameter_m = 0.012;
    nominal.tubes[3].wall_m = 0.006;
    wp_chime_config_default(&config);
    config.rule_m = 0.0005;
    return wp_chime_create(&chime, &nominal, &config, NULL) ? -1 : 0;
}

static int tear_down(void **state)
{
    (void)state;
    wp_chime_destroy(chime);
    return 0;
}

/* The set as a file, which is all that render sees of it. */
static char *drawn_file(uint64_t seed, uint64_t index)
{
    char *text = NULL;
    size_t size = 0;
    struct wp_set sample;
    FILE *file = open_memstream(&text, &size);
    assert_non_null(file);
    wp_sample_draw(&sample, &nominal, chime, seed, index);
    assert_true(wp_set_print(file, &sample) >= 0);
    assert_int_equal(fclose(file), 0);
    return text;
}

static void same_seed_draws_the_same_set_and_another_another(void **state)
{
    (void)state;
    char *text = drawn_file(SEED, 3);
    char *same = drawn_file(SEED, 3);
    char *next = drawn_file(SEED, 4);
    char *other = drawn_file(SEED + 1, 3);
    assert_string_equal(text, same);
    assert_string_not_equal(text, next);
    assert_string_not_equal(text, other);
    free(text);
    free(same);
    free(next);
    free(other);
}

static void drawn_set_is_a_set_file(void **state)
{
    (void)state;
    char *text = drawn_file(SEED, 0);
    struct wp_set read;
    struct wp_diags diags;
    wp_diags_init(&diags);
    assert_int_equal(wp_set_parse(&read, "a.yaml", text, strlen(text), &diags), WP_OK);
    assert_int_equal(read.n_tubes, N_TUBES);
    assert_int_equal(diags.n_items, 0);
    free(text);
}

static void lengths_are_those_of_the_sheet(void **state)
{
    (void)state;
    struct wp_set sample;
    wp_sample_draw(&sample, &nominal, chime, SEED, 1);
    for (size_t i = 0; i < N_TUBES; i++) {
        assert_true(sample.tubes[i].length_m == chime->tubes[i].spec.length_m);
        assert_true(isnan(sample.tubes[i].note_hz) && sample.tubes[i].note[0] == '\0');
        assert_near(remainder(sample.tubes[i].length_m, 0.0005), 0.0, 1e-9);
    }
}

static void assert_within(const struct wp_set_tube *drawn, const struct wp_set_tube *given,
                          const struct wp_tolerance *t)
{
    const struct wp_stock *stock = &t->stocks[0].stock;
    const double least = (1.0 - t->stiffness_01) * (1.0 - 0.2 * t->stiffness_01);
    const double most = (1.0 + t->stiffness_01) * (1.0 + 0.2 * t->stiffness_01);
    assert_near(drawn->outer_diameter_m, given->outer_diameter_m, stock->diameter_m + 1e-6);
    assert_true(drawn->ovality_01 >= 0.0 && drawn->ovality_01 <= stock->ovality_01 + 1e-4);
    assert_true(drawn->bore_offset_01 >= 0.0 &&
                drawn->bore_offset_01 <= stock->bore_offset_01 + 1e-4);
    assert_true(drawn->stiffness_ratio >= least - 1e-4 && drawn->stiffness_ratio <= most + 1e-4);
    if (given->is_solid) {
        assert_true(drawn->wall_m == 0.5 * drawn->outer_diameter_m);
    } else {
        assert_near(drawn->wall_m, given->wall_m, stock->wall_m + 1e-6);
    }
}

static void every_tube_keeps_its_tolerances(void **state)
{
    (void)state;
    for (uint64_t index = 0; index < N_SAMPLES; index++) {
        struct wp_set sample;
        wp_sample_draw(&sample, &nominal, chime, SEED, index);
        for (size_t i = 0; i < N_TUBES; i++) {
            struct wp_tolerance tolerance;
            wp_tolerance_solve(&tolerance, &nominal, chime, i);
            assert_within(&sample.tubes[i], &nominal.tubes[i], &tolerance);
        }
    }
}

/* Mean and standard deviation of what a number of a tube is off by, over its limit. */
struct moments {
    double mean;
    double deviation;
};

static struct moments moments_of(size_t tube, size_t offset, double middle, double limit)
{
    struct moments m = {0.0, 0.0};
    for (uint64_t index = 0; index < N_SAMPLES; index++) {
        struct wp_set sample;
        double value;
        wp_sample_draw(&sample, &nominal, chime, SEED, index);
        memcpy(&value, (const char *)&sample.tubes[tube] + offset, sizeof value);
        const double off = (value - middle) / limit;
        m.mean += off / N_SAMPLES;
        m.deviation += off * off / N_SAMPLES;
    }
    m.deviation = sqrt(m.deviation);
    return m;
}

/*
 * A normal distribution cut off at two standard deviations has a standard deviation of 0.87963 of
 * the uncut one (N. L. Johnson, S. Kotz, Continuous Univariate Distributions 1, 1970, chapter 13:
 * 1 - 2 z phi(z)/(2 Phi(z) - 1) = 0.77374 at z = 2), 0.4398 of the limit. 500 draws tell the mean
 * to 0.02 and the deviation to 3 %; four of these are allowed.
 */
static void sizes_spread_as_a_cut_normal_distribution(void **state)
{
    (void)state;
    struct wp_tolerance t;
    wp_tolerance_solve(&t, &nominal, chime, 0);
    const struct moments wall =
        moments_of(0, offsetof(struct wp_set_tube, wall_m), 0.0016, t.stocks[0].stock.wall_m);
    const struct moments diameter = moments_of(0, offsetof(struct wp_set_tube, outer_diameter_m),
                                               0.032, t.stocks[0].stock.diameter_m);
    assert_near(wall.mean, 0.0, 0.08);
    assert_near(diameter.mean, 0.0, 0.08);
    assert_near(wall.deviation, 0.4398, 0.055);
    assert_near(diameter.deviation, 0.4398, 0.055);
}

/* Tubes of one material come from one batch: what they differ by among each other is a fifth of
 * what batches differ by. Aluminium comes from a batch of its own. */
static void tubes_of_a_material_share_their_batch(void **state)
{
    (void)state;
    double together = 0.0, apart = 0.0, other = 0.0, brass = 0.0, aluminium = 0.0;
    for (uint64_t index = 0; index < N_SAMPLES; index++) {
        struct wp_set sample;
        wp_sample_draw(&sample, &nominal, chime, SEED, index);
        const double a = sample.tubes[0].stiffness_ratio - 1.0;
        const double b = sample.tubes[1].stiffness_ratio - 1.0;
        const double c = sample.tubes[2].stiffness_ratio - 1.0;
        together += a * b;
        apart += (a - b) * (a - b);
        other += a * c;
        brass += a * a;
        aluminium += c * c;
    }
    /* Shares of variance: 1/(1 + 0.04) common; the difference of two, 2 * 0.04/(1 + 0.04). */
    assert_near(together / brass, 1.0 / 1.04, 0.05);
    assert_near(apart / brass, 0.08 / 1.04, 0.02);
    assert_near(other / sqrt(brass * aluminium), 0.0, 0.18);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(same_seed_draws_the_same_set_and_another_another),
        cmocka_unit_test(drawn_set_is_a_set_file),
        cmocka_unit_test(lengths_are_those_of_the_sheet),
        cmocka_unit_test(every_tube_keeps_its_tolerances),
        cmocka_unit_test(sizes_spread_as_a_cut_normal_distribution),
        cmocka_unit_test(tubes_of_a_material_share_their_batch),
    };
    return cmocka_run_group_tests(tests, set_up, tear_down);
}
