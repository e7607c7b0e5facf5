/* SPDX-License-Identifier: MIT */
/* The sections 'drive', 'site' and 'listener' of a set file. */
#include "set/exposure.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#include "set/coils.h"

static const struct wp_limits calm_limits = {WP_SPEED, 0.0, 30.0, "0 m/s to 30 m/s"};
static const struct wp_limits busiest_limits = {WP_RATE, 1.0 / 3600.0, 20.0, "1 /h to 20 /s"};
static const struct wp_limits full_limits = {WP_SPEED, 0.1, 60.0, "0.1 m/s to 60 m/s"};
static const struct wp_limits update_limits = {WP_DURATION, 1.0, 3600.0, "1 s to 1 h"};
static const struct wp_limits area_limits = {WP_AREA, 1e-6, 1.0, "1 mm2 to 1 m2"};
static const struct wp_limits below_limits = {WP_LENGTH, 0.0, 5.0, "0 mm to 5 m"};
static const struct wp_limits mass_limits = {WP_MASS, 0.0, 5.0, "0 g to 5 kg"};
static const struct wp_limits height_limits = {WP_LENGTH, 0.1, 300.0, "0.1 m to 300 m"};
static const struct wp_limits roughness_limits = {WP_LENGTH, 1e-5, 5.0, "0.01 mm to 5 m"};
static const struct wp_limits distance_limits = {WP_LENGTH, 0.05, 1000.0, "50 mm to 1 km"};
static const struct wp_limits bearing_limits = {WP_ANGLE, -360.0, 360.0, "-360 to 360 degrees"};
static const struct wp_limits ear_limits = {WP_LENGTH, -100.0, 100.0, "-100 m to 100 m"};

static const struct wp_field statistical_fields[] = {
    {"calm_below", WP_FIELD_QUANTITY, &calm_limits,
     offsetof(struct wp_set_statistical, calm_below_m_s), NULL},
    {"busiest", WP_FIELD_QUANTITY, &busiest_limits,
     offsetof(struct wp_set_statistical, busiest_per_s), NULL},
    {"full_at", WP_FIELD_QUANTITY, &full_limits, offsetof(struct wp_set_statistical, full_at_m_s),
     NULL},
    {"update", WP_FIELD_QUANTITY, &update_limits, offsetof(struct wp_set_statistical, update_s),
     NULL},
};
static const struct wp_section statistical_section = {
    "statistical", statistical_fields, sizeof statistical_fields / sizeof statistical_fields[0]};

static void read_statistical(const struct wp_reader *reader, const struct wp_node *node,
                             void *value)
{
    struct wp_set_drive *drive = value;
    drive->kind = WP_DRIVE_STATISTICAL;
    wp_section_read(reader, &statistical_section, node, &drive->statistical);
    if (drive->statistical.full_at_m_s <= drive->statistical.calm_below_m_s) {
        (void)wp_reader_refuse(reader, node, WP_E_RANGE, NULL,
                               "full_at is not above calm_below; expected a stronger wind for the "
                               "busiest striking than for the first strike");
    }
}

static const struct wp_field sail_fields[] = {
    {"area", WP_FIELD_QUANTITY, &area_limits, offsetof(struct wp_set_sail, area_m2), NULL},
    {"below", WP_FIELD_QUANTITY, &below_limits, offsetof(struct wp_set_sail, below_m), NULL},
    {"mass", WP_FIELD_QUANTITY, &mass_limits, offsetof(struct wp_set_sail, mass_kg), NULL},
};
static const struct wp_section sail_section = {"sail", sail_fields,
                                               sizeof sail_fields / sizeof sail_fields[0]};

static void read_sail(const struct wp_reader *reader, const struct wp_node *node, void *value)
{
    struct wp_set_drive *drive = value;
    drive->kind = WP_DRIVE_SAIL;
    wp_section_read(reader, &sail_section, node, &drive->sail);
}

