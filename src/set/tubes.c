/* SPDX-License-Identifier: MIT */
/* The section 'tubes' of a set file: what all have in common, then each one's own. */
#include "set/tubes.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#include "set/custom_material.h"

static const struct wp_limits diameter_limits = {WP_LENGTH, 0.003, 0.3, "3 mm to 300 mm"};
static const struct wp_limits wall_limits = {WP_LENGTH, 0.0002, 0.15, "0.2 mm to 150 mm, or solid"};
static const struct wp_limits length_limits = {WP_LENGTH, 0.03, 12.0, "30 mm to 12 m"};
static const struct wp_limits end_mass_limits = {WP_MASS, 0.0, 5.0, "0 g to 5 kg"};
static const struct wp_limits plug_limits = {WP_LENGTH, 0.0, 3.0, "0 mm to 3 m"};
static const struct wp_limits ovality_limits = {WP_SHARE, 0.0, 0.2, "0 % to 20 %"};
static const struct wp_limits offset_limits = {WP_SHARE, 0.0, 0.9, "0 % to 90 %"};
static const struct wp_limits stiffness_limits = {WP_SHARE, 0.5, 1.5, "50 % to 150 %"};
static const struct wp_limits reference_limits = {WP_FREQUENCY, 200.0, 900.0, "200 Hz to 900 Hz"};
static const struct wp_limits temperature_limits = {WP_TEMPERATURE, -60.0, 80.0, "-60 C to 80 C"};
static const struct wp_limits support_limits = {WP_LENGTH, 0.001, 6.0, "node, or 1 mm to 6 m"};
static const struct wp_limits hole_limits = {WP_LENGTH, 0.0005, 0.05, "0.5 mm to 50 mm"};
static const struct wp_limits direction_limits = {WP_ANGLE, -360.0, 360.0,
                                                  "spread, or -360 to 360 degrees"};
static const struct wp_limits cord_limits = {WP_LINEAR_DENSITY, 0.0, 0.1, "0 g/m to 100 g/m"};

static void read_material(const struct wp_reader *reader, const struct wp_node *node, void *value)
{
    wp_read_material(reader, node, true, value);
}

/* A rod's wall follows from its diameter, which may stand further down: see settle_walls. */
static void read_wall(const struct wp_reader *reader, const struct wp_node *node, void *value)
{
    struct wp_set_tube *tube = value;
    tube->mark_wall = node->mark;
    tube->wall_m = NAN;
    tube->is_solid = false;
    if (wp_node_begins_number(node)) {
        tube->wall_m = wp_read_quantity(reader, node, &wall_limits);
    } else {
        static const char *const words[] = {"solid"};
        tube->is_solid = wp_read_word(reader, node, words, 1, "a length such as 1.6 mm") == 0;
    }
}

/* A diameter of its own makes the wall's fit this tube's concern. */
static void read_own_diameter(const struct wp_reader *reader, const struct wp_node *node,
                              void *value)
{
    struct wp_set_tube *tube = value;
    if (!wp_node_find(node->parent, "wall")) {
        tube->mark_wall = node->mark;
    }
    tube->outer_diameter_m = wp_read_quantity(reader, node, &diameter_limits);
}

static void read_end_mass(const struct wp_reader *reader, const struct wp_node *node, void *value)
{
    struct wp_set_tube *tube = value;
    tube->mark_end_mass = node->mark;
    tube->end_mass_kg = wp_read_quantity(reader, node, &end_mass_limits);
}

static void read_plug(const struct wp_reader *reader, const struct wp_node *node, void *value)
{
    struct wp_set_tube *tube = value;
    tube->mark_plug = node->mark;
    tube->plug_length_m = wp_read_quantity(reader, node, &plug_limits);
}

static void refuse_note(const struct wp_reader *reader, const struct wp_node *node)
{
    char meant[24];
    char hint[64];
    const bool has_hint = wp_note_suggest(node->text, meant, sizeof meant);
    (void)snprintf(hint, sizeof hint, "did you mean '%s'?", meant);
    (void)wp_reader_refuse(
        reader, node, WP_E_UNKNOWN_NAME,
        has_hint ? hint
                 : "letter A to G, octave -1 to 10, cents up to 100 behind a blank; no "
                   "blank before #, where it begins a comment",
        "'%.40s' is no note; expected one such as 'A3', 'C#4' or 'Bb2 -14'", node->text);
}

