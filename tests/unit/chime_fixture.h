/* SPDX-License-Identifier: MIT */
#ifndef WINDPEAL_TEST_CHIME_FIXTURE_H
#define WINDPEAL_TEST_CHIME_FIXTURE_H

#include <math.h>
#include <stddef.h>
#include <stdio.h>

#include "windpeal/chime.h"
#include "windpeal/set.h"

/* A set of aluminium tubes, 32 mm by 1.6 mm, as a reader would leave it. */
static inline struct wp_set plain_set(const double *notes_hz, size_t n_tubes)
{
    struct wp_set set = {.file = "garden.yaml",
                         .n_tubes = n_tubes,
                         .reference_hz = 440.0,
                         .temperature_c = 20.0,
                         .is_supported_at_node = true,
                         .cord_kg_m = 1e-3,
                         .hole_m = NAN,
                         .mark_support = {9, 12}};
    for (size_t i = 0; i < n_tubes; i++) {
        struct wp_set_tube *tube = &set.tubes[i];
        *tube = (struct wp_set_tube){.material = {.mark = {3, 13}},
                                     .stiffness_ratio = 1.0,
                                     .outer_diameter_m = 0.032,
                                     .wall_m = 0.0016,
                                     .length_m = NAN,
                                     .note_hz = notes_hz[i],
                                     .soft_direction_deg = NAN,
                                     .mark = {6, 11 + 4 * (int)i},
                                     .mark_wall = {5, 9}};
        (void)snprintf(tube->material.name, sizeof tube->material.name, "aluminium 6063-T6");
        (void)snprintf(tube->note, sizeof tube->note, "N%zu", i + 1);
    }
    return set;
}

/* Solves a set with the defaults. diags: emptied before, or NULL. */
static inline enum wp_status solve_plainly(struct wp_chime **chime, const struct wp_set *set,
                                           struct wp_diags *diags)
{
    struct wp_chime_config config;
    wp_chime_config_default(&config);
    if (diags) {
        wp_diags_init(diags);
    }
    return wp_chime_create(chime, set, &config, diags);
}

#endif
