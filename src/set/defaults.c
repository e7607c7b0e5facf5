/* SPDX-License-Identifier: MIT */
/* What a set file need not say: every default, and why it is what it is. */
#include "windpeal/set.h"

#include <math.h>
#include <stdio.h>

/* Material of tubes: the alloy that most tube stock for chimes comes in. Diameter and wall have no
 * default, since every frequency hangs on them. A perfect tube: real ovality and bore offset are
 * the maker's to measure. */
static void default_tubes(struct wp_set_tube tubes[WP_TUBES_MAX])
{
    for (size_t i = 0; i < WP_TUBES_MAX; i++) {
        tubes[i] = (struct wp_set_tube){
            .outer_diameter_m = NAN,
            .wall_m = NAN,
            .length_m = NAN,
            .note_hz = NAN,
            .soft_direction_deg = NAN,
            .stiffness_ratio = 1.0,
        };
        (void)snprintf(tubes[i].material.name, sizeof tubes[i].material.name, "%s",
                       "aluminium 6063-T6");
    }
}

/* A striker of palm size for tubes of a hand's length and more; on the default ring it hangs 24 mm
 * clear of a 32 mm tube. Hardwood: neither clicks nor muffles. */
static void default_striker(struct wp_set_striker *striker)
{
    *striker = (struct wp_set_striker){
        .diameter_m = 0.070,
        .mass_kg = 0.060,
        .suspension_m = 0.250,
        .strike_height_m = 0.030,
    };
    (void)snprintf(striker->material.name, sizeof striker->material.name, "%s", "hardwood");
}

/* Without a word in the file the statistical drive moves the striker. */
static const struct wp_set_drive default_drive = {
    .kind = WP_DRIVE_STATISTICAL,
    .statistical = {.calm_below_m_s = 0.5, /* Beaufort 1, smoke barely drifts */
                    .busiest_per_s = 6.0,  /* beyond this single strikes blur into one sound */
                    .full_at_m_s = 12.0,   /* Beaufort 6 */
                    .update_s = 10.0 /* a controller asking its station at leisure */},
    /* A disc of a palm's width in 3 mm plywood, clear of the tubes' bottom ends. */
    .sail = {.area_m2 = 0.008, .below_m = 0.300, .mass_kg = 0.020},
    /*
     * Two coils with rods of iron some 12 mm thick and 40 mm long, for a few watts each, which
     * short pulses overdrive: dipoles of 1.4 A m2, as 1200 A turns on such rods give. All
     * estimates; force and friction are for a maker to measure, with a letter scale and a ruler.
     */
    .coils = {.mean_over_s = 300.0,
              .slowest_s = 25.0,
              .fastest_s = 2.5,
              .calm_below_m_s = 0.5,
              .full_at_m_s = 11.0, /* Beaufort 6 */
              .update_s = 10.0,
              .least_duty_01 = 0.85,
              .jitter_01 = 0.0,
              .pulse_s = 0.040, /* well below an eighth of a swing */
              .supply_v = 24.0,
              .ohm_20c = 16.0,
              .inductance_h = 0.05,
              .force_n = 7.0,
              .current_a = 1.5,
              .reach_m = 0.022,
              .gap_m = 0.009,
              .rest_offset_m = 0.001,
              .rest_bearing_deg = 15.0,
              .pivot_friction_m = 0.0005,
              .rating_c = 80.0,
              .heat_capacity_j_k = 25.0,
              .heat_resistance_k_w = 22.0},
};

void wp_set_default(struct wp_set *set)
{
    *set = (struct wp_set){
        .name = "unnamed set",
        .tuned_to = WP_TUNED_FIRST_PARTIAL,
        .reference_hz = 440.0,        /* ISO 16:1975 */
        .temperature_c = 20.0,        /* ISO 1: the temperature at which lengths are true */
        .is_supported_at_node = true, /* the place that damps partial 1 least */
        .support_m = NAN,
        .hole_m = NAN,
        .cord_kg_m = 0.001, /* thin braided cord of 1 to 1.5 mm */
        .layout = {.kind = WP_LAYOUT_RING,
                   .ring_radius_m = 0.075,  /* see default_striker */
                   .rows_gap_m = 0.150,     /* twice that radius */
                   .rows_spacing_m = 0.050, /* 18 mm between tubes of 32 mm */
                   .line_spacing_m = 0.050,
                   .line_offset_m = 0.075,       /* that radius */
                   .mount_resistance_kg_s = 0.2, /* soft rubber: partials ring for seconds */
                   .align = WP_ALIGN_BOTTOMS /* one striker height suits all tubes */},
        .drive = default_drive,
        .site_height_m = 2.0,
        .site_roughness_m = 0.25, /* "garden": scattered obstacles */
        .listener_distance_m = 3.0,
        .listener_height_m = 0.4,      /* at mid-height a free tube cancels its own even partials */
        .room = {.kind = WP_ROOM_FREE, /* what a tube itself sounds like */
                 .ground = WP_GROUND_GRASS,
                 .size_m = {NAN, NAN, NAN},
                 .decay_s = NAN,
                 .humidity_01 = 0.5 /* between heated rooms and summer nights */},
    };
    default_tubes(set->tubes);
    default_striker(&set->striker);
}
