/* SPDX-License-Identifier: MIT */
/*
 * What a blow leaves of a partial that rings, against the motion of striker, wall and the ringing
 * tube integrated here in steps of a quarter of a microsecond: modal superposition (A. Chaigne, V.
 * Doutaut, J. Acoust. Soc. Am. 101 (1997) 539 for struck bars), contact by H. Hertz with the loss
 * of K. H. Hunt and F. R. E. Crossley, J. Appl. Mech. 42 (1975) 440. The same blow is struck on the
 * silent tube; what differs afterwards is what is left of the ringing.
 */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>

#include "../near.h"
#include "striker/muting.h"
#include "struck_tube.h"

static const double pi = 3.14159265358979323846;

static struct wp_muting_work work;

/* One blow to integrate. */
struct blow {
    const struct wp_striker *striker;
    const struct wp_tube *tube;
    double height_m;
    double speed_m_s;
    double stiffness; /* of the contact's law */
    double exponent;
    double compliance;
    double inverse_kg;
    double end_s;
    double w[WP_PARTIALS_MAX];
};

/* Displacement and velocity of all partials. */
struct motion {
    double q[WP_PARTIALS_MAX];
    double v[WP_PARTIALS_MAX];
};

static void prepare(struct blow *blow, const struct wp_striker *striker, const struct wp_tube *tube,
                    double height_m, double speed_m_s)
{
    const double lever = height_m - 0.5 * tube->spec.length_m;
    const double length2 = tube->spec.length_m * tube->spec.length_m;
    const double gyration2 = 0.0254 * 0.0254 / 8.0 + length2 / 12.0;
    struct wp_contact contact;
    wp_contact_solve(&contact, striker, tube, height_m, speed_m_s);
    *blow = (struct blow){
        .striker = striker,
        .tube = tube,
        .height_m = height_m,
        .speed_m_s = speed_m_s,
        .stiffness = contact_stiffness(striker, tube),
        .exponent = 1.5 + striker->stiffening,
        .compliance = rest_of_compliance(tube, height_m),
        .inverse_kg = 1.0 / striker->mass_kg + (1.0 + lever * lever / gyration2) / tube->mass_kg,
        .end_s = 1.5 * contact.duration_s,
    };
    for (size_t i = 0; i < tube->n_partials; i++) {
        blow->w[i] = wp_shape_at(&tube->partials[i].shape, 1.0 - height_m / tube->spec.length_m);
    }
}

/* Force at a total deflection, by bisection on the depth of the contact. */
static double force_at(const struct blow *blow, double total_m, double *depth_m, double dt_s)
{
    const double before = *depth_m;
    double low = 0.0;
    double high = total_m;
    double force = 0.0;
    for (int i = 0; i < 34; i++) {
        *depth_m = 0.5 * (low + high);
        const double gain = fmax(1.0 + blow->striker->loss_s_m * (*depth_m - before) / dt_s, 0.0);
        force = blow->stiffness * pow(*depth_m, blow->exponent) * gain;
        *(*depth_m + blow->compliance * force < total_m ? &low : &high) = *depth_m;
    }
    return force;
}

/* Stoermer's method from the touch to end_s, long after they have parted for good. */
static void strike(const struct blow *blow, struct motion *motion)
{
    const double dt = 0.5e-6;
    double speed = blow->speed_m_s;
    double depth = 0.0;
    double at_touch = 0.0;
    bool has_touched = false;
    bool has_parted = false;
    for (size_t i = 0; i < blow->tube->n_partials; i++) {
        at_touch += blow->w[i] * motion->q[i];
    }
    double approach = at_touch; /* the striker meets the surface where it is */
    for (double t = 0.0; t < blow->end_s; t += dt) {
        double pressed = approach += speed * dt;
        for (size_t i = 0; i < blow->tube->n_partials; i++) {
            pressed -= blow->w[i] * (motion->q[i] += motion->v[i] * dt);
        }
        double force = 0.0;
        if (pressed > 0.0 && !has_parted) {
            force = force_at(blow, pressed, &depth, dt);
            has_touched = true;
        }
        has_parted = has_parted || (has_touched && !(force > 0.0));
        speed -= blow->inverse_kg * force * dt;
        for (size_t i = 0; i < blow->tube->n_partials; i++) {
            const double omega = 2.0 * pi * blow->tube->partials[i].freq_hz;
            motion->v[i] +=
                dt * (blow->w[i] * force / blow->tube->mass_kg - omega * omega * motion->q[i]);
        }
    }
}

