/* SPDX-License-Identifier: MIT */
/* The key 'room' of a set file. */
#include "set/surrounding.h"

#include <math.h>
#include <string.h>

static const double RADIAN = M_PI / 180.0;

static const struct wp_limits side_limits = {WP_LENGTH, 0.5, 300.0, "0.5 m to 300 m"};
static const struct wp_limits decay_limits = {WP_DURATION, 0.02, 60.0, "20 ms to 60 s"};
static const struct wp_limits humidity_limits = {WP_SHARE, 0.05, 1.0, "5 % to 100 %"};

static const char *const side_words[WP_SIDES] = {"from west to east", "from south to north",
                                                 "from floor to ceiling"};

static const char *const ground_names[WP_GROUNDS] = {
    [WP_GROUND_SNOW] = "snow",
    [WP_GROUND_FOREST_FLOOR] = "forest floor",
    [WP_GROUND_LOOSE_SOIL] = "loose soil",
    [WP_GROUND_GRASS] = "grass",
    [WP_GROUND_LAWN] = "lawn",
    [WP_GROUND_GRAVEL] = "gravel",
    [WP_GROUND_PAVING] = "paving",
    [WP_GROUND_WATER] = "water",
};

const char *wp_ground_name(enum wp_ground ground)
{
    return ground_names[ground];
}

static void read_size(const struct wp_reader *reader, const struct wp_node *node, void *value)
{
    double *size_m = value;
    if (!wp_reader_wants(reader, node, WP_NODE_LIST, "three sides, such as [5 m, 4 m, 2.6 m]")) {
        return;
    }
    if (node->n_children != WP_SIDES) {
        (void)wp_reader_refuse(reader, node, WP_E_SYNTAX, NULL,
                               "a size of %zu values; expected three: from west to east, from "
                               "south to north, and the height",
                               node->n_children);
        return;
    }
    const struct wp_node *side = node->first_child;
    for (size_t i = 0; i < WP_SIDES; i++, side = side->next) {
        size_m[i] = wp_read_quantity(reader, side, &side_limits);
    }
}

static void read_impulse(const struct wp_reader *reader, const struct wp_node *node, void *value)
{
    wp_read_text(reader, node, value, sizeof((struct wp_set_room *)0)->impulse);
}

static void read_ground(const struct wp_reader *reader, const struct wp_node *node, void *value)
{
    const char *names[WP_GROUNDS];
    enum wp_ground *ground = value;
    for (int i = 0; i < WP_GROUNDS; i++) {
        names[i] = wp_ground_name((enum wp_ground)i);
    }
    const int index = wp_read_word(reader, node, names, WP_GROUNDS, NULL);
    *ground = index >= 0 ? (enum wp_ground)index : WP_GROUND_GRASS;
}

static const struct wp_field room_fields[] = {
    {"size", WP_FIELD_SPECIAL, NULL, offsetof(struct wp_set_room, size_m), read_size},
    {"decay", WP_FIELD_QUANTITY, &decay_limits, offsetof(struct wp_set_room, decay_s), NULL},
    {"impulse", WP_FIELD_SPECIAL, NULL, offsetof(struct wp_set_room, impulse), read_impulse},
    {"ground", WP_FIELD_SPECIAL, NULL, offsetof(struct wp_set_room, ground), read_ground},
    {"humidity", WP_FIELD_QUANTITY, &humidity_limits, offsetof(struct wp_set_room, humidity_01),
     NULL},
};
static const struct wp_section room_section = {"room", room_fields,
                                               sizeof room_fields / sizeof room_fields[0]};

/* The listener must stand on the ground, not under it. */
static void check_ground(const struct wp_reader *reader, const struct wp_node *node)
{
    const struct wp_set *set = reader->set;
    const double ear_m = set->site_height_m + set->listener_height_m;
    if (ear_m <= 0.0) {
        (void)wp_reader_refuse(reader, node, WP_E_RANGE,
                               "listener height counts from the middle of the longest tube, which "
                               "hangs at the height of the site",
                               "the listener's ears are %.3g m under the ground; expected them "
                               "above it",
                               -ear_m);
    }
}

