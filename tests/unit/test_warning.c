/* SPDX-License-Identifier: MIT */
/* What a maker should know. */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>

#include "chime_fixture.h"

/* Solves a set and returns the text of a warning, or NULL; the chime is left in *chime. */
static const char *find_warning(struct wp_chime **chime, const struct wp_set *set, double rule_m,
                                const char *code, size_t tube)
{
    struct wp_chime_config config;
    wp_chime_config_default(&config);
    config.rule_m = rule_m;
    assert_int_equal(wp_chime_create(chime, set, &config, NULL), WP_OK);
    for (size_t i = 0; i < (*chime)->n_warnings; i++) {
        const struct wp_chime_warning *warning = &(*chime)->warnings[i];
        if (strcmp(warning->code, code) == 0 && warning->tube == tube) {
            assert_true(strlen(warning->text) + 1 < sizeof warning->text); /* not cut short */
            return warning->text;
        }
    }
    return NULL;
}

static void assert_warns(const struct wp_set *set, double rule_m, const char *code, size_t tube,
                         bool expected)
{
    struct wp_chime *chime;
    const char *text = find_warning(&chime, set, rule_m, code, tube);
    if (expected != (text != NULL)) {
        fail_msg("warning '%s' of tube %zu: expected %d", code, tube, expected);
    }
    wp_chime_destroy(chime);
}

static void ordinary_set_needs_no_warning(void **state)
{
    (void)state;
    static const double notes[2] = {440.0, 523.25};
    const struct wp_set set = plain_set(notes, 2);
    struct wp_chime *chime;
    assert_null(find_warning(&chime, &set, 0.0, "", 0));
    assert_int_equal(chime->n_warnings, 0);
    wp_chime_destroy(chime);
}

static void each_flaw_of_the_plan_has_its_code(void **state)
{
    (void)state;
    static const double notes[2] = {440.0, 523.25};
    struct wp_set set = plain_set(notes, 2);
    set.tubes[1].note_hz = 3000.0;
    assert_warns(&set, 0.0, "stubby", 1, true);
    assert_warns(&set, 0.0, "stubby", 0, false);

    set = plain_set(notes, 2);
    set.tubes[1].outer_diameter_m = 0.060;
    set.tubes[1].wall_m = 0.001;
    assert_warns(&set, 0.0, "thin-wall", 1, true);
    assert_warns(&set, 0.0, "ovalling", 1, true);
    assert_warns(&set, 0.0, "ovalling", 0, false);

    set = plain_set(notes, 2);
    set.tubes[0].end_mass_kg = 0.005;
    assert_warns(&set, 0.0, "end-mass", 0, true);
    assert_warns(&set, 0.0, "end-mass", 1, false);

    set = plain_set(notes, 2);
    set.tubes[0].bore_offset_01 = set.tubes[1].bore_offset_01 = 0.05;
    set.tubes[1].is_solid = true;
    assert_warns(&set, 0.0, "no-bore", 1, true);
    assert_warns(&set, 0.0, "no-bore", 0, false);

    set = plain_set(notes, 2);
    set.hole_m = 0.003;
    assert_warns(&set, 0.0, "hole", SIZE_MAX, true);

    set = plain_set(notes, 2);
    set.tubes[0].note_hz = NAN;
    set.tubes[0].length_m = 0.6602;
    assert_warns(&set, 0.0005, "off-rule", 0, true);
    assert_warns(&set, 0.0001, "off-rule", 0, false);
    assert_warns(&set, 0.0, "off-rule", 0, false);
}

static void cord_far_from_the_node_is_told_with_the_node(void **state)
{
    (void)state;
    static const double notes[1] = {440.0};
    struct wp_set set = plain_set(notes, 1);
    set.is_supported_at_node = false;
    set.support_m = 0.01;
    set.cord_kg_m = 0.01;
    struct wp_chime *chime;
    const char *text = find_warning(&chime, &set, 0.0, "support", 0);
    assert_non_null(text);
    set.is_supported_at_node = true;
    struct wp_chime *better;
    assert_int_equal(solve_plainly(&better, &set, NULL), WP_OK);
    char node[48];
    (void)snprintf(node, sizeof node, "%.1f mm from the end, for",
                   1e3 * better->tubes[0].support_m[0]);
    assert_non_null(strstr(text, node));
    wp_chime_destroy(better);
    set.is_supported_at_node = false;
    wp_chime_destroy(chime);
    set.support_m = 0.2243 * 0.658;
    assert_warns(&set, 0.0, "support", 0, false);
}

