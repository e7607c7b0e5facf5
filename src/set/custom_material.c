/* SPDX-License-Identifier: MIT */
/* Materials as a set file gives them: a name, or constants. */
#include "set/custom_material.h"

#include <math.h>
#include <stdio.h>

static const struct wp_limits modulus = {WP_PRESSURE, 1e5, 1e12, "0.1 MPa to 1000 GPa"};
static const struct wp_limits density = {WP_DENSITY, 50.0, 25000.0, "50 kg/m3 to 25000 kg/m3"};
static const struct wp_limits poisson = {WP_NUMBER, 0.0, 0.5, "0 to 0.5"};
static const struct wp_limits loss = {WP_NUMBER, 0.0, 2.0, "0 to 2"};
static const struct wp_limits expansion = {WP_PER_KELVIN, -1e-4, 1e-3, "-1e-4 /K to 1e-3 /K"};
static const struct wp_limits stiffness = {WP_PER_KELVIN, -0.1, 0.01, "-0.1 /K to 0.01 /K"};
static const struct wp_limits conductivity = {WP_CONDUCTIVITY, 0.01, 2500.0,
                                              "0.01 W/mK to 2500 W/mK"};
static const struct wp_limits heat = {WP_SPECIFIC_HEAT, 50.0, 10000.0, "50 J/kgK to 10000 J/kgK"};
static const struct wp_limits restitution = {WP_NUMBER, 0.0, 1.0, "0 to 1"};

static const struct wp_field fields[] = {
    {"young_modulus", WP_FIELD_QUANTITY, &modulus, offsetof(struct wp_material, young_modulus_pa),
     NULL},
    {"density", WP_FIELD_QUANTITY, &density, offsetof(struct wp_material, density_kg_m3), NULL},
    {"poisson_ratio", WP_FIELD_QUANTITY, &poisson, offsetof(struct wp_material, poisson_ratio),
     NULL},
    {"loss_factor", WP_FIELD_QUANTITY, &loss, offsetof(struct wp_material, loss_factor), NULL},
    {"thermal_expansion", WP_FIELD_QUANTITY, &expansion,
     offsetof(struct wp_material, thermal_expansion_per_k), NULL},
    {"stiffness_per_kelvin", WP_FIELD_QUANTITY, &stiffness,
     offsetof(struct wp_material, stiffness_per_k), NULL},
    {"conductivity", WP_FIELD_QUANTITY, &conductivity,
     offsetof(struct wp_material, conductivity_w_mk), NULL},
    {"specific_heat", WP_FIELD_QUANTITY, &heat, offsetof(struct wp_material, specific_heat_j_kgk),
     NULL},
    {"restitution", WP_FIELD_QUANTITY, &restitution, offsetof(struct wp_material, restitution),
     NULL},
};
static const struct wp_section section = {"a material", fields, sizeof fields / sizeof fields[0]};

static void want_key(const struct wp_reader *reader, const struct wp_node *node, const char *key)
{
    if (!wp_node_find(node, key)) {
        (void)wp_reader_refuse(reader, node, WP_E_MISSING, "or give a material's name instead",
                               "%s without %s; expected it among the constants",
                               wp_node_label(node), key);
    }
}

static void read_constants(const struct wp_reader *reader, const struct wp_node *node,
                           bool needs_density, struct wp_set_material *material)
{
    (void)snprintf(material->name, sizeof material->name, "%s", "custom");
    material->is_custom = true;
    material->values = (struct wp_material){NAN, NAN, NAN, NAN, NAN, NAN, NAN, NAN, NAN};
    wp_section_read(reader, &section, node, &material->values);
    want_key(reader, node, "young_modulus");
    if (needs_density) {
        want_key(reader, node, "density");
    }
}

void wp_read_material(const struct wp_reader *reader, const struct wp_node *node,
                      bool needs_density, struct wp_set_material *material)
{
    material->mark = node->mark;
    if (node->kind == WP_NODE_MAPPING && !node->is_refused) {
        read_constants(reader, node, needs_density, material);
        return;
    }
    material->is_custom = false;
    if (wp_reader_wants(reader, node, WP_NODE_SCALAR, "a material's name or its constants")) {
        wp_read_text(reader, node, material->name, sizeof material->name);
    }
}
