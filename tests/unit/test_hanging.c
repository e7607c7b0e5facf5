/* SPDX-License-Identifier: MIT */
/* Claims about striker, sail and tubes that swing and touch. */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "base/random.h"
#include "striker/hanging.h"
#include "striker_fixture.h"

static const struct wp_breeze still = {{0.0, 0.0}, {0.0, 0.0}, 0.0};

/* The fixture's set with a sail and its tubes' supports, hung. */
static void hang(struct fixture *f, struct wp_hanging *hanging)
{
    assert_int_equal(fixture_init(f), WP_OK);
    f->set.drive.kind = WP_DRIVE_SAIL;
    f->set.drive.sail = (struct wp_set_sail){0.008, 0.3, 0.02};
    for (size_t i = 0; i < f->chime.n_tubes; i++) {
        f->chime.tubes[i].support_m[0] = 0.2242 * f->chime.tubes[i].spec.length_m;
    }
    wp_hanging_init(hanging, &f->context);
}

/* Gives the striker this speed in a direction. */
static void throw(struct wp_hanging * hanging, double speed_m_s, double bearing_deg)
{
    const double angle = bearing_deg * 3.14159265358979323846 / 180.0;
    hanging->bob.pendulum.u_per_s[0] = speed_m_s / hanging->bob.arm_m * sin(angle);
    hanging->bob.pendulum.u_per_s[1] = speed_m_s / hanging->bob.arm_m * cos(angle);
}

/* Takes away all that costs energy. */
static void make_lossless(struct fixture *f, struct wp_hanging *hanging)
{
    f->striker.loss_s_m = 0.0;
    hanging->friction = 0.0;
    for (size_t i = 0; i < WP_DRAGS; i++) {
        hanging->bob.pendulum.drags[i].drag_kg_m = 0.0;
    }
    hanging->bob.pendulum.damping_per_s = 0.0;
    for (size_t i = 0; i < hanging->tubes.n_tubes; i++) {
        hanging->tubes.damping_per_s[i] = 0.0;
    }
}

static void without_wind_energy_never_grows(void **state)
{
    (void)state;
    struct fixture f;
    struct wp_hanging hanging;
    struct wp_meeting meeting;
    hang(&f, &hanging);
    throw(&hanging, 1.2, 17.0);
    double energy = wp_hanging_energy(&hanging);
    const double first = energy;
    int n_touches = 0;
    for (int i = 0; i < 20000; i++) {
        wp_hanging_step(&hanging, &still, hanging.step_s, &meeting);
        const double now = wp_hanging_energy(&hanging);
        /* 1e-8 of the first energy: the method's own error, and what is pushed apart. */
        assert_true(now <= energy + 1e-8 * first);
        energy = now;
        n_touches += meeting.is_met;
    }
    assert_true(n_touches > 5);
    assert_true(energy < 1e-3 * first);
}

static void a_lossless_set_keeps_its_energy_over_a_thousand_strikes(void **state)
{
    (void)state;
    struct fixture f;
    struct wp_hanging hanging;
    struct wp_meeting meeting;
    hang(&f, &hanging);
    make_lossless(&f, &hanging);
    throw(&hanging, 0.9, 17.0);
    const double first = wp_hanging_energy(&hanging);
    int n_strikes = 0;
    for (int i = 0; i < 1000000 && n_strikes < 1000; i++) {
        wp_hanging_step(&hanging, &still, hanging.step_s, &meeting);
        /* A contact too slow to be heard takes its energy on purpose. */
        n_strikes += meeting.is_met && meeting.is_heard;
    }
    assert_int_equal(n_strikes, 1000);
    assert_true(fabs(wp_hanging_energy(&hanging) / first - 1.0) < 1e-4);
}