/* A listener further off than the room is long stands behind a wall, wherever the set hangs. */
static void check_walls(const struct wp_reader *reader, const struct wp_node *node)
{
    const struct wp_set *set = reader->set;
    const double bearing = set->listener_bearing_deg * RADIAN;
    const double apart_m[WP_SIDES] = {fabs(set->listener_distance_m * sin(bearing)),
                                      fabs(set->listener_distance_m * cos(bearing)),
                                      fabs(set->listener_height_m)};
    for (size_t i = 0; i < WP_SIDES; i++) {
        if (apart_m[i] >= set->room.size_m[i]) {
            (void)wp_reader_refuse(reader, node, WP_E_CONFLICT,
                                   "move the listener closer or choose a larger room",
                                   "the listener is outside of the room: %.3g m from the set %s; "
                                   "expected less than the room's %.3g m",
                                   apart_m[i], side_words[i], set->room.size_m[i]);
            return;
        }
    }
}

/* The one key that says what kind of room it is, or NULL and a finding. */
static const struct wp_node *find_kind(const struct wp_reader *reader, const struct wp_node *node)
{
    static const char *const kinds[] = {"size", "impulse", "ground"};
    const struct wp_node *found = NULL;
    for (const struct wp_node *child = node->first_child; child; child = child->next) {
        for (size_t i = 0; i < sizeof kinds / sizeof kinds[0]; i++) {
            if (strcmp(child->key, kinds[i]) != 0) {
                continue;
            }
            if (found && strcmp(found->key, child->key) != 0) {
                (void)wp_reader_refuse(reader, child, WP_E_CONFLICT, NULL,
                                       "both %s and %s; expected one of the two", found->key,
                                       child->key);
                return NULL;
            }
            found = child;
        }
    }
    if (!found) {
        (void)wp_reader_refuse(reader, node, WP_E_MISSING,
                               "for example {size: [5 m, 4 m, 2.6 m], decay: 0.4 s}",
                               "a room without size, impulse or ground; expected one of them");
    }
    return found;
}

/* A key that says nothing beside this kind of room is a misunderstanding. */
static bool refuse_beside(const struct wp_reader *reader, const struct wp_node *node,
                          const char *key, const char *kind)
{
    const struct wp_node *child = wp_node_find(node, key);
    if (child) {
        (void)wp_reader_refuse(reader, child, WP_E_CONFLICT, "leave it out",
                               "%s does not go with %s; expected it in a room of a size", key,
                               kind);
    }
    return child != NULL;
}

static void read_kind(const struct wp_reader *reader, const struct wp_node *node,
                      const struct wp_node *kind)
{
    struct wp_set_room *room = &reader->set->room;
    if (strcmp(kind->key, "size") == 0) {
        room->kind = WP_ROOM_OF_SIZE;
        if (!wp_node_find(node, "decay")) {
            (void)wp_reader_refuse(reader, node, WP_E_MISSING,
                                   "a furnished living room has about 0.4 s",
                                   "a room of a size without its decay; expected the time in which "
                                   "sound falls by 60 dB");
            return;
        }
        check_walls(reader, kind);
    } else if (strcmp(kind->key, "impulse") == 0) {
        room->kind = WP_ROOM_RECORDED;
        if (!refuse_beside(reader, node, "decay", "impulse")) {
            (void)refuse_beside(reader, node, "humidity", "impulse");
        }
    } else {
        room->kind = WP_ROOM_OUTDOORS;
        if (!refuse_beside(reader, node, "decay", "ground")) {
            check_ground(reader, kind);
        }
    }
}

void wp_read_room(const struct wp_reader *reader, const struct wp_node *node)
{
    static const char *const words[] = {"free", "outdoors"};
    struct wp_set_room *room = &reader->set->room;
    room->mark = node->mark;
    if (node->is_refused) {
        return;
    }
    if (node->kind != WP_NODE_MAPPING) {
        if (wp_read_word(reader, node, words, 2, "{size: [...], decay: 0.4 s}") == 1) {
            room->kind = WP_ROOM_OUTDOORS;
            check_ground(reader, node);
        }
        return;
    }
    /* What a wrong value was meant for cannot be judged. */
    const size_t n_errors = reader->diags->n_errors;
    wp_section_read(reader, &room_section, node, room);
    const struct wp_node *kind =
        reader->diags->n_errors == n_errors ? find_kind(reader, node) : NULL;
    if (kind) {
        read_kind(reader, node, kind);
    }
}
