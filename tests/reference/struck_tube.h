/* SPDX-License-Identifier: MIT */
#ifndef TESTS_REFERENCE_STRUCK_TUBE_H
#define TESTS_REFERENCE_STRUCK_TUBE_H

/* A tube, its strikers and the contact between them, for tests that integrate a blow themselves. */

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>

#include <cmocka.h>

#include "striker/wall.h"
#include "windpeal/contact.h"

/* An aluminium tube of 25.4 x 1.65 x 600 mm. */
static inline void solve_tube(struct wp_tube *tube)
{
    const struct wp_tube_spec spec = {
        .material = *wp_material_find("aluminium 6063-T6"),
        .outer_diameter_m = 0.0254,
        .wall_m = 0.00165,
        .length_m = 0.6,
        .temperature_c = 20.0,
        .is_supported_at_node = true,
        .cord_kg_m = 1e-3,
    };
    assert_int_equal(wp_tube_solve(tube, &spec, 20000.0), WP_OK);
}

/* A ball of 70 mm and 60 g, as a set file's striker would become. */
static inline struct wp_striker striker_of(const char *name)
{
    struct wp_set set;
    struct wp_striker striker;
    wp_set_default(&set);
    snprintf(set.striker.material.name, sizeof set.striker.material.name, "%s", name);
    assert_int_equal(wp_striker_init(&striker, &set, NULL), WP_OK);
    return striker;
}

/* The contact's law, found from the solver's own peak without loss, wall and partials: so this test
 * is about the motion; test_contact.c is about the stiffness. */
static inline double contact_stiffness(const struct wp_striker *striker, const struct wp_tube *tube)
{
    struct wp_striker bare = *striker;
    struct wp_tube rigid = *tube;
    struct wp_contact contact;
    bare.loss_s_m = 0.0;
    rigid.n_partials = 0;
    rigid.spec.wall_m = 0.5 * rigid.spec.outer_diameter_m; /* no wall to give way */
    wp_contact_solve(&contact, &bare, &rigid, 0.1, 0.3);
    const double exponent = 1.5 + striker->stiffening;
    const double energy = 0.25 * contact.impulse_n_s * 0.3;
    const double depth = (exponent + 1.0) * energy / contact.peak_n;
    return contact.peak_n / pow(depth, exponent);
}

/* What the wall gives way under a steady force beyond the ovalling partials that move one by one:
 * each of them takes W^2 / (M w^2). */
static inline double rest_of_compliance(const struct wp_tube *tube, double height_m)
{
    double rest = wp_wall_compliance(&tube->spec, height_m);
    for (size_t i = tube->n_bending; i < tube->n_partials; i++) {
        const double omega = 2.0 * M_PI * tube->partials[i].freq_hz;
        const double w =
            wp_shape_at(&tube->partials[i].shape, 1.0 - height_m / tube->spec.length_m);
        rest -= w * w / (tube->mass_kg * omega * omega);
    }
    assert_true(rest > 0.0);
    return rest;
}

#endif