static void long_and_short_tubes_in_one_set_are_told(void **state)
{
    (void)state;
    static const double notes[2] = {100.0, 440.0};
    struct wp_set set = plain_set(notes, 2);
    assert_warns(&set, 0.0, "pitch-mixed", SIZE_MAX, true);
    set.n_tubes = 1;
    assert_warns(&set, 0.0, "pitch-mixed", SIZE_MAX, false);
}

static void material_without_temperature_law_is_told_away_from_20_c(void **state)
{
    (void)state;
    static const double notes[1] = {440.0};
    struct wp_set set = plain_set(notes, 1);
    set.tubes[0].material.is_custom = true;
    set.tubes[0].material.values =
        (struct wp_material){70e9, 2500.0, NAN, NAN, NAN, NAN, NAN, NAN, NAN};
    assert_warns(&set, 0.0, "temperature", 0, false);
    set.temperature_c = 5.0;
    assert_warns(&set, 0.0, "temperature", 0, true);
    set.tubes[0].material.values.stiffness_per_k = -4e-4;
    assert_warns(&set, 0.0, "temperature", 0, false);
}

static void tube_with_more_partials_than_can_be_held_is_told(void **state)
{
    (void)state;
    static const double notes[1] = {440.0};
    struct wp_set set = plain_set(notes, 1);
    set.tubes[0].note_hz = NAN;
    set.tubes[0].length_m = 11.0;
    set.tubes[0].outer_diameter_m = 0.02;
    assert_warns(&set, 0.0, "partials", 0, true);
    set.tubes[0].length_m = 1.0;
    assert_warns(&set, 0.0, "partials", 0, false);
}

static void lengths_are_told_in_the_wanted_unit(void **state)
{
    (void)state;
    static const double notes[1] = {440.0};
    struct wp_set set = plain_set(notes, 1);
    struct wp_chime_config config;
    struct wp_chime *chime;
    wp_chime_config_default(&config);
    config.rule_m = 0.0254 / 32.0;
    config.is_in_inches = true;
    set.is_supported_at_node = false;
    set.support_m = 0.0254 / 2.0;
    set.cord_kg_m = 0.01;
    set.hole_m = 0.0254 / 8.0;
    set.tubes[0].note_hz = NAN;
    set.tubes[0].length_m = 0.0254 * 26.02;
    assert_int_equal(wp_chime_create(&chime, &set, &config, NULL), WP_OK);
    assert_int_equal(chime->n_warnings, 3);
    assert_non_null(strstr(chime->warnings[0].text, "a hole of 1/8 in through"));
    assert_non_null(strstr(chime->warnings[1].text, "held 1/2 in from the end"));
    assert_non_null(strstr(chime->warnings[2].text, "length of 26.020 in is not"));
    assert_non_null(strstr(chime->warnings[2].text, "nearest is 26.031 in")); /* 26 1/32 */
    wp_chime_destroy(chime);
}

/* Five flaws a tube in sixteen tubes: more than there is room for. */
static void warnings_without_room_are_counted(void **state)
{
    (void)state;
    double notes[16];
    struct wp_chime_config config;
    struct wp_chime *chime;
    for (size_t i = 0; i < 16; i++) {
        notes[i] = 440.0;
    }
    struct wp_set set = plain_set(notes, 16);
    for (size_t i = 0; i < 16; i++) {
        struct wp_set_tube *tube = &set.tubes[i];
        tube->note_hz = NAN;
        tube->length_m = 0.4501;
        tube->outer_diameter_m = 0.06; /* stubby */
        tube->wall_m = 0.001;          /* thin-wall, ovalling */
        tube->end_mass_kg = 0.005;     /* end-mass */
    }
    wp_chime_config_default(&config);
    config.rule_m = 0.0005; /* off-rule */
    assert_int_equal(wp_chime_create(&chime, &set, &config, NULL), WP_OK);
    assert_int_equal(chime->n_warnings, WP_CHIME_WARNINGS_MAX);
    assert_int_equal(chime->n_warnings_left_out, 5 * 16 - WP_CHIME_WARNINGS_MAX);
    wp_chime_destroy(chime);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(ordinary_set_needs_no_warning),
        cmocka_unit_test(each_flaw_of_the_plan_has_its_code),
        cmocka_unit_test(cord_far_from_the_node_is_told_with_the_node),
        cmocka_unit_test(long_and_short_tubes_in_one_set_are_told),
        cmocka_unit_test(material_without_temperature_law_is_told_away_from_20_c),
        cmocka_unit_test(tube_with_more_partials_than_can_be_held_is_told),
        cmocka_unit_test(lengths_are_told_in_the_wanted_unit),
        cmocka_unit_test(warnings_without_room_are_counted),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