static const struct wp_field drive_fields[] = {
    {"statistical", WP_FIELD_SPECIAL, NULL, 0, read_statistical},
    {"sail", WP_FIELD_SPECIAL, NULL, 0, read_sail},
    {"coils", WP_FIELD_SPECIAL, NULL, 0, wp_read_coils},
};
static const struct wp_section drive_section = {"drive", drive_fields,
                                                sizeof drive_fields / sizeof drive_fields[0]};

void wp_read_drive(const struct wp_reader *reader, const struct wp_node *node)
{
    wp_section_read(reader, &drive_section, node, &reader->set->drive);
    if (node->kind == WP_NODE_MAPPING && node->n_children != 1 && !node->is_refused) {
        (void)wp_reader_refuse(reader, node, node->n_children > 1 ? WP_E_CONFLICT : WP_E_MISSING,
                               "statistical: {busiest: 6 /s}",
                               "%zu drives; expected exactly one that moves the striker",
                               node->n_children);
    }
}

/* Roughness classes of Davenport as revised by J. Wieringa, "Updating the Davenport roughness
 * classification", J. Wind Eng. Ind. Aerodyn. 41-44 (1992) 357-368: one class a row, with everyday
 * names for its terrain. A garden is class 5, scattered obstacles. */
struct terrain {
    double roughness_m;
    const char *name;
};

static const struct terrain terrains[] = {
    {0.0002, "sea"},  {0.005, "snow"},     {0.03, "open grass"}, {0.10, "crops"},
    {0.25, "garden"}, {0.25, "hedgerows"}, {0.5, "orchard"},     {0.5, "park"},
    {1.0, "suburb"},  {1.0, "forest"},     {2.0, "city"},
};
enum { N_TERRAINS = sizeof terrains / sizeof terrains[0] };

static void read_roughness(const struct wp_reader *reader, const struct wp_node *node, void *value)
{
    double *roughness_m = value;
    if (wp_node_begins_number(node)) {
        *roughness_m = wp_read_quantity(reader, node, &roughness_limits);
        return;
    }
    const char *names[N_TERRAINS];
    for (size_t i = 0; i < N_TERRAINS; i++) {
        names[i] = terrains[i].name;
    }
    const int index = wp_read_word(reader, node, names, N_TERRAINS, "a length such as 0.1 m");
    *roughness_m = index >= 0 ? terrains[index].roughness_m : (double)NAN;
}

static const struct wp_field site_fields[] = {
    {"height", WP_FIELD_QUANTITY, &height_limits, offsetof(struct wp_set, site_height_m), NULL},
    {"roughness", WP_FIELD_SPECIAL, NULL, offsetof(struct wp_set, site_roughness_m),
     read_roughness},
};
static const struct wp_section site_section = {"site", site_fields, 2};

void wp_read_site(const struct wp_reader *reader, const struct wp_node *node)
{
    struct wp_set *set = reader->set;
    wp_section_read(reader, &site_section, node, set);
    if (set->site_height_m <= set->site_roughness_m) {
        (void)wp_reader_refuse(reader, node, WP_E_RANGE,
                               "hang the set higher, or choose smoother ground",
                               "the set hangs within the roughness of its site; expected a height "
                               "above the roughness length, %.2g m",
                               set->site_roughness_m);
    }
}

static const struct wp_field listener_fields[] = {
    {"distance", WP_FIELD_QUANTITY, &distance_limits, offsetof(struct wp_set, listener_distance_m),
     NULL},
    {"bearing", WP_FIELD_QUANTITY, &bearing_limits, offsetof(struct wp_set, listener_bearing_deg),
     NULL},
    {"height", WP_FIELD_QUANTITY, &ear_limits, offsetof(struct wp_set, listener_height_m), NULL},
};
static const struct wp_section listener_section = {"listener", listener_fields, 3};

void wp_read_listener(const struct wp_reader *reader, const struct wp_node *node)
{
    wp_section_read(reader, &listener_section, node, reader->set);
}
