/* SPDX-License-Identifier: MIT */
/* Claims about where tubes hang and what cannot hang. */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "../near.h"
#include "striker_fixture.h"

static enum wp_status lay_out(struct fixture *f)
{
    return wp_layout_init(&f->layout, &f->set, &f->chime, &f->diags);
}

/* Compass: a square ring clockwise from north is north, east, south, west. */
static void ring_runs_clockwise_from_north(void **state)
{
    (void)state;
    static const double x[] = {0.0, 0.075, 0.0, -0.075};
    static const double y[] = {0.075, 0.0, -0.075, 0.0};
    struct fixture f;
    fixture_set(&f);
    f.set.n_tubes = f.chime.n_tubes = 4;
    assert_int_equal(lay_out(&f), WP_OK);
    for (size_t i = 0; i < 4; i++) {
        assert_near(f.layout.x_m[i], x[i], 1e-12);
        assert_near(f.layout.y_m[i], y[i], 1e-12);
        assert_near(f.layout.bearing_deg[i], 90.0 * (double)i, 1e-12);
    }
}

static void ring_gives_every_tube_its_gap(void **state)
{
    (void)state;
    struct fixture f;
    fixture_set(&f);
    f.chime.tubes[2].spec.outer_diameter_m = 0.02;
    assert_int_equal(lay_out(&f), WP_OK);
    assert_near(f.layout.clearance_m[0], 0.075 - 0.0127 - 0.035, 1e-12);
    assert_near(f.layout.clearance_m[2], 0.075 - 0.01 - 0.035, 1e-12);
}

static void positions_have_compass_bearings(void **state)
{
    (void)state;
    static const double x[] = {0.06, -0.06, -0.08, 0.08};
    static const double y[] = {0.06, 0.06, -0.0001, -0.08};
    static const double bearing[] = {45.0, 315.0, 269.928380, 135.0};
    struct fixture f;
    fixture_set(&f);
    f.set.n_tubes = f.chime.n_tubes = 4;
    f.set.layout.kind = WP_LAYOUT_POSITIONS;
    for (size_t i = 0; i < 4; i++) {
        f.set.layout.places[i] = (struct wp_place){x[i], y[i]};
    }
    assert_int_equal(lay_out(&f), WP_OK);
    for (size_t i = 0; i < 4; i++) {
        assert_near(f.layout.bearing_deg[i], bearing[i], 1e-5);
    }
}

/* Lengths 0.7 to 0.5 m: the shorter by s hangs s/2 lower, level or higher. */
static void alignment_lines_up_ends_or_middles(void **state)
{
    (void)state;
    static const enum wp_align align[] = {WP_ALIGN_BOTTOMS, WP_ALIGN_MIDDLES, WP_ALIGN_TOPS};
    static const double middle[] = {-0.1, 0.0, 0.1};
    static const double highest_bottom[] = {-0.35, -0.25, -0.15};
    for (size_t k = 0; k < 3; k++) {
        struct fixture f;
        fixture_set(&f);
        f.set.layout.align = align[k];
        assert_int_equal(lay_out(&f), WP_OK);
        assert_near(f.layout.middle_m[0], 0.0, 1e-12);
        assert_near(f.layout.middle_m[5], middle[k], 1e-12);
        /* One striker, one height: 30 mm above the highest bottom for every tube. */
        for (size_t i = 0; i < 6; i++) {
            const double bottom = f.layout.middle_m[i] - 0.5 * f.chime.tubes[i].spec.length_m;
            assert_near(bottom + f.layout.strike_height_m[i], highest_bottom[k] + 0.03, 1e-12);
        }
    }
}

static void expect_refusal(struct fixture *f, enum wp_status status, const char *part)
{
    struct wp_layout before;
    memset(&before, 0x5a, sizeof before);
    f->layout = before;
    assert_int_equal(lay_out(f), status);
    assert_memory_equal(&f->layout, &before, sizeof before);
    assert_true(f->diags.n_items > 0);
    const struct wp_diag *diag = &f->diags.items[0];
    assert_int_equal(diag->status, status);
    assert_string_equal(diag->file, "six.yaml");
    assert_int_equal(diag->mark.line, 12);
    assert_int_equal(diag->mark.column, 3);
    assert_non_null(strstr(diag->message, part));
    assert_true(diag->hint[0] != '\0');
}