static double energy(const struct motion *motion, size_t partial, double omega)
{
    return motion->v[partial] * motion->v[partial] +
           omega * omega * motion->q[partial] * motion->q[partial];
}

/* Mean over the phase of a partial's energy that a blow leaves; the ringing is a hundredth of the
 * blow, so that twice as much leaves twice as much. */
static double kept_of(const struct blow *blow, size_t partial)
{
    enum { N_PHASES = 4 };
    const double omega = 2.0 * pi * blow->tube->partials[partial].freq_hz;
    const double ringing_m_s = 0.01 * blow->speed_m_s / fmax(fabs(blow->w[partial]), 0.1);
    struct motion alone;
    double sum = 0.0;
    for (int phase = 0; phase < N_PHASES; phase++) {
        /* The striker comes at any phase of the surface's motion with its own speed. */
        const double angle = 2.0 * pi * (phase + 0.5) / N_PHASES;
        struct motion ringing = {{0.0}, {0.0}};
        ringing.q[partial] = ringing_m_s / omega * cos(angle);
        ringing.v[partial] = ringing_m_s * sin(angle);
        memset(&alone, 0, sizeof alone);
        strike(blow, &alone);
        strike(blow, &ringing);
        for (size_t i = 0; i < blow->tube->n_partials; i++) {
            ringing.q[i] -= alone.q[i];
            ringing.v[i] -= alone.v[i];
        }
        sum += energy(&ringing, partial, omega) / (ringing_m_s * ringing_m_s);
    }
    return sum / N_PHASES;
}

/* Energies within 0.6 dB: the solver follows a contact in 24 cells. Partials that are slow against
 * the contact, as long as it and faster, at both ends of the range of strikers. */
static void blow_leaves_what_the_integrated_motion_leaves(void **state)
{
    (void)state;
    static const char *const names[] = {"steel", "nylon", "hardwood", "hard rubber", "felt"};
    static const size_t partials[] = {0, 2, 4, 7, 11};
    struct wp_tube tube;
    solve_tube(&tube);
    for (size_t s = 0; s < 5; s++) {
        const struct wp_striker striker = striker_of(names[s]);
        for (size_t k = 0; k < 2; k++) {
            const double height_m = k == 0 ? 0.03 : 0.2;
            const double speed_m_s = (s + k) % 2 ? 0.1 : 0.5;
            struct blow blow;
            struct wp_contact contact;
            double kept[WP_PARTIALS_MAX];
            prepare(&blow, &striker, &tube, height_m, speed_m_s);
            wp_contact_solve(&contact, &striker, &tube, height_m, speed_m_s);
            wp_muting_blow(&contact, &striker, &tube, height_m, &work, kept);
            for (size_t i = 0; i < sizeof partials / sizeof partials[0]; i++) {
                const double want = kept_of(&blow, partials[i]);
                assert_near(10.0 * log10(kept[partials[i]] / want), 0.0, 0.6);
            }
        }
    }
}

/*
 * Impulses without duration, striker against partial alone, by momentum and energy (any text): what
 * swings in slow motion loses of its velocity 2 m_e W^2 / M, m_e of the bodies that collide, and
 * nothing of its displacement. So of a slow partial's energy stays (1 + (1 - 2 m_e W^2 / M)^2) / 2.
 */
static void slow_partial_loses_only_velocity(void **state)
{
    (void)state;
    struct wp_tube tube;
    struct wp_contact contact;
    double kept[WP_PARTIALS_MAX];
    solve_tube(&tube);
    struct wp_striker striker = striker_of("steel");
    striker.loss_s_m = 0.0;
    striker.mass_kg = 0.002; /* light: the contact is over in a twentieth of a period */
    tube.n_partials = 1;
    tube.spec.is_held_rigid = true;
    wp_contact_solve(&contact, &striker, &tube, 0.03, 0.5);
    wp_muting_blow(&contact, &striker, &tube, 0.03, &work, kept);
    const double w = wp_shape_at(&tube.partials[0].shape, 0.95);
    const double inverse_kg = 1.0 / striker.mass_kg + w * w / tube.mass_kg;
    const double left = 1.0 - 2.0 / inverse_kg * w * w / tube.mass_kg;
    assert_true(contact.duration_s * tube.partials[0].freq_hz < 0.05);
    assert_near(kept[0], 0.5 * (1.0 + left * left), 2e-3);
}