/* Times of the first strikes in a wind that grows and turns. */
static void strike_times(double step_s, double *times, size_t n_times)
{
    struct fixture f;
    struct wp_hanging hanging;
    struct wp_meeting meeting;
    hang(&f, &hanging);
    double t_s = 0.0;
    for (size_t n = 0; n < n_times;) {
        const double next_s = t_s + step_s;
        const struct wp_breeze breeze = {
            {2.0 + 0.2 * t_s, 0.1 * t_s}, {2.0 + 0.2 * next_s, 0.1 * next_s}, 0.0};
        t_s += wp_hanging_step(&hanging, &breeze, step_s, &meeting);
        if (meeting.is_met && meeting.is_heard) {
            times[n++] = t_s;
        }
        assert_true(t_s < 100.0);
    }
}

static void halving_the_step_hardly_moves_the_first_strikes(void **state)
{
    (void)state;
    enum { N_STRIKES = 10 };
    double whole[N_STRIKES];
    double half[N_STRIKES];
    struct fixture f;
    struct wp_hanging hanging;
    hang(&f, &hanging);
    strike_times(hanging.step_s, whole, N_STRIKES);
    strike_times(0.5 * hanging.step_s, half, N_STRIKES);
    for (size_t i = 0; i < N_STRIKES; i++) {
        assert_true(fabs(whole[i] - half[i]) < 1e-3);
    }
}

/* Two touches may lie so close that no time is left between the second and the step's end. */
static void a_step_without_time_changes_nothing(void **state)
{
    (void)state;
    struct fixture f;
    struct wp_hanging hanging;
    struct wp_meeting meeting;
    static const struct wp_breeze breeze = {{2.0, 1.0}, {2.0, 1.0}, 0.0};
    for (int is_moving = 0; is_moving < 2; is_moving++) {
        hang(&f, &hanging);
        for (int i = 0; i < 10 * is_moving; i++) {
            wp_hanging_step(&hanging, &breeze, hanging.step_s, &meeting);
        }
        const struct wp_hanging before = hanging;
        assert_true(wp_hanging_step(&hanging, &breeze, 0.0, &meeting) == 0.0);
        assert_false(meeting.is_met);
        for (size_t c = 0; c < 2; c++) {
            assert_true(hanging.bob.pendulum.n[c] == before.bob.pendulum.n[c]);
            for (size_t i = 0; i < hanging.tubes.n_tubes; i++) {
                assert_true(hanging.tubes.motion.shift_m[c][i] ==
                            before.tubes.motion.shift_m[c][i]);
                assert_true(hanging.tubes.motion.speed_m_s[c][i] ==
                            before.tubes.motion.speed_m_s[c][i]);
            }
        }
    }
}

/* 20 um is what a striker that leans on two tubes at once may be pressed into them by a step. */
static void nothing_is_tunnelled(void **state)
{
    (void)state;
    struct fixture f;
    struct wp_hanging hanging;
    struct wp_meeting meeting;
    double least = 1.0;
    hang(&f, &hanging);
    for (int i = 0; i < 50000; i++) {
        const double angle = 0.002 * i;
        const double a = 9.0 + 8.0 * sin(0.013 * i);
        const struct wp_breeze breeze = {
            {a * sin(angle), a * cos(angle)}, {a * sin(angle), a * cos(angle)}, 0.0};
        wp_hanging_step(&hanging, &breeze, hanging.step_s, &meeting);
        for (size_t k = 0; k < hanging.tubes.n_tubes; k++) {
            least = fmin(least, wp_hanging_gap(&hanging, k).gap_m);
        }
    }
    assert_true(least < 1e-6);
    assert_true(least > -100e-6);
}

/* Every tube hangs where the striker does and is pulled to its side, to within 50 um: all swing
 * back at it. */
static void wedge(struct wp_hanging *hanging, uint64_t seed)
{
    struct wp_random random;
    wp_random_init(&random, seed, WP_STREAM_WIND, 0);
    for (size_t i = 0; i < hanging->tubes.n_tubes; i++) {
        struct wp_swinging_tubes *tubes = &hanging->tubes;
        const double angle = 2.0 * 3.14159265358979323846 * wp_random_uniform(&random);
        const double towards[2] = {sin(angle), cos(angle)};
        const double off_m = 50e-6 * wp_random_uniform(&random);
        for (size_t c = 0; c < 2; c++) {
            tubes->rest_m[c][i] = 0.01 * towards[c];
            tubes->motion.shift_m[c][i] =
                (hanging->bob.radius_m + hanging->radius_m[i] + off_m - 0.01) * towards[c];
        }
    }
}

