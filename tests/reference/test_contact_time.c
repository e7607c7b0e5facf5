/* SPDX-License-Identifier: MIT */
/*
 * The blow against the motion of striker, wall and tube integrated here in steps of a quarter of a
 * microsecond: modal superposition (any text on vibration; A. Chaigne, V. Doutaut, J. Acoust. Soc.
 * Am. 101 (1997) 539 for struck bars), contact by H. Hertz with the loss of K. H. Hunt and F. R. E.
 * Crossley, J. Appl. Mech. 42 (1975) 440.
 */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>

#include <cmocka.h>

#include "../near.h"
#include "struck_tube.h"
#include "windpeal/contact.h"

enum { N_COMPARED = 6 };

static const double pi = 3.14159265358979323846;

static const char *const strikers[] = {"hardwood", "nylon", "hard rubber", "steel"};
static const double speeds[] = {0.05, 0.3, 1.0};
static const double heights_m[] = {0.03, 0.2, 0.3};

/* What the reference knows of a blow. */
struct reference {
    double impulse_n_s;
    double duration_s;
    double work_n_s[WP_PARTIALS_MAX]; /* size of the force's transform at each partial */
};

/* Inverse mass of a free tube, thin against its length, struck at a height (any text). */
static double rigid_mobility(const struct wp_tube *tube, double height_m)
{
    const double lever = height_m - 0.5 * tube->spec.length_m;
    const double length2 = tube->spec.length_m * tube->spec.length_m;
    const double gyration2 = 0.0254 * 0.0254 / 8.0 + length2 / 12.0; /* thin wall: R^2/2 */
    return (1.0 + lever * lever / gyration2) / tube->mass_kg;
}

struct law {
    double stiffness;
    double exponent;
    double loss_s_m;
    double compliance;
};

/* Force at a total deflection, by bisection on the depth of the contact. */
static double force_at(const struct law *law, double total_m, double *depth_m, double dt_s)
{
    const double before = *depth_m;
    double low = 0.0;
    double high = total_m;
    double force = 0.0;
    for (int i = 0; i < 50; i++) {
        *depth_m = 0.5 * (low + high);
        const double gain = fmax(1.0 + law->loss_s_m * (*depth_m - before) / dt_s, 0.0);
        force = law->stiffness * pow(*depth_m, law->exponent) * gain;
        *(*depth_m + law->compliance * force < total_m ? &low : &high) = *depth_m;
    }
    return force;
}

/* Adds one force to the transforms at all partials. */
static void transform(const struct wp_tube *tube, double force_n_s, double t, double (*sums)[2])
{
    for (size_t i = 0; i < tube->n_partials; i++) {
        const double phase = 2.0 * pi * tube->partials[i].freq_hz * t;
        sums[i][0] += force_n_s * cos(phase);
        sums[i][1] += force_n_s * sin(phase);
    }
}

/* Stoermer's method for every oscillator, q'' = -w^2 q + W F / M. */
static void run(struct reference *got, const struct wp_striker *striker, const struct wp_tube *tube,
                double height_m, double speed_m_s)
{
    const double dt = 0.25e-6;
    const double inverse_kg = 1.0 / striker->mass_kg + rigid_mobility(tube, height_m);
    const struct law law = {contact_stiffness(striker, tube), 1.5 + striker->stiffening,
                            striker->loss_s_m, rest_of_compliance(tube, height_m)};
    double q[WP_PARTIALS_MAX] = {0.0};
    double v[WP_PARTIALS_MAX] = {0.0};
    double w[WP_PARTIALS_MAX];
    double sums[WP_PARTIALS_MAX][2] = {{0.0}};
    double approach = 0.0;
    double speed = speed_m_s;
    double depth = 0.0;
    *got = (struct reference){0.0, 0.0, {0.0}};
    for (size_t i = 0; i < tube->n_partials; i++) {
        w[i] = wp_shape_at(&tube->partials[i].shape, 1.0 - height_m / tube->spec.length_m);
    }
    while (true) {
        double pressed = approach += speed * dt;
        for (size_t i = 0; i < tube->n_partials; i++) {
            pressed -= w[i] * (q[i] += v[i] * dt);
        }
        got->duration_s += dt;
        const double force = pressed > 0.0 ? force_at(&law, pressed, &depth, dt) : 0.0;
        if (!(force > 0.0)) {
            break;
        }
        got->impulse_n_s += force * dt;
        transform(tube, force * dt, got->duration_s, sums);
        speed -= inverse_kg * force * dt;
        for (size_t i = 0; i < tube->n_partials; i++) {
            const double omega = 2.0 * pi * tube->partials[i].freq_hz;
            v[i] += dt * (w[i] * force / tube->mass_kg - omega * omega * q[i]);
        }
    }
    for (size_t i = 0; i < tube->n_partials; i++) {
        got->work_n_s[i] = hypot(sums[i][0], sums[i][1]);
    }
}

static void compare(const struct wp_striker *striker, const struct wp_tube *tube, double height_m,
                    double speed_m_s)
{
    struct reference want;
    struct wp_contact contact;
    run(&want, striker, tube, height_m, speed_m_s);
    wp_contact_solve(&contact, striker, tube, height_m, speed_m_s);
    assert_near(contact.impulse_n_s, want.impulse_n_s, 0.005 * want.impulse_n_s);
    assert_near(contact.duration_s, want.duration_s, 0.01 * want.duration_s);
    for (size_t i = 0; i < N_COMPARED; i++) {
        const double share = want.work_n_s[i] / want.impulse_n_s;
        const double got = wp_contact_spectrum(&contact, tube->partials[i].freq_hz);
        /* Steps of 1/160 of a contact blur the nulls of the spectrum; far down nobody hears it. */
        const double within_db = share > 0.1    ? 0.1
                                 : share > 0.01 ? 0.5
                                 : share > 2e-3 ? 2.0
                                                : 300.0;
        assert_near(20.0 * log10(got / share), 0.0, within_db);
    }
}

