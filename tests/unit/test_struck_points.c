/* SPDX-License-Identifier: MIT */
/* Where a tube is struck decides which partials sound. */
#include "../small_set.h"

#include "synth/excitation.h"
#include "windpeal/level.h"
#include "windpeal/tube.h"

enum { N_PARTIALS = 12 };

static struct small_set small;

/* One tube; an end mass makes its two ends differ. */
static const struct wp_tube *prepare(double end_mass_kg, double strike_height_m)
{
    small_set_describe(&small.set, 1);
    small.set.tubes[0].end_mass_kg = end_mass_kg;
    small.set.striker.is_ideal_contact = true;
    small.set.striker.strike_height_m = strike_height_m;
    small_set_solve(&small);
    return &small.chime->tubes[0];
}

/* Velocity of partial i at one height after a unit blow at another. */
static double response(const struct wp_tube *tube, size_t i, double struck_m, double heard_m)
{
    struct wp_contact contact;
    const struct wp_partial *partial = &tube->partials[i];
    wp_contact_solve(&contact, &small.striker, tube, struck_m, 0.3);
    return wp_struck_velocity(tube, partial, &contact, 1.0, struck_m) *
           wp_shape_at(&partial->shape, 1.0 - heard_m / tube->spec.length_m);
}

/* Rayleigh, The Theory of Sound (1877), sect. 107-111: what a blow at a does at b, a blow at b does
 * at a; partial by partial, since each rings at a frequency of its own. */
static void strike_point_and_listening_point_may_be_exchanged(void **state)
{
    (void)state;
    static const double heights_m[] = {0.0, 0.03, 0.11, 0.23, 0.30, 0.41, 0.555, 0.6};
    const struct wp_tube *tube = prepare(0.02, 0.03);
    const size_t n = sizeof heights_m / sizeof heights_m[0];
    for (size_t i = 0; i < N_PARTIALS; i++) {
        for (size_t a = 0; a < n; a++) {
            for (size_t b = 0; b < a; b++) {
                const double there = response(tube, i, heights_m[a], heights_m[b]);
                assert_near(response(tube, i, heights_m[b], heights_m[a]), there,
                            1e-9 * (1.0 + fabs(there)));
            }
        }
    }
    /* The two ends of this tube do differ, so that the order of a and b could have shown. */
    assert_true(fabs(response(tube, 0, 0.0, 0.0) / response(tube, 0, 0.6, 0.6)) > 1.2);
    small_set_finish(&small);
}

/* A unit blow gives its point the velocity of a free rigid body and of all partials together: the
 * sum over more and more partials grows, as every W_n^2 / M is positive. */
static void no_partial_moves_against_a_blow_at_its_point(void **state)
{
    (void)state;
    const struct wp_tube *tube = prepare(0.02, 0.03);
    for (size_t i = 0; i < N_PARTIALS; i++) {
        for (double height_m = 0.0; height_m <= 0.6; height_m += 0.01) {
            assert_true(response(tube, i, height_m, height_m) >= 0.0);
        }
    }
    small_set_finish(&small);
}

static void levels(double level_db[WP_PARTIALS_MAX])
{
    wp_strike_levels(&small.context, 0, 0.3, level_db);
}

/* Even partials of a symmetric tube have a node at the middle (Rayleigh 1877, sect. 173 to 178). */
static void even_partials_are_silent_when_struck_at_mid_length(void **state)
{
    (void)state;
    double level_db[WP_PARTIALS_MAX];
    prepare(0.0, 0.3);
    levels(level_db);
    for (size_t i = 0; i + 1 < N_PARTIALS; i += 2) {
        assert_true(isfinite(level_db[i]) && level_db[i] > 0.0);
        assert_true(level_db[i + 1] < level_db[i] - 120.0);
    }
    small_set_finish(&small);
}

/* The node of partial 1: 0.22416 of the length for a slender beam (Rayleigh 1877, sect. 178), a
 * little further in for this one: where the table says to hang it. */
static void first_partial_is_silent_when_struck_at_its_node(void **state)
{
    (void)state;
    double at_end_db[WP_PARTIALS_MAX];
    double at_node_db[WP_PARTIALS_MAX];
    const double node_m = prepare(0.0, 0.03)->support_m[0];
    assert_near(node_m / 0.6, 0.2242, 0.0005);
    levels(at_end_db);
    small_set_finish(&small);
    prepare(0.0, node_m);
    levels(at_node_db);
    assert_true(at_node_db[0] < at_end_db[0] - 120.0);
    for (size_t i = 1; i < 4; i++) {
        assert_true(at_node_db[i] > at_end_db[i] - 30.0);
    }
    small_set_finish(&small);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(strike_point_and_listening_point_may_be_exchanged),
        cmocka_unit_test(no_partial_moves_against_a_blow_at_its_point),
        cmocka_unit_test(even_partials_are_silent_when_struck_at_mid_length),
        cmocka_unit_test(first_partial_is_silent_when_struck_at_its_node),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