/* What one tube pushes off another a third pushes back, all at one moment: time goes on. */
static void a_wedged_striker_does_not_stop_time(void **state)
{
    (void)state;
    struct fixture f;
    struct wp_hanging hanging;
    struct wp_meeting meeting;
    const struct wp_breeze breeze = {{3.0, 2.0}, {3.0, 2.0}, 0.0};
    for (uint64_t seed = 0; seed < 500; seed++) {
        double passed_s = 0.0;
        hang(&f, &hanging);
        wedge(&hanging, seed);
        for (int i = 0; i < 4000 && passed_s < 0.2; i++) {
            passed_s += wp_hanging_step(&hanging, &breeze, hanging.step_s, &meeting);
        }
        assert_true(passed_s >= 0.2);
    }
}

static void a_tube_held_rigid_does_not_move(void **state)
{
    (void)state;
    struct fixture f;
    struct wp_hanging hanging;
    struct wp_meeting meeting;
    hang(&f, &hanging);
    f.chime.tubes[0].spec.is_held_rigid = true;
    wp_hanging_init(&hanging, &f.context);
    throw(&hanging, 1.0, 0.0);
    do {
        wp_hanging_step(&hanging, &still, hanging.step_s, &meeting);
    } while (!meeting.is_met);
    assert_int_equal(meeting.tube, 0);
    const double e = wp_striker_restitution(&f.striker, meeting.speed_m_s);
    const struct wp_gap gap = wp_hanging_gap(&hanging, 0);
    assert_true(fabs(gap.opening_m_s - e * meeting.speed_m_s) < 1e-9);
    assert_true(hanging.tubes.motion.speed_m_s[1][0] == 0.0);
}

static void a_blow_keeps_the_angular_momentum_of_both(void **state)
{
    (void)state;
    struct fixture f;
    struct wp_hanging hanging;
    struct wp_meeting meeting;
    hang(&f, &hanging);
    throw(&hanging, 1.0, 0.0);
    do {
        wp_hanging_step(&hanging, &still, hanging.step_s, &meeting);
    } while (!meeting.is_met);
    /* Momentum as seen at the point of contact: inertia / lever^2 times speed, along the normal. */
    const struct wp_pendulum *pendulum = &hanging.bob.pendulum;
    const double tube_kg = 1.0 / hanging.tubes.mobility_per_kg[meeting.tube];
    const double level = pendulum->n[2]; /* cosine of the suspension's angle */
    const double bob_kg =
        pendulum->inertia_kg_m2 / (hanging.bob.arm_m * hanging.bob.arm_m * level * level);
    const double e = wp_striker_restitution(&f.striker, meeting.speed_m_s);
    const double impulse = (1.0 + e) * meeting.speed_m_s / (1.0 / bob_kg + 1.0 / tube_kg);
    const double tube_m_s = hanging.tubes.motion.speed_m_s[1][meeting.tube];
    assert_true(fabs(tube_m_s - impulse / tube_kg) < 1e-9);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(without_wind_energy_never_grows),
        cmocka_unit_test(a_lossless_set_keeps_its_energy_over_a_thousand_strikes),
        cmocka_unit_test(halving_the_step_hardly_moves_the_first_strikes),
        cmocka_unit_test(a_step_without_time_changes_nothing),
        cmocka_unit_test(nothing_is_tunnelled),
        cmocka_unit_test(a_wedged_striker_does_not_stop_time),
        cmocka_unit_test(a_tube_held_rigid_does_not_move),
        cmocka_unit_test(a_blow_keeps_the_angular_momentum_of_both),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