static void blow_follows_the_integrated_motion(void **state)
{
    (void)state;
    struct wp_tube tube;
    solve_tube(&tube);
    for (size_t i = 0; i < 4; i++) {
        const struct wp_striker striker = striker_of(strikers[i]);
        for (size_t j = 0; j < 3; j++) {
            for (size_t k = 0; k < 3; k++) {
                compare(&striker, &tube, heights_m[k], speeds[j]);
            }
        }
    }
}

/*
 * Energy of a blow without loss: what the striker loses is what the tube has, as a rigid body and
 * in its partials, m v0^2/2 = m v1^2/2 + J^2/2 (1/M_rigid + sum W_n^2 G_n^2 / M). With J = m (v0 -
 * v1) this leaves J = 2 v0 / (1/m + 1/M_rigid + sum W_n^2 G_n^2 / M), whatever the contact.
 */
static void energy_is_kept_without_loss(void **state)
{
    (void)state;
    struct wp_tube tube;
    solve_tube(&tube);
    for (size_t i = 0; i < 4; i++) {
        struct wp_striker striker = striker_of(strikers[i]);
        striker.loss_s_m = 0.0;
        for (size_t k = 0; k < 3; k++) {
            struct wp_contact contact;
            wp_contact_solve(&contact, &striker, &tube, heights_m[k], 0.3);
            double inverse = 1.0 / striker.mass_kg + rigid_mobility(&tube, heights_m[k]);
            for (size_t n = 0; n < tube.n_partials; n++) {
                const struct wp_partial *partial = &tube.partials[n];
                const double w = wp_shape_at(&partial->shape, 1.0 - heights_m[k] / 0.6);
                const double g = wp_contact_spectrum(&contact, partial->freq_hz);
                inverse += w * w * g * g / tube.mass_kg;
            }
            const double want = 2.0 * 0.3 / inverse;
            assert_near(contact.impulse_n_s, want, 0.003 * want);
        }
    }
}

/* What the partials do: near the end a hard striker meets less than the rigid tube's mass, for
 * partials that are slow against the contact move away as well; a soft one meets all of it. */
static void slow_partials_make_the_end_lighter(void **state)
{
    (void)state;
    struct wp_tube tube;
    struct wp_tube rigid;
    struct wp_contact real;
    struct wp_contact stiff;
    solve_tube(&tube);
    rigid = tube;
    rigid.n_partials = 0;
    const struct wp_striker hard = striker_of("steel");
    const struct wp_striker soft = striker_of("soft rubber");
    wp_contact_solve(&real, &hard, &tube, 0.03, 0.3);
    wp_contact_solve(&stiff, &hard, &rigid, 0.03, 0.3);
    assert_true(20.0 * log10(stiff.impulse_n_s / real.impulse_n_s) > 3.0);
    assert_true(real.duration_s < stiff.duration_s);
    wp_contact_solve(&real, &soft, &tube, 0.2, 0.05);
    wp_contact_solve(&stiff, &soft, &rigid, 0.2, 0.05);
    assert_near(real.impulse_n_s, stiff.impulse_n_s, 0.01 * stiff.impulse_n_s);
}

/* Momentum: a striker of mass m cannot give more than 2 m v, whatever it meets. From 1 um/s to 20
 * m/s, from 1 g to 8 kg, on thin tubes and on posts: the contact is followed until they part. */
static void every_striker_parts_from_every_tube(void **state)
{
    (void)state;
    static const double diameters_m[] = {0.006, 0.0254, 0.1};
    struct wp_tube tube;
    solve_tube(&tube);
    for (size_t d = 0; d < 6; d++) {
        struct wp_tube_spec spec = tube.spec;
        spec.outer_diameter_m = diameters_m[d / 2];
        spec.wall_m = 0.03 * spec.outer_diameter_m;
        spec.length_m = 60.0 * spec.outer_diameter_m;
        spec.is_held_rigid = d % 2 == 1;
        struct wp_tube thin;
        assert_int_equal(wp_tube_solve(&thin, &spec, 16000.0), WP_OK);
        for (size_t i = 0; wp_striker_material_name(i); i++) {
            struct wp_striker striker = striker_of(wp_striker_material_name(i));
            for (int k = 0; k < 24; k++) {
                const double speed = 1e-6 * pow(16.5, k % 7);
                struct wp_contact contact;
                striker.mass_kg = 1e-3 * pow(20.0, k % 4);
                wp_contact_solve(&contact, &striker, &thin, 0.05 * spec.length_m, speed);
                assert_true(contact.n_forces < WP_CONTACT_STEPS_MAX);
                assert_true(contact.impulse_n_s > 0.0 &&
                            contact.impulse_n_s < 2.0001 * striker.mass_kg * speed);
                assert_true(contact.duration_s > 0.0 && contact.peak_n > 0.0);
            }
        }
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(blow_follows_the_integrated_motion),
        cmocka_unit_test(energy_is_kept_without_loss),
        cmocka_unit_test(slow_partials_make_the_end_lighter),
        cmocka_unit_test(every_striker_parts_from_every_tube),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