static void overlapping_neighbours_in_a_ring_are_refused_once(void **state)
{
    (void)state;
    struct fixture f;
    fixture_set(&f);
    f.set.striker.diameter_m = 0.01;
    f.set.layout.ring_radius_m = 0.025; /* neighbours 25.0 mm apart, 25.4 mm thick */
    expect_refusal(&f, WP_E_CONFLICT, "tubes 1 and 2 overlap: their axes are 25.0 mm apart");
    assert_int_equal(f.diags.n_errors, 1);
}

static void every_overlap_of_positions_is_named(void **state)
{
    (void)state;
    static const double x[] = {0.08, 0.09, -0.08, -0.09};
    struct fixture f;
    fixture_set(&f);
    f.set.n_tubes = f.chime.n_tubes = 4;
    f.set.layout.kind = WP_LAYOUT_POSITIONS;
    for (size_t i = 0; i < 4; i++) {
        f.set.layout.places[i] = (struct wp_place){x[i], 0.0};
    }
    expect_refusal(&f, WP_E_CONFLICT, "tubes 1 and 2");
    assert_int_equal(f.diags.n_errors, 2);
    assert_non_null(strstr(f.diags.items[1].message, "tubes 3 and 4"));
}

static void striker_touching_at_rest_is_refused(void **state)
{
    (void)state;
    struct fixture f;
    fixture_set(&f);
    f.chime.tubes[3].spec.outer_diameter_m = 0.0802;
    f.set.n_tubes = f.chime.n_tubes = 4;
    expect_refusal(&f, WP_E_CONFLICT,
                   "touches tube 4: the tube's axis is 75.0 mm away; expected "
                   "more than 75.1 mm");
    f.chime.tubes[3].spec.outer_diameter_m = 0.0798;
    wp_diags_init(&f.diags);
    assert_int_equal(lay_out(&f), WP_OK);
}

static void tube_at_the_strikers_place_is_refused(void **state)
{
    (void)state;
    struct fixture f;
    fixture_set(&f);
    f.set.n_tubes = f.chime.n_tubes = 1;
    f.set.layout.kind = WP_LAYOUT_POSITIONS;
    expect_refusal(&f, WP_E_CONFLICT, "touches tube 1");
}

static void striker_above_a_short_tube_is_refused_with_both_numbers(void **state)
{
    (void)state;
    struct fixture f;
    fixture_set(&f);
    f.set.striker.strike_height_m = 0.51;
    expect_refusal(&f, WP_E_RANGE,
                   "above tube 6: it strikes 510.0 mm above the tube's bottom end; "
                   "expected at most its length of 500.0 mm");
    assert_int_equal(f.diags.n_errors, 1);
}

static void striker_below_the_bottom_ends_is_refused(void **state)
{
    (void)state;
    struct fixture f;
    fixture_set(&f);
    f.set.striker.strike_height_m = -0.02;
    expect_refusal(&f, WP_E_RANGE, "below tube 1: it strikes 20.0 mm below");
}

static void tube_farther_than_the_suspension_is_warned_of(void **state)
{
    (void)state;
    struct fixture f;
    fixture_set(&f);
    f.chime.tubes[1].spec.outer_diameter_m = 0.031; /* gap 24.5 mm: within reach */
    f.set.striker.suspension_m = 0.025;
    assert_int_equal(lay_out(&f), WP_OK);
    assert_int_equal(f.diags.n_items, 1);
    assert_int_equal(f.diags.n_errors, 0);
    assert_non_null(strstr(f.diags.items[0].message,
                           "can never reach tubes 1, 3, 4, 5 and 6 at rest: the smallest of their "
                           "gaps is 27.3 mm, its suspension 25.0 mm"));
}