static void ideal_contact_leaves_everything(void **state)
{
    (void)state;
    struct wp_tube tube;
    struct wp_contact contact;
    double values[WP_PARTIALS_MAX];
    solve_tube(&tube);
    struct wp_striker striker = striker_of("felt");
    striker.is_ideal = true;
    wp_contact_solve(&contact, &striker, &tube, 0.03, 0.3);
    wp_muting_blow(&contact, &striker, &tube, 0.03, &work, values);
    for (size_t i = 0; i < tube.n_partials; i++) {
        assert_true(values[i] == 1.0);
    }
    wp_muting_rest(&striker, &tube, 0.03, 0.2, values);
    for (size_t i = 0; i < tube.n_partials; i++) {
        assert_true(values[i] == 0.0);
    }
}

/* A steel rod of 14 mm: no wall that gives way. */
static void solve_rod(struct wp_tube *rod)
{
    const struct wp_tube_spec spec = {
        .material = *wp_material_find("steel"),
        .outer_diameter_m = 0.014,
        .wall_m = 0.007,
        .length_m = 0.5,
        .temperature_c = 20.0,
        .is_supported_at_node = true,
        .cord_kg_m = 1e-3,
    };
    assert_int_equal(wp_tube_solve(rod, &spec, 20000.0), WP_OK);
}

/* Hertz's contact of the ball on the rod under a force (K. L. Johnson, "Contact Mechanics", 1985,
 * chapter 4), its circle of the mean radius good to 1 % for a ball of 10 mm, and the rod's partial
 * under it. */
struct lean {
    double stiffness_n_m;
    double loss_kg_s;
    double mobility_kg;
    double omega;
};

static struct lean lean_on(const struct wp_striker *striker, const struct wp_tube *rod,
                           double height_m, double force_n, size_t partial)
{
    const struct wp_material *a = &striker->material;
    const struct wp_material *b = &rod->spec.material;
    const double e = 1.0 / ((1.0 - a->poisson_ratio * a->poisson_ratio) / a->young_modulus_pa +
                            (1.0 - b->poisson_ratio * b->poisson_ratio) / b->young_modulus_pa);
    const double across = 1.0 / (2.0 / striker->diameter_m + 2.0 / rod->spec.outer_diameter_m);
    const double hertz = 4.0 / 3.0 * e * sqrt(sqrt(0.5 * striker->diameter_m * across));
    const double w = wp_shape_at(&rod->partials[partial].shape, 1.0 - height_m / 0.5);
    return (struct lean){
        .stiffness_n_m = 1.5 * pow(force_n, 1.0 / 3.0) * pow(hertz, 2.0 / 3.0),
        .loss_kg_s = striker->loss_s_m * force_n, /* dF/dd' = mu K d^1.5 */
        .mobility_kg = w * w / rod->mass_kg,
        .omega = 2.0 * pi * rod->partials[partial].freq_hz,
    };
}

/*
 * Mass, spring and damper one behind the other (any text on vibration): far below their resonance
 * Re Z = c r^2, r = omega^2 m / k, far above it Re Z = c; the partial decays by b Re Z / 2.
 */
static void far_from_resonance_the_decay_is_that_of_the_resistance(void **state)
{
    (void)state;
    struct wp_tube rod;
    double added[WP_PARTIALS_MAX];
    solve_rod(&rod);
    struct wp_striker striker = striker_of("hardwood");
    striker.diameter_m = 0.01;
    striker.mass_kg = 0.0002; /* so light that it follows the first partials */
    wp_muting_rest(&striker, &rod, 0.03, 0.2, added);
    struct lean lean = lean_on(&striker, &rod, 0.03, 0.2, 0);
    const double r = lean.omega * lean.omega * striker.mass_kg / lean.stiffness_n_m;
    const double below = 0.5 * lean.mobility_kg * lean.loss_kg_s * r * r / ((1.0 - r) * (1.0 - r));
    assert_true(r < 0.05);
    assert_near(added[0], below, 0.06 * below);
    striker.mass_kg = 1.0; /* so heavy that it stands */
    wp_muting_rest(&striker, &rod, 0.03, 0.2, added);
    for (size_t i = 2; i < 6; i++) {
        lean = lean_on(&striker, &rod, 0.03, 0.2, i);
        const double above = 0.5 * lean.mobility_kg * lean.loss_kg_s;
        assert_near(added[i], above, 0.02 * above);
    }
}