static void read_note(const struct wp_reader *reader, const struct wp_node *node, void *value)
{
    struct wp_set_tube *tube = value;
    tube->mark = node->mark;
    tube->length_m = NAN;
    tube->note_hz = NAN;
    tube->note[0] = '\0';
    if (!wp_reader_wants(reader, node, WP_NODE_SCALAR,
                         "a note, such as 'A3', 'C#4' or 'Bb2 -14'")) {
        return;
    }
    const size_t length = strlen(node->text);
    if (length >= sizeof tube->note ||
        wp_note_parse(node->text, reader->set->reference_hz, &tube->note_hz)) {
        refuse_note(reader, node);
        return;
    }
    memcpy(tube->note, node->text, length + 1);
}

static void read_length(const struct wp_reader *reader, const struct wp_node *node, void *value)
{
    struct wp_set_tube *tube = value;
    tube->mark = node->mark;
    tube->note_hz = NAN;
    tube->note[0] = '\0';
    tube->length_m = wp_read_quantity(reader, node, &length_limits);
}

static void read_tuned_to(const struct wp_reader *reader, const struct wp_node *node, void *value)
{
    static const char *const words[] = {"first partial", "heard pitch"};
    enum wp_tuned_to *tuned_to = value;
    const int index = wp_read_word(reader, node, words, 2, NULL);
    *tuned_to = index == 1 ? WP_TUNED_HEARD_PITCH : WP_TUNED_FIRST_PARTIAL;
}

static void read_soft_direction(const struct wp_reader *reader, const struct wp_node *node,
                                void *value)
{
    const bool is_spread = node->kind == WP_NODE_SCALAR && strcmp(node->text, "spread") == 0;
    *(double *)value = is_spread ? (double)NAN : wp_read_quantity(reader, node, &direction_limits);
}

static void read_support_at(const struct wp_reader *reader, const struct wp_node *node, void *value)
{
    struct wp_set *set = value;
    set->mark_support = node->mark;
    set->is_supported_at_node = false;
    if (wp_node_begins_number(node)) {
        set->support_m = wp_read_quantity(reader, node, &support_limits);
    } else {
        static const char *const words[] = {"node"};
        set->is_supported_at_node =
            wp_read_word(reader, node, words, 1, "a length such as 60 mm") == 0;
    }
}

static const struct wp_field support_fields[] = {
    {"at", WP_FIELD_SPECIAL, NULL, 0, read_support_at},
    {"cord", WP_FIELD_QUANTITY, &cord_limits, offsetof(struct wp_set, cord_kg_m), NULL},
    {"hole", WP_FIELD_QUANTITY, &hole_limits, offsetof(struct wp_set, hole_m), NULL},
};
static const struct wp_section support_section = {"support", support_fields, 3};

static void read_support(const struct wp_reader *reader, const struct wp_node *node, void *value)
{
    struct wp_set *set = value;
    set->mark_support = node->mark;
    wp_section_read(reader, &support_section, node, set);
}

/* What tubes have in common is read into the first one and copied from there. */
enum { FIRST = offsetof(struct wp_set, tubes) };

static const struct wp_field tubes_fields[] = {
    {"material", WP_FIELD_SPECIAL, NULL, FIRST + offsetof(struct wp_set_tube, material),
     read_material},
    {"outer_diameter", WP_FIELD_QUANTITY, &diameter_limits,
     FIRST + offsetof(struct wp_set_tube, outer_diameter_m), NULL},
    {"wall", WP_FIELD_SPECIAL, NULL, FIRST, read_wall},
    {"notes", WP_FIELD_LATER, NULL, 0, NULL},
    {"lengths", WP_FIELD_LATER, NULL, 0, NULL},
    {"tuned_to", WP_FIELD_SPECIAL, NULL, offsetof(struct wp_set, tuned_to), read_tuned_to},
    {"reference", WP_FIELD_QUANTITY, &reference_limits, offsetof(struct wp_set, reference_hz),
     NULL},
    {"temperature", WP_FIELD_QUANTITY, &temperature_limits, offsetof(struct wp_set, temperature_c),
     NULL},
    {"support", WP_FIELD_SPECIAL, NULL, 0, read_support},
    {"ovality", WP_FIELD_QUANTITY, &ovality_limits,
     FIRST + offsetof(struct wp_set_tube, ovality_01), NULL},
    {"soft_direction", WP_FIELD_SPECIAL, NULL,
     FIRST + offsetof(struct wp_set_tube, soft_direction_deg), read_soft_direction},
    {"bore_offset", WP_FIELD_QUANTITY, &offset_limits,
     FIRST + offsetof(struct wp_set_tube, bore_offset_01), NULL},
    {"end_mass", WP_FIELD_SPECIAL, NULL, FIRST, read_end_mass},
    {"stiffness", WP_FIELD_QUANTITY, &stiffness_limits,
     FIRST + offsetof(struct wp_set_tube, stiffness_ratio), NULL},
    {"plug_length", WP_FIELD_SPECIAL, NULL, FIRST, read_plug},
    {"each", WP_FIELD_LATER, NULL, 0, NULL},
};
static const struct wp_section tubes_section = {"tubes", tubes_fields,
                                                sizeof tubes_fields / sizeof tubes_fields[0]};

