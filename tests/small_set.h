/* SPDX-License-Identifier: MIT */
#ifndef TESTS_SMALL_SET_H
#define TESTS_SMALL_SET_H

/* A set of three tubes, for tests of what comes after the tubes are solved. */

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

#include "near.h"
#include "windpeal/chime.h"
#include "windpeal/contact.h"
#include "windpeal/layout.h"
#include "windpeal/set.h"
#include "windpeal/strike.h"

struct small_set {
    struct wp_set set;
    struct wp_chime *chime;
    struct wp_layout layout;
    struct wp_striker striker;
    struct wp_strike_context context;
};

/* Tubes of 1 inch by 1.65 mm, 600, 500 and 400 mm long, on a ring; change set before solving. */
static inline void small_set_describe(struct wp_set *set, size_t n_tubes)
{
    wp_set_default(set);
    set->n_tubes = n_tubes;
    for (size_t i = 0; i < n_tubes; i++) {
        set->tubes[i].outer_diameter_m = 0.0254;
        set->tubes[i].wall_m = 0.00165;
        set->tubes[i].length_m = 0.6 - 0.1 * (double)i;
    }
    set->listener_bearing_deg = 30.0;
    set->listener_height_m = 0.4;
}

static inline void small_set_solve(struct small_set *small)
{
    struct wp_chime_config config;
    struct wp_diags diags;
    wp_diags_init(&diags);
    wp_chime_config_default(&config);
    assert_int_equal(wp_chime_create(&small->chime, &small->set, &config, &diags), WP_OK);
    assert_int_equal(wp_layout_init(&small->layout, &small->set, small->chime, &diags), WP_OK);
    assert_int_equal(wp_striker_init(&small->striker, &small->set, &diags), WP_OK);
    small->context.set = &small->set;
    small->context.chime = small->chime;
    small->context.layout = &small->layout;
    small->context.striker = &small->striker;
}

static inline void small_set_finish(struct small_set *small)
{
    wp_chime_destroy(small->chime);
}

/* A blow at 0.3 m/s, 5 mN s, 30 mm above the bottom end. */
static inline struct wp_strike blow_at(double t_s, size_t tube, double bearing_deg)
{
    return (struct wp_strike){t_s, tube, 0.3, bearing_deg, 0.03, 0.005};
}

#endif
