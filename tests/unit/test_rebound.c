/* SPDX-License-Identifier: MIT */
/* Claims about how strikers bounce off tubes, and what friction does to them. */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "../small_set.h"
#include "striker/hanging.h"

static void open_set(struct small_set *small, double diameter_m, double mass_kg)
{
    small_set_describe(&small->set, 3);
    small->set.striker.diameter_m = diameter_m;
    small->set.striker.mass_kg = mass_kg;
    small->set.drive.kind = WP_DRIVE_COILS;
    small_set_solve(small);
}

static void open_rebound(struct small_set *small, struct wp_rebound *rebound)
{
    struct wp_swinging_tubes tubes;
    wp_swinging_tubes_init(&tubes, &small->context);
    wp_rebound_init(rebound, &small->context, 1.0 / small->set.striker.mass_kg,
                    tubes.mobility_per_kg);
}

static void a_light_striker_bounces_more_than_a_heavy_one(void **state)
{
    (void)state;
    struct small_set light;
    struct small_set heavy;
    struct wp_rebound of_light;
    struct wp_rebound of_heavy;
    open_set(&light, 0.035, 0.0075);
    open_set(&heavy, 0.070, 0.060);
    open_rebound(&light, &of_light);
    open_rebound(&heavy, &of_heavy);
    for (size_t i = 0; i < 3; i++) {
        for (double speed_m_s = 0.01; speed_m_s < 3.0; speed_m_s *= 1.3) {
            const double e = wp_rebound_at(&of_heavy, i, speed_m_s);
            assert_true(e >= 0.0 && e < wp_striker_restitution(&heavy.striker, speed_m_s));
            assert_true(wp_rebound_at(&of_light, i, speed_m_s) > e);
        }
    }
    small_set_finish(&light);
    small_set_finish(&heavy);
}

/* Both hand over the impulse of the contact that sounds. */
static void a_blow_hands_over_the_impulse_that_sounds(void **state)
{
    (void)state;
    struct small_set small;
    struct wp_rebound rebound;
    struct wp_swinging_tubes tubes;
    open_set(&small, 0.050, 0.030);
    open_rebound(&small, &rebound);
    wp_swinging_tubes_init(&tubes, &small.context);
    for (double speed_m_s = 0.01; speed_m_s < 2.0; speed_m_s *= 1.7) {
        struct wp_contact contact;
        wp_contact_solve(&contact, &small.striker, &small.chime->tubes[0],
                         small.layout.strike_height_m[0], speed_m_s);
        const double per_kg = 1.0 / 0.030 + tubes.mobility_per_kg[0];
        const double impulse = (1.0 + wp_rebound_at(&rebound, 0, speed_m_s)) * speed_m_s / per_kg;
        /* 1 % for the straight lines between the row's speeds. */
        assert_near(impulse, contact.impulse_n_s, 0.01 * contact.impulse_n_s);
    }
    small_set_finish(&small);
}

/* Of a blow that slides, friction stops at most its share of the impulse across (Coulomb). */
static void friction_takes_what_slides(void **state)
{
    (void)state;
    struct small_set small;
    struct wp_hanging hanging;
    open_set(&small, 0.070, 0.060);
    wp_hanging_init(&hanging, &small.context);
    const double pushes[] = {0.0, 0.1, 0.3, 10.0};
    double sliding_m_s = 1.0;
    for (size_t i = 0; i < 4; i++) {
        struct wp_bob bob = hanging.bob;
        struct wp_swinging_tubes tubes = hanging.tubes;
        bob.pendulum.u_per_s[0] = 0.2 / bob.arm_m; /* along */
        bob.pendulum.u_per_s[1] = 0.2 / bob.arm_m; /* towards tube 1, in the north */
        const struct wp_gap gap = wp_gap_between(&bob, &tubes, &tubes.motion, 0, 0.0127);
        const struct wp_surfaces surfaces = {0.2, pushes[i]};
        wp_gap_collide(&gap, &bob, &tubes, 0, &surfaces);
        const double left_m_s = bob.arm_m * bob.pendulum.u_per_s[0] - tubes.motion.speed_m_s[0][0];
        assert_true(i == 0 ? fabs(left_m_s - 0.2) < 1e-12 : left_m_s < sliding_m_s);
        assert_true(left_m_s > -1e-12);
        sliding_m_s = left_m_s;
    }
    assert_near(sliding_m_s, 0.0, 1e-12);
    small_set_finish(&small);
}

/* Swings until friction holds it, nowhere further from plumb than friction can. */
static void friction_in_the_pivot_ends_a_swing(void **state)
{
    (void)state;
    struct small_set small;
    struct wp_hanging hanging;
    struct wp_meeting meeting;
    const struct wp_breeze still = {.denser = 0.0};
    open_set(&small, 0.070, 0.060);
    for (int throw = 1; throw <= 8; throw ++) {
        wp_hanging_init(&hanging, &small.context);
        hanging.bob.pendulum.u_per_s[0] = 0.011 * throw / hanging.bob.arm_m;
        double t_s = 0.0;
        while (!wp_pendulum_is_held(&hanging.bob.pendulum) && t_s < 100.0) {
            t_s += wp_hanging_step(&hanging, &still, hanging.step_s, &meeting);
        }
        const double off_m = hanging.bob.arm_m * fabs(hanging.bob.pendulum.n[0]);
        /* Coulomb's friction takes twice its reach, here 1 mm, off each half of a swing. */
        assert_true(t_s < 20.0);
        assert_true(off_m <= small.set.drive.coils.pivot_friction_m + 1e-9);
    }
    small_set_finish(&small);
}

static void waiting_is_stepping_in_closed_form(void **state)
{
    (void)state;
    struct small_set small;
    struct wp_hanging stepped;
    struct wp_meeting meeting;
    const struct wp_breeze still = {.denser = 0.0};
    open_set(&small, 0.070, 0.060);
    wp_hanging_init(&stepped, &small.context);
    stepped.tubes.motion.shift_m[0][1] = 0.004;
    stepped.tubes.motion.speed_m_s[1][2] = -0.02;
    struct wp_hanging waited = stepped;
    assert_true(wp_hanging_is_still(&waited));
    wp_hanging_wait(&waited, 12.0);
    for (double t_s = 0.0; t_s < 12.0 - 1e-9;) {
        t_s += wp_hanging_step(&stepped, &still, fmin(0.001, 12.0 - t_s), &meeting);
    }
    for (size_t i = 0; i < 3; i++) {
        for (size_t c = 0; c < 2; c++) {
            const struct wp_tube_motion *a = &stepped.tubes.motion;
            const struct wp_tube_motion *b = &waited.tubes.motion;
            assert_near(a->shift_m[c][i], b->shift_m[c][i], 2e-5);
            assert_near(a->speed_m_s[c][i], b->speed_m_s[c][i], 1e-4);
        }
    }
    /* A tube that swings as far as the striker is not waited for. */
    stepped.tubes.motion.shift_m[0][1] = small.layout.clearance_m[1];
    assert_false(wp_hanging_is_still(&stepped));
    small_set_finish(&small);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_light_striker_bounces_more_than_a_heavy_one),
        cmocka_unit_test(a_blow_hands_over_the_impulse_that_sounds),
        cmocka_unit_test(friction_takes_what_slides),
        cmocka_unit_test(friction_in_the_pivot_ends_a_swing),
        cmocka_unit_test(waiting_is_stepping_in_closed_form),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