static const struct wp_field each_fields[] = {
    {"material", WP_FIELD_SPECIAL, NULL, offsetof(struct wp_set_tube, material), read_material},
    {"outer_diameter", WP_FIELD_SPECIAL, NULL, 0, read_own_diameter},
    {"wall", WP_FIELD_SPECIAL, NULL, 0, read_wall},
    {"note", WP_FIELD_SPECIAL, NULL, 0, read_note},
    {"length", WP_FIELD_SPECIAL, NULL, 0, read_length},
    {"ovality", WP_FIELD_QUANTITY, &ovality_limits, offsetof(struct wp_set_tube, ovality_01), NULL},
    {"soft_direction", WP_FIELD_SPECIAL, NULL, offsetof(struct wp_set_tube, soft_direction_deg),
     read_soft_direction},
    {"bore_offset", WP_FIELD_QUANTITY, &offset_limits, offsetof(struct wp_set_tube, bore_offset_01),
     NULL},
    {"plug_length", WP_FIELD_SPECIAL, NULL, 0, read_plug},
    {"end_mass", WP_FIELD_SPECIAL, NULL, 0, read_end_mass},
    {"stiffness", WP_FIELD_QUANTITY, &stiffness_limits,
     offsetof(struct wp_set_tube, stiffness_ratio), NULL},
};
static const struct wp_section each_section = {"one tube under 'each'", each_fields,
                                               sizeof each_fields / sizeof each_fields[0]};

/* The list that says how many tubes there are; NULL and a finding when there is not exactly one. */
static const struct wp_node *find_list(const struct wp_reader *reader, const struct wp_node *tubes)
{
    const struct wp_node *notes = wp_node_find(tubes, "notes");
    const struct wp_node *lengths = wp_node_find(tubes, "lengths");
    if (notes && lengths) {
        (void)wp_reader_refuse(reader, lengths, WP_E_CONFLICT,
                               "a tube with a length of its own stands under 'each'",
                               "both notes and lengths; expected one of the two lists");
        return notes;
    }
    if (!notes && !lengths) {
        (void)wp_diags_add(reader->diags, WP_E_MISSING, reader->set->file, tubes->key_mark,
                           "add notes: [A3, C4, E4]",
                           "tubes without notes or lengths; expected one of the two lists");
    }
    return notes ? notes : lengths;
}

static void read_list(const struct wp_reader *reader, const struct wp_node *list)
{
    struct wp_set *set = reader->set;
    const bool is_notes = strcmp(list->key, "notes") == 0;
    if (!wp_reader_wants(reader, list, WP_NODE_LIST,
                         is_notes ? "a list, such as [A3, C4]" : "a list, such as [600 mm, 1 m]")) {
        return;
    }
    if (list->n_children < 1 || list->n_children > WP_TUBES_MAX) {
        (void)wp_reader_refuse(reader, list, WP_E_RANGE, NULL, "%s for %zu tubes; expected 1 to %d",
                               list->key, list->n_children, WP_TUBES_MAX);
    }
    for (const struct wp_node *item = list->first_child; item && set->n_tubes < WP_TUBES_MAX;
         item = item->next) {
        struct wp_set_tube *tube = &set->tubes[set->n_tubes++];
        *tube = set->tubes[0];
        if (is_notes) {
            read_note(reader, item, tube);
        } else {
            read_length(reader, item, tube);
        }
    }
}

/* The number that a key names, 1 to largest, written without leading zeros; else 0. */
static size_t tube_number(const char *key, size_t largest)
{
    size_t number = 0;
    for (const char *at = key; *at; at++) {
        if (*at < '0' || *at > '9' || number > largest) {
            return 0;
        }
        number = number * 10 + (size_t)(*at - '0');
    }
    return key[0] != '0' && number <= largest ? number : 0;
}

static void read_one(const struct wp_reader *reader, const struct wp_node *node)
{
    struct wp_set *set = reader->set;
    /* Without a readable list the numbers cannot be judged, the values still can. */
    const size_t n_tubes = set->n_tubes > 0 ? set->n_tubes : WP_TUBES_MAX;
    const size_t number = tube_number(node->key, n_tubes);
    if (number == 0) {
        (void)wp_diags_add(reader->diags, WP_E_RANGE, set->file, node->key_mark,
                           "tubes count from 1 in the order of the list",
                           "each names a tube '%.40s'; expected a number from 1 to %zu", node->key,
                           n_tubes);
    }
    struct wp_set_tube spare = set->tubes[0];
    wp_section_read(reader, &each_section, node, number > 0 ? &set->tubes[number - 1] : &spare);
    if (node->kind == WP_NODE_MAPPING && wp_node_find(node, "note") &&
        wp_node_find(node, "length")) {
        (void)wp_reader_refuse(reader, wp_node_find(node, "length"), WP_E_CONFLICT, NULL,
                               "tube %.40s has both a note and a length; expected one of the two",
                               node->key);
    }
}

