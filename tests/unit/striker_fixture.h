/* SPDX-License-Identifier: MIT */
#ifndef WINDPEAL_TEST_STRIKER_FIXTURE_H
#define WINDPEAL_TEST_STRIKER_FIXTURE_H

#include <stdio.h>
#include <string.h>

#include "windpeal/strike.h"

/* A set of aluminium tubes made by hand, without set file and tube solver. */

struct fixture {
    struct wp_set set;
    struct wp_chime chime;
    struct wp_layout layout;
    struct wp_striker striker;
    struct wp_strike_context context;
    struct wp_diags diags;
};

/* Rigid-body values of an aluminium tube 25.4 x 1.65 mm: all that layout and contact look at. */
static inline struct wp_tube fixture_tube(double length_m)
{
    struct wp_tube tube;
    memset(&tube, 0, sizeof tube);
    tube.spec.material.young_modulus_pa = 68.9e9;
    tube.spec.material.poisson_ratio = 0.33;
    tube.spec.material.density_kg_m3 = 2700.0;
    tube.spec.outer_diameter_m = 0.0254;
    tube.spec.wall_m = 0.00165;
    tube.spec.length_m = length_m;
    tube.bare_mass_kg = 0.3324 * length_m;
    tube.mass_kg = tube.bare_mass_kg;
    return tube;
}

/* Six tubes of 0.5 to 0.7 m in a ring of 75 mm, a hardwood striker of 70 mm; nothing laid out. */
static inline void fixture_set(struct fixture *fixture)
{
    memset(fixture, 0, sizeof *fixture);
    wp_diags_init(&fixture->diags);
    struct wp_set *set = &fixture->set;
    snprintf(set->file, sizeof set->file, "six.yaml");
    set->n_tubes = 6;
    set->layout.kind = WP_LAYOUT_RING;
    set->layout.ring_radius_m = 0.075;
    set->layout.align = WP_ALIGN_BOTTOMS;
    set->layout.mark = (struct wp_mark){12, 3};
    snprintf(set->striker.material.name, sizeof set->striker.material.name, "hardwood");
    set->striker.material.mark = (struct wp_mark){15, 13};
    set->striker.diameter_m = 0.07;
    set->striker.mass_kg = 0.06;
    set->striker.suspension_m = 0.25;
    set->striker.strike_height_m = 0.03;
    set->drive.statistical = (struct wp_set_statistical){0.5, 6.0, 12.0, 10.0};
    fixture->chime.n_tubes = 6;
    for (size_t i = 0; i < 6; i++) {
        fixture->chime.tubes[i] = fixture_tube(0.7 - 0.04 * (double)i);
    }
}

/* The same, laid out and with its striker looked up. */
static inline enum wp_status fixture_init(struct fixture *fixture)
{
    fixture_set(fixture);
    enum wp_status status =
        wp_layout_init(&fixture->layout, &fixture->set, &fixture->chime, &fixture->diags);
    if (!status) {
        status = wp_striker_init(&fixture->striker, &fixture->set, &fixture->diags);
    }
    fixture->context = (struct wp_strike_context){&fixture->set, &fixture->chime, &fixture->layout,
                                                  &fixture->striker};
    return status;
}

#endif
