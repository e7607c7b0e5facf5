/* SPDX-License-Identifier: MIT */
/* The sections 'layout' and 'striker' of a set file. */
#include "set/arrangement.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#include "set/custom_material.h"

static const struct wp_limits radius_limits = {WP_LENGTH, 0.01, 3.0, "10 mm to 3 m"};
static const struct wp_limits gap_limits = {WP_LENGTH, 0.02, 6.0, "20 mm to 6 m"};
static const struct wp_limits spacing_limits = {WP_LENGTH, 0.005, 1.0, "5 mm to 1 m"};
static const struct wp_limits offset_limits = {WP_LENGTH, 0.01, 3.0, "10 mm to 3 m"};
static const struct wp_limits place_limits = {WP_LENGTH, -3.0, 3.0, "-3 m to 3 m"};
static const struct wp_limits diameter_limits = {WP_LENGTH, 0.005, 0.5, "5 mm to 500 mm"};
static const struct wp_limits mass_limits = {WP_MASS, 0.001, 20.0, "1 g to 20 kg"};
static const struct wp_limits suspension_limits = {WP_LENGTH, 0.02, 5.0, "20 mm to 5 m"};
static const struct wp_limits resistance_limits = {WP_RESISTANCE, 0.0, 100.0, "0 kg/s to 100 kg/s"};
static const struct wp_limits height_limits = {WP_LENGTH, 0.001, 3.0, "1 mm to 3 m"};

static const struct wp_field ring_fields[] = {
    {"radius", WP_FIELD_QUANTITY, &radius_limits, offsetof(struct wp_set_layout, ring_radius_m),
     NULL},
};
static const struct wp_section ring_section = {"ring", ring_fields, 1};

static void read_ring(const struct wp_reader *reader, const struct wp_node *node, void *value)
{
    struct wp_set_layout *layout = value;
    layout->mark = node->mark;
    wp_section_read(reader, &ring_section, node, layout);
}

static const struct wp_field rows_fields[] = {
    {"gap", WP_FIELD_QUANTITY, &gap_limits, offsetof(struct wp_set_layout, rows_gap_m), NULL},
    {"spacing", WP_FIELD_QUANTITY, &spacing_limits, offsetof(struct wp_set_layout, rows_spacing_m),
     NULL},
};
static const struct wp_section rows_section = {"rows", rows_fields, 2};

static void read_rows(const struct wp_reader *reader, const struct wp_node *node, void *value)
{
    struct wp_set_layout *layout = value;
    layout->kind = WP_LAYOUT_ROWS;
    layout->mark = node->mark;
    wp_section_read(reader, &rows_section, node, layout);
}

static const struct wp_field line_fields[] = {
    {"spacing", WP_FIELD_QUANTITY, &spacing_limits, offsetof(struct wp_set_layout, line_spacing_m),
     NULL},
    {"offset", WP_FIELD_QUANTITY, &offset_limits, offsetof(struct wp_set_layout, line_offset_m),
     NULL},
};
static const struct wp_section line_section = {"line", line_fields, 2};

static void read_line(const struct wp_reader *reader, const struct wp_node *node, void *value)
{
    struct wp_set_layout *layout = value;
    layout->kind = WP_LAYOUT_LINE;
    layout->mark = node->mark;
    wp_section_read(reader, &line_section, node, layout);
}

static void read_place(const struct wp_reader *reader, const struct wp_node *node,
                       struct wp_place *place)
{
    *place = (struct wp_place){NAN, NAN};
    if (!wp_reader_wants(reader, node, WP_NODE_LIST, "a place, such as [80 mm, 0 mm]")) {
        return;
    }
    if (node->n_children != 2) {
        (void)wp_reader_refuse(reader, node, WP_E_SYNTAX, NULL,
                               "a place of %zu values; expected two, such as [80 mm, 0 mm]",
                               node->n_children);
        return;
    }
    place->x_m = wp_read_quantity(reader, node->first_child, &place_limits);
    place->y_m = wp_read_quantity(reader, node->last_child, &place_limits);
}

static void read_positions(const struct wp_reader *reader, const struct wp_node *node, void *value)
{
    struct wp_set_layout *layout = value;
    layout->kind = WP_LAYOUT_POSITIONS;
    layout->mark = node->mark;
    for (size_t i = 0; i < WP_TUBES_MAX; i++) {
        layout->places[i] = (struct wp_place){NAN, NAN};
    }
    if (!wp_reader_wants(reader, node, WP_NODE_LIST, "a list of places [x, y]")) {
        return;
    }
    size_t n_places = 0;
    for (const struct wp_node *item = node->first_child; item && n_places < WP_TUBES_MAX;
         item = item->next) {
        read_place(reader, item, &layout->places[n_places++]);
    }
    const size_t n_tubes = reader->set->n_tubes;
    if (n_tubes > 0 && node->n_children != n_tubes) {
        (void)wp_reader_refuse(reader, node, WP_E_CONFLICT, NULL,
                               "%zu positions for %zu tubes; expected one for each tube",
                               node->n_children, n_tubes);
    }
}

static void read_align(const struct wp_reader *reader, const struct wp_node *node, void *value)
{
    static const char *const words[] = {"bottoms", "middles", "tops"};
    enum wp_align *align = value;
    const int index = wp_read_word(reader, node, words, 3, NULL);
    *align = index > 0 ? (enum wp_align)index : WP_ALIGN_BOTTOMS;
}