/* Four tubes clockwise from the north-west, as a ring counts; a fifth widens the northern row. */
static void rows_face_each_other_across_the_striker(void **state)
{
    (void)state;
    static const double x[] = {-0.03, 0.03, 0.03, -0.03};
    static const double y[] = {0.08, 0.08, -0.08, -0.08};
    struct fixture f;
    fixture_set(&f);
    f.set.n_tubes = f.chime.n_tubes = 4;
    f.set.layout.kind = WP_LAYOUT_ROWS;
    f.set.layout.rows_gap_m = 0.16;
    f.set.layout.rows_spacing_m = 0.06;
    assert_int_equal(lay_out(&f), WP_OK);
    for (size_t i = 0; i < 4; i++) {
        assert_near(f.layout.x_m[i], x[i], 1e-12);
        assert_near(f.layout.y_m[i], y[i], 1e-12);
        /* sqrt(30^2 + 80^2) = 85.44 mm between the axes. */
        assert_near(f.layout.clearance_m[i], 0.0854400375 - 0.0127 - 0.035, 1e-9);
    }
    assert_near(f.layout.bearing_deg[1], 20.5560452, 1e-6); /* atan(30 / 80) */
    f.set.n_tubes = f.chime.n_tubes = 5;
    assert_int_equal(lay_out(&f), WP_OK);
    assert_near(f.layout.x_m[1], 0.0, 1e-12);
    assert_near(f.layout.clearance_m[1], 0.08 - 0.0127 - 0.035, 1e-12);
    assert_near(f.layout.y_m[3], -0.08, 1e-12);
}

static void line_stands_to_one_side(void **state)
{
    (void)state;
    struct fixture f;
    fixture_set(&f);
    f.set.n_tubes = f.chime.n_tubes = 3;
    f.set.layout.kind = WP_LAYOUT_LINE;
    f.set.layout.line_spacing_m = 0.05;
    f.set.layout.line_offset_m = 0.07;
    assert_int_equal(lay_out(&f), WP_OK);
    for (size_t i = 0; i < 3; i++) {
        assert_near(f.layout.x_m[i], 0.05 * ((double)i - 1.0), 1e-12);
        assert_near(f.layout.y_m[i], 0.07, 1e-12);
    }
    /* On its way to an outer tube a striker as wide as this grazes the middle one. */
    assert_int_equal(f.diags.n_items, 2);
    assert_non_null(strstr(f.diags.items[0].message, "tube 1 hangs behind tube 2"));
    f.set.layout.line_spacing_m = 0.025;
    wp_diags_init(&f.diags);
    expect_refusal(&f, WP_E_CONFLICT, "tubes 1 and 2 overlap");
}

static void tube_behind_another_is_warned_of(void **state)
{
    (void)state;
    static const double x[] = {0.0, 0.0, 0.08};
    static const double y[] = {0.08, 0.12, 0.0};
    struct fixture f;
    fixture_set(&f);
    f.set.n_tubes = f.chime.n_tubes = 3;
    f.set.layout.kind = WP_LAYOUT_POSITIONS;
    for (size_t i = 0; i < 3; i++) {
        f.set.layout.places[i] = (struct wp_place){x[i], y[i]};
    }
    assert_int_equal(lay_out(&f), WP_OK);
    assert_int_equal(f.diags.n_items, 1);
    assert_int_equal(f.diags.items[0].status, WP_OK);
    assert_non_null(strstr(f.diags.items[0].message, "tube 2 hangs behind tube 1"));
}

static void ring_of_equal_tubes_has_no_shadows(void **state)
{
    (void)state;
    struct fixture f;
    fixture_set(&f);
    f.set.layout.ring_radius_m = 0.062; /* gap 14.3 mm, neighbours 36.6 mm apart */
    assert_int_equal(lay_out(&f), WP_OK);
    assert_int_equal(f.diags.n_items, 0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(ring_runs_clockwise_from_north),
        cmocka_unit_test(ring_gives_every_tube_its_gap),
        cmocka_unit_test(positions_have_compass_bearings),
        cmocka_unit_test(alignment_lines_up_ends_or_middles),
        cmocka_unit_test(overlapping_neighbours_in_a_ring_are_refused_once),
        cmocka_unit_test(every_overlap_of_positions_is_named),
        cmocka_unit_test(striker_touching_at_rest_is_refused),
        cmocka_unit_test(tube_at_the_strikers_place_is_refused),
        cmocka_unit_test(striker_above_a_short_tube_is_refused_with_both_numbers),
        cmocka_unit_test(striker_below_the_bottom_ends_is_refused),
        cmocka_unit_test(tube_farther_than_the_suspension_is_warned_of),
        cmocka_unit_test(rows_face_each_other_across_the_striker),
        cmocka_unit_test(line_stands_to_one_side),
        cmocka_unit_test(tube_behind_another_is_warned_of),
        cmocka_unit_test(ring_of_equal_tubes_has_no_shadows),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