/* At the resonance of the striker on its contact the two swing as one and share its decay c / 2m by
 * halves, however large the resistance is there (two coupled oscillators, any text). */
static void at_resonance_the_striker_bounds_the_decay(void **state)
{
    (void)state;
    struct wp_tube rod;
    double added[WP_PARTIALS_MAX];
    solve_rod(&rod);
    struct wp_striker striker = striker_of("hardwood");
    striker.diameter_m = 0.01;
    const double height_m = 0.072; /* close to a node of partial 2, 0.132 of the length */
    const struct lean lean = lean_on(&striker, &rod, height_m, 0.2, 1);
    striker.mass_kg = lean.stiffness_n_m / (lean.omega * lean.omega);
    assert_true(lean.mobility_kg * striker.mass_kg < 0.002); /* else the halves differ */
    wp_muting_rest(&striker, &rod, height_m, 0.2, added);
    const double half = 0.25 * lean.loss_kg_s / striker.mass_kg;
    const double reactance = lean.omega * striker.mass_kg;
    assert_true(0.5 * lean.mobility_kg * reactance * reactance / lean.loss_kg_s > 20.0 * half);
    assert_near(added[1], half, 0.2 * half); /* sqrt(b m), and k to 1 % off the resonance */
    for (int step = 0; step <= 100; step++) {
        striker.mass_kg *= step ? 1.002 : 0.9;
        wp_muting_rest(&striker, &rod, height_m, 0.2, added);
        assert_true(added[1] < 1.05 * 0.5 * lean.loss_kg_s / striker.mass_kg);
    }
}

/* Common practice, no source: a felt head kills the tone, a steel ball lets it ring. */
static void felt_damps_more_than_wood_and_steel(void **state)
{
    (void)state;
    static const char *const names[] = {"felt", "hardwood", "steel"};
    struct wp_tube tube;
    double added[3][WP_PARTIALS_MAX];
    solve_tube(&tube);
    for (size_t s = 0; s < 3; s++) {
        const struct wp_striker striker = striker_of(names[s]);
        wp_muting_rest(&striker, &tube, 0.03, wp_muting_force(&striker), added[s]);
    }
    for (size_t i = 0; i < tube.n_partials; i++) {
        assert_true(added[0][i] > added[1][i] && added[1][i] > added[2][i]);
        assert_true(added[2][i] >= 0.0);
        assert_true(added[0][i] < 2.0 * pi * tube.partials[i].freq_hz);
    }
}

/* From a feather's touch to a press: never negative, never above the critical decay, never NAN. */
static void every_force_damps_within_bounds(void **state)
{
    (void)state;
    struct wp_tube tube;
    double added[WP_PARTIALS_MAX];
    solve_tube(&tube);
    for (size_t i = 0; wp_striker_material_name(i); i++) {
        struct wp_striker striker = striker_of(wp_striker_material_name(i));
        for (int k = 0; k < 30; k++) {
            striker.mass_kg = 1e-3 * pow(9.0, k % 5);
            wp_muting_rest(&striker, &tube, 0.02 * (k % 4), 1e-4 * pow(10.0, k % 7), added);
            for (size_t n = 0; n < tube.n_partials; n++) {
                assert_true(added[n] >= 0.0 && added[n] <= 2.0 * pi * tube.partials[n].freq_hz);
            }
        }
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(blow_leaves_what_the_integrated_motion_leaves),
        cmocka_unit_test(slow_partial_loses_only_velocity),
        cmocka_unit_test(ideal_contact_leaves_everything),
        cmocka_unit_test(far_from_resonance_the_decay_is_that_of_the_resistance),
        cmocka_unit_test(at_resonance_the_striker_bounds_the_decay),
        cmocka_unit_test(felt_damps_more_than_wood_and_steel),
        cmocka_unit_test(every_force_damps_within_bounds),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