static void read_each(const struct wp_reader *reader, const struct wp_node *each)
{
    if (!wp_reader_wants(reader, each, WP_NODE_MAPPING,
                         "tubes by number, such as {6: {wall: 2 mm}}")) {
        return;
    }
    for (const struct wp_node *node = each->first_child; node; node = node->next) {
        if (!node->is_refused) {
            read_one(reader, node);
        }
    }
}

static bool is_same_place(struct wp_mark a, struct wp_mark b)
{
    return a.line == b.line && a.column == b.column;
}

/* Gives rods their wall and refuses walls that leave no bore, once for each place in the file. */
static void settle_walls(const struct wp_reader *reader)
{
    struct wp_set *set = reader->set;
    struct wp_mark told = {0, 0};
    for (size_t i = 0; i < set->n_tubes; i++) {
        struct wp_set_tube *tube = &set->tubes[i];
        const double radius_m = 0.5 * tube->outer_diameter_m;
        tube->wall_m = tube->is_solid ? radius_m : tube->wall_m;
        if (tube->is_solid || !(tube->wall_m >= radius_m) || is_same_place(tube->mark_wall, told)) {
            continue;
        }
        char wall[32];
        char radius[32];
        wp_length_format_mm(tube->wall_m, wall, sizeof wall);
        wp_length_format_mm(radius_m, radius, sizeof radius);
        told = tube->mark_wall;
        (void)wp_diags_add(reader->diags, WP_E_RANGE, set->file, told, "write 'solid' for a rod",
                           "a wall of %s in tube %zu; expected less than its radius, %s", wall,
                           i + 1, radius);
    }
}

/* Nothing stands in for the dimensions: every frequency hangs on them. */
static void want_dimensions(const struct wp_reader *reader, const struct wp_node *tubes)
{
    const struct wp_set *set = reader->set;
    const char *const keys[] = {"outer_diameter", "wall"};
    const char *const hints[] = {"add outer_diameter: 32 mm", "add wall: 1.6 mm, or wall: solid"};
    for (size_t k = 0; k < 2; k++) {
        bool is_missing = false;
        for (size_t i = 0; i < set->n_tubes || i == 0; i++) {
            const struct wp_set_tube *tube = &set->tubes[i];
            is_missing = is_missing || (k == 0 ? isnan(tube->outer_diameter_m)
                                               : isnan(tube->wall_m) && !tube->is_solid);
        }
        if (is_missing && !wp_node_find(tubes, keys[k])) {
            (void)wp_diags_add(reader->diags, WP_E_MISSING, set->file, tubes->key_mark, hints[k],
                               "tubes without %s; expected it for every tube", keys[k]);
        }
    }
}

static void check_supports(const struct wp_reader *reader)
{
    const struct wp_set *set = reader->set;
    for (size_t i = 0; i < set->n_tubes; i++) {
        if (set->hole_m >= set->tubes[i].outer_diameter_m) {
            (void)wp_diags_add(reader->diags, WP_E_RANGE, set->file, set->mark_support,
                               "a hole for the cord has a few millimetres",
                               "the hole is as wide as tube %zu; expected a narrower one", i + 1);
            return;
        }
    }
    for (size_t i = 0; i < set->n_tubes && !set->is_supported_at_node; i++) {
        if (set->support_m >= 0.5 * set->tubes[i].length_m) {
            (void)wp_diags_add(reader->diags, WP_E_RANGE, set->file, set->mark_support,
                               "it is measured from each end, like 'node'",
                               "the support lies beyond the middle of tube %zu; expected less than "
                               "half its length",
                               i + 1);
            return;
        }
    }
}

void wp_read_tubes(const struct wp_reader *reader, const struct wp_node *node)
{
    wp_section_read(reader, &tubes_section, node, reader->set);
    if (node->kind != WP_NODE_MAPPING || node->is_refused) {
        return;
    }
    const struct wp_node *list = find_list(reader, node);
    const struct wp_node *each = wp_node_find(node, "each");
    if (list) {
        read_list(reader, list);
    }
    if (each) {
        read_each(reader, each);
    }
    settle_walls(reader);
    want_dimensions(reader, node);
    check_supports(reader);
}