static void read_held(const struct wp_reader *reader, const struct wp_node *node, void *value)
{
    static const char *const words[] = {"hanging", "rigid"};
    bool *is_held_rigid = value;
    *is_held_rigid = wp_read_word(reader, node, words, 2, NULL) == 1;
}

static const struct wp_field layout_fields[] = {
    {"ring", WP_FIELD_SPECIAL, NULL, 0, read_ring},
    {"rows", WP_FIELD_SPECIAL, NULL, 0, read_rows},
    {"line", WP_FIELD_SPECIAL, NULL, 0, read_line},
    {"positions", WP_FIELD_SPECIAL, NULL, 0, read_positions},
    {"align", WP_FIELD_SPECIAL, NULL, offsetof(struct wp_set_layout, align), read_align},
    {"held", WP_FIELD_SPECIAL, NULL, offsetof(struct wp_set_layout, is_held_rigid), read_held},
    {"mount_resistance", WP_FIELD_QUANTITY, &resistance_limits,
     offsetof(struct wp_set_layout, mount_resistance_kg_s), NULL},
};
static const struct wp_section layout_section = {"layout", layout_fields,
                                                 sizeof layout_fields / sizeof layout_fields[0]};

/* Two ways to place the tubes contradict each other; the later one in the file is named. */
static void refuse_two_kinds(const struct wp_reader *reader, const struct wp_node *layout)
{
    static const char *const kinds[] = {"ring", "rows", "line", "positions"};
    const struct wp_node *first = NULL;
    for (const struct wp_node *child = layout->first_child; child; child = child->next) {
        for (size_t i = 0; i < sizeof kinds / sizeof kinds[0]; i++) {
            if (strcmp(child->key, kinds[i]) != 0) {
                continue;
            }
            if (first && strcmp(first->key, child->key) != 0) {
                (void)wp_reader_refuse(reader, child, WP_E_CONFLICT, NULL,
                                       "both %s and %s; expected one of the two", first->key,
                                       child->key);
                return;
            }
            first = child;
        }
    }
}

void wp_read_layout(const struct wp_reader *reader, const struct wp_node *node)
{
    struct wp_set_layout *layout = &reader->set->layout;
    layout->mark = node->mark;
    wp_section_read(reader, &layout_section, node, layout);
    if (node->kind == WP_NODE_MAPPING) {
        refuse_two_kinds(reader, node);
    }
    const struct wp_node *resistance = wp_node_find(node, "mount_resistance");
    if (resistance && !layout->is_held_rigid) {
        (void)wp_reader_refuse(reader, resistance, WP_E_CONFLICT,
                               "cords of hanging tubes stand under support",
                               "mount_resistance of hanging tubes; expected it with held: rigid");
    }
}

static void read_material(const struct wp_reader *reader, const struct wp_node *node, void *value)
{
    wp_read_material(reader, node, false, value);
}

static void read_contact(const struct wp_reader *reader, const struct wp_node *node, void *value)
{
    static const char *const words[] = {"real", "ideal"};
    bool *is_ideal = value;
    *is_ideal = wp_read_word(reader, node, words, 2, NULL) == 1;
}

static const struct wp_field striker_fields[] = {
    {"material", WP_FIELD_SPECIAL, NULL, offsetof(struct wp_set_striker, material), read_material},
    {"diameter", WP_FIELD_QUANTITY, &diameter_limits, offsetof(struct wp_set_striker, diameter_m),
     NULL},
    {"mass", WP_FIELD_QUANTITY, &mass_limits, offsetof(struct wp_set_striker, mass_kg), NULL},
    {"suspension", WP_FIELD_QUANTITY, &suspension_limits,
     offsetof(struct wp_set_striker, suspension_m), NULL},
    {"strike_height", WP_FIELD_QUANTITY, &height_limits,
     offsetof(struct wp_set_striker, strike_height_m), NULL},
    {"contact", WP_FIELD_SPECIAL, NULL, offsetof(struct wp_set_striker, is_ideal_contact),
     read_contact},
};
static const struct wp_section striker_section = {"striker", striker_fields,
                                                  sizeof striker_fields / sizeof striker_fields[0]};

/* Wherever the ends are aligned, no strike point may lie above the shortest tube's top. */
static void check_strike_height(const struct wp_reader *reader, const struct wp_node *node)
{
    const struct wp_set *set = reader->set;
    for (size_t i = 0; i < set->n_tubes; i++) {
        if (set->striker.strike_height_m >= set->tubes[i].length_m) {
            (void)wp_reader_refuse(reader, node, WP_E_RANGE, "it counts from the bottom ends",
                                   "strike_height passes above tube %zu; expected less than its "
                                   "length",
                                   i + 1);
            return;
        }
    }
}

void wp_read_striker(const struct wp_reader *reader, const struct wp_node *node)
{
    wp_section_read(reader, &striker_section, node, &reader->set->striker);
    if (node->kind != WP_NODE_MAPPING) {
        return;
    }
    const struct wp_node *height = wp_node_find(node, "strike_height");
    if (height) {
        reader->set->striker.mark_strike_height = height->mark;
        check_strike_height(reader, height);
    }
}
