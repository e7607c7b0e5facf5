/* SPDX-License-Identifier: MIT */
/* Writes a set as a set file that reads back as the same set. */
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "windpeal/quantity.h"
#include "windpeal/set.h"

/* How numbers of a kind are written: times scale, with the unit behind. */
struct shown {
    enum wp_dimension dimension;
    const char *unit;
    double scale;
};

static const struct shown in_mm = {WP_LENGTH, " mm", 1e3};
static const struct shown in_cm2 = {WP_AREA, " cm2", 1e4};
static const struct shown in_m = {WP_LENGTH, " m", 1.0};
static const struct shown in_g = {WP_MASS, " g", 1e3};
static const struct shown in_g_m = {WP_LINEAR_DENSITY, " g/m", 1e3};
static const struct shown in_kg_m3 = {WP_DENSITY, " kg/m3", 1.0};
static const struct shown in_gpa = {WP_PRESSURE, " GPa", 1e-9};
static const struct shown in_m_s = {WP_SPEED, " m/s", 1.0};
static const struct shown in_s = {WP_DURATION, " s", 1.0};
static const struct shown in_kg_s = {WP_RESISTANCE, " kg/s", 1.0};
static const struct shown in_per_s = {WP_RATE, " /s", 1.0};
static const struct shown in_hz = {WP_FREQUENCY, " Hz", 1.0};
static const struct shown in_celsius = {WP_TEMPERATURE, " C", 1.0};
static const struct shown in_per_k = {WP_PER_KELVIN, " /K", 1.0};
static const struct shown in_w_mk = {WP_CONDUCTIVITY, " W/mK", 1.0};
static const struct shown in_j_kgk = {WP_SPECIFIC_HEAT, " J/kgK", 1.0};
static const struct shown in_percent = {WP_SHARE, " %", 1e2};
static const struct shown in_degrees = {WP_ANGLE, "", 1.0};
static const struct shown in_ms = {WP_DURATION, " ms", 1e3};
static const struct shown in_v = {WP_VOLTAGE, " V", 1.0};
static const struct shown in_ohm = {WP_OHM, " ohm", 1.0};
static const struct shown in_h = {WP_INDUCTANCE, " H", 1.0};
static const struct shown in_n = {WP_FORCE, " N", 1.0};
static const struct shown in_a = {WP_CURRENT, " A", 1.0};
static const struct shown in_j_k = {WP_HEAT_CAPACITY, " J/K", 1.0};
static const struct shown in_k_w = {WP_HEAT_RESISTANCE, " K/W", 1.0};
static const struct shown bare = {WP_NUMBER, "", 1.0};

/* One key of a mapping: where its number stands. */
struct entry {
    const char *key;
    const struct shown *shown;
    size_t offset;
};

enum { NUMBER_SIZE = 64, DECIMALS_MAX = 15, DIGITS_MAX = 17 };

/* Reads back as the value but for the last bit, which a change of unit may cost. */
static bool reads_back(char *text, const struct shown *shown, double value)
{
    double read;
    char *comma = strchr(text, ','); /* a locale of the caller's */
    if (comma) {
        *comma = '.';
    }
    return !wp_quantity_parse(text, shown->dimension, &read, NULL, 0) &&
           fabs(read - value) <= 1e-15 * fabs(value);
}

/* The shortest text that reads back as the value. */
static void print_number(FILE *file, const struct shown *shown, double value)
{
    char text[NUMBER_SIZE];
    const double number = value * shown->scale;
    const bool is_plain = number == 0.0 || (fabs(number) >= 1e-3 && fabs(number) < 1e9);
    for (int decimals = 0; is_plain && decimals <= DECIMALS_MAX; decimals++) {
        (void)snprintf(text, sizeof text, "%.*f%s", decimals, number, shown->unit);
        if (reads_back(text, shown, value)) {
            (void)fputs(text, file);
            return;
        }
    }
    for (int digits = 1; digits <= DIGITS_MAX; digits++) {
        (void)snprintf(text, sizeof text, "%.*g%s", digits, number, shown->unit);
        if (reads_back(text, shown, value)) {
            break;
        }
    }
    (void)fputs(text, file);
}

static double number_at(const void *base, const struct entry *entry)
{
    double value;
    memcpy(&value, (const char *)base + entry->offset, sizeof value);
    return value;
}

/* "key: value, key: value": all entries but those that are NAN. */
static void print_entries(FILE *file, const struct entry *entries, size_t n_entries,
                          const void *base)
{
    const char *before = "";
    for (size_t i = 0; i < n_entries; i++) {
        const double value = number_at(base, &entries[i]);
        if (!isnan(value)) {
            (void)fprintf(file, "%s%s: ", before, entries[i].key);
            print_number(file, entries[i].shown, value);
            before = ", ";
        }
    }
}

/* Letters, digits, blanks and a few signs between a letter and no blank need no quotes. */
static bool is_plain_text(const char *text)
{
    static const char letters[] = "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ";
    static const char signs[] = "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ"
                                "0123456789 +-./()_";
    const size_t length = strlen(text);
    return length > 0 && strchr(letters, text[0]) && text[length - 1] != ' ' &&
           strspn(text, signs) == length;
}

/* Code point of the two or three bytes at text; 0 for anything shorter, longer or broken. */
static unsigned int code_point(const unsigned char *text)
{
    if (text[0] >= 0xC2U && text[0] < 0xE0U && text[1] >= 0x80U) {
        return (text[0] & 0x1FU) << 6 | (text[1] & 0x3FU);
    }
    if (text[0] >= 0xE0U && text[0] < 0xF0U && text[1] >= 0x80U && text[2] >= 0x80U) {
        return (text[0] & 0x0FU) << 12 | (text[1] & 0x3FU) << 6 | (text[2] & 0x3FU);
    }
    return 0;
}

/* What YAML 1.1 (section 5.1, 5.4) takes for no printable character or for a line break. */
static bool is_escaped(unsigned int point)
{
    return (point >= 0x80U && point < 0xA0U) || point == 0x2028U || point == 0x2029U ||
           point == 0xFEFFU || point >= 0xFFFEU;
}

static void print_text(FILE *file, const char *text)
{
    if (is_plain_text(text)) {
        (void)fputs(text, file);
        return;
    }
    (void)fputc('"', file);
    for (const unsigned char *at = (const unsigned char *)text; *at; at++) {
        const unsigned int point = code_point(at);
        if (is_escaped(point)) {
            (void)fprintf(file, "\\u%04X", point);
            at += point < 0x800U ? 1 : 2;
        } else if (*at < 0x20U || *at == 0x7FU) {
            (void)fprintf(file, "\\x%02X", *at);
        } else {
            (void)fprintf(file, "%s%c", *at == '"' || *at == '\\' ? "\\" : "", *at);
        }
    }
    (void)fputc('"', file);
}

static const struct entry constants[] = {
    {"young_modulus", &in_gpa, offsetof(struct wp_material, young_modulus_pa)},
    {"density", &in_kg_m3, offsetof(struct wp_material, density_kg_m3)},
    {"poisson_ratio", &bare, offsetof(struct wp_material, poisson_ratio)},
    {"loss_factor", &bare, offsetof(struct wp_material, loss_factor)},
    {"thermal_expansion", &in_per_k, offsetof(struct wp_material, thermal_expansion_per_k)},
    {"stiffness_per_kelvin", &in_per_k, offsetof(struct wp_material, stiffness_per_k)},
    {"conductivity", &in_w_mk, offsetof(struct wp_material, conductivity_w_mk)},
    {"specific_heat", &in_j_kgk, offsetof(struct wp_material, specific_heat_j_kgk)},
    {"restitution", &bare, offsetof(struct wp_material, restitution)},
};
enum { N_CONSTANTS = sizeof constants / sizeof constants[0] };

static void print_material(FILE *file, const struct wp_set_material *material)
{
    if (!material->is_custom) {
        print_text(file, material->name);
        return;
    }
    (void)fputc('{', file);
    print_entries(file, constants, N_CONSTANTS, &material->values);
    (void)fputc('}', file);
}

static bool is_same_number(double a, double b)
{
    return a == b || (isnan(a) && isnan(b));
}

static bool is_same_material(const struct wp_set_material *a, const struct wp_set_material *b)
{
    if (a->is_custom != b->is_custom || strcmp(a->name, b->name) != 0) {
        return false;
    }
    for (size_t i = 0; a->is_custom && i < N_CONSTANTS; i++) {
        if (!is_same_number(number_at(&a->values, &constants[i]),
                            number_at(&b->values, &constants[i]))) {
            return false;
        }
    }
    return true;
}

/* What a tube has as a plain number and may have in common with the others; a tube without
 * further words has what stands in the last column. */
struct tube_entry {
    struct entry entry;
    double unsaid;
};

static const struct tube_entry tube_entries[] = {
    {{"outer_diameter", &in_mm, offsetof(struct wp_set_tube, outer_diameter_m)}, NAN},
    {{"stiffness", &in_percent, offsetof(struct wp_set_tube, stiffness_ratio)}, 1.0},
    {{"ovality", &in_percent, offsetof(struct wp_set_tube, ovality_01)}, 0.0},
    {{"soft_direction", &in_degrees, offsetof(struct wp_set_tube, soft_direction_deg)}, NAN},
    {{"bore_offset", &in_percent, offsetof(struct wp_set_tube, bore_offset_01)}, 0.0},
    {{"plug_length", &in_mm, offsetof(struct wp_set_tube, plug_length_m)}, 0.0},
    {{"end_mass", &in_g, offsetof(struct wp_set_tube, end_mass_kg)}, 0.0},
};
enum { N_TUBE_ENTRIES = sizeof tube_entries / sizeof tube_entries[0] };

static void print_wall(FILE *file, const struct wp_set_tube *tube)
{
    if (tube->is_solid) {
        (void)fputs("solid", file);
    } else {
        print_number(file, &in_mm, tube->wall_m);
    }
}

static void print_note(FILE *file, const struct wp_set *set, const struct wp_set_tube *tube)
{
    char note[sizeof tube->note];
    if (tube->note[0] == '\0') {
        const enum wp_spelling spelling = wp_set_spelling(set, (size_t)(tube - set->tubes));
        wp_note_format(tube->note_hz, set->reference_hz, spelling, note, sizeof note);
    }
    print_text(file, tube->note[0] ? tube->note : note);
}

static bool has_length(const struct wp_set_tube *tube)
{
    return !isnan(tube->length_m);
}

/* Starts an item of a flow mapping in front of which "{" or another item stands. */
static void print_key(FILE *file, const char **before, const char *key)
{
    (void)fprintf(file, "%s%s: ", *before, key);
    *before = ", ";
}

/* A direction that is no number is one of those that are spread over the tubes. */
static void print_tube_number(FILE *file, const struct entry *entry, double value)
{
    if (isnan(value)) {
        (void)fputs("spread", file);
    } else {
        print_number(file, entry->shown, value);
    }
}

/* Everything in which a tube differs from what stands for all; "" when nothing does. */
static void print_difference(FILE *file, const struct wp_set *set, size_t index)
{
    const struct wp_set_tube *first = &set->tubes[0];
    const struct wp_set_tube *tube = &set->tubes[index];
    char opening[32];
    (void)snprintf(opening, sizeof opening, "    %zu: {", index + 1);
    const char *before = opening;
    if (has_length(tube) != has_length(first)) {
        print_key(file, &before, has_length(tube) ? "length" : "note");
        if (has_length(tube)) {
            print_number(file, &in_mm, tube->length_m);
        } else {
            print_note(file, set, tube);
        }
    }
    if (!is_same_material(&tube->material, &first->material)) {
        print_key(file, &before, "material");
        print_material(file, &tube->material);
    }
    if (tube->is_solid != first->is_solid || (!tube->is_solid && tube->wall_m != first->wall_m)) {
        print_key(file, &before, "wall");
        print_wall(file, tube);
    }
    for (size_t i = 0; i < N_TUBE_ENTRIES; i++) {
        const struct entry *entry = &tube_entries[i].entry;
        if (!is_same_number(number_at(tube, entry), number_at(first, entry))) {
            print_key(file, &before, entry->key);
            print_tube_number(file, entry, number_at(tube, entry));
        }
    }
    (void)fputs(before == opening ? "" : "}\n", file);
}

static bool is_like_first(const struct wp_set *set, size_t index)
{
    const struct wp_set_tube *first = &set->tubes[0];
    const struct wp_set_tube *tube = &set->tubes[index];
    bool is_same = has_length(tube) == has_length(first) && tube->is_solid == first->is_solid &&
                   (tube->is_solid || tube->wall_m == first->wall_m) &&
                   is_same_material(&tube->material, &first->material);
    for (size_t i = 0; i < N_TUBE_ENTRIES; i++) {
        const struct entry *entry = &tube_entries[i].entry;
        is_same = is_same && is_same_number(number_at(tube, entry), number_at(first, entry));
    }
    return is_same;
}

/* The list that counts the tubes. A tube that does not go with the first one's kind of list gets
 * the first one's entry here and its own under 'each'. */
static void print_list(FILE *file, const struct wp_set *set)
{
    const bool is_lengths = has_length(&set->tubes[0]);
    (void)fprintf(file, "  %s: [", is_lengths ? "lengths" : "notes");
    for (size_t i = 0; i < set->n_tubes; i++) {
        const struct wp_set_tube *tube = &set->tubes[i];
        tube = has_length(tube) == is_lengths ? tube : &set->tubes[0];
        (void)fputs(i > 0 ? ", " : "", file);
        if (is_lengths) {
            print_number(file, &in_mm, tube->length_m);
        } else {
            print_note(file, set, tube);
        }
    }
    (void)fputs("]\n", file);
}

static void print_support(FILE *file, const struct wp_set *set)
{
    (void)fputs("  support: {at: ", file);
    if (set->is_supported_at_node) {
        (void)fputs("node", file);
    } else {
        print_number(file, &in_mm, set->support_m);
    }
    (void)fputs(", cord: ", file);
    print_number(file, &in_g_m, set->cord_kg_m);
    if (!isnan(set->hole_m)) {
        (void)fputs(", hole: ", file);
        print_number(file, &in_mm, set->hole_m);
    }
    (void)fputs("}\n", file);
}

static void print_tubes(FILE *file, const struct wp_set *set)
{
    const struct wp_set_tube *first = &set->tubes[0];
    (void)fputs("tubes:\n  material: ", file);
    print_material(file, &first->material);
    (void)fputs("\n  wall: ", file);
    print_wall(file, first);
    (void)fputc('\n', file);
    for (size_t i = 0; i < N_TUBE_ENTRIES; i++) {
        const double value = number_at(first, &tube_entries[i].entry);
        if (!is_same_number(value, tube_entries[i].unsaid)) {
            (void)fprintf(file, "  %s: ", tube_entries[i].entry.key);
            print_number(file, tube_entries[i].entry.shown, value);
            (void)fputc('\n', file);
        }
    }
    print_list(file, set);
    (void)fprintf(file, "  tuned_to: %s\n  reference: ",
                  set->tuned_to == WP_TUNED_HEARD_PITCH ? "heard pitch" : "first partial");
    print_number(file, &in_hz, set->reference_hz);
    (void)fputs("\n  temperature: ", file);
    print_number(file, &in_celsius, set->temperature_c);
    (void)fputc('\n', file);
    print_support(file, set);
    bool has_each = false;
    for (size_t i = 1; i < set->n_tubes; i++) {
        (void)fputs(!has_each && !is_like_first(set, i) ? "  each:\n" : "", file);
        has_each = has_each || !is_like_first(set, i);
        print_difference(file, set, i);
    }
}

static const struct entry ring_entries[] = {
    {"radius", &in_mm, offsetof(struct wp_set_layout, ring_radius_m)},
};
static const struct entry rows_entries[] = {
    {"gap", &in_mm, offsetof(struct wp_set_layout, rows_gap_m)},
    {"spacing", &in_mm, offsetof(struct wp_set_layout, rows_spacing_m)},
};
static const struct entry line_entries[] = {
    {"spacing", &in_mm, offsetof(struct wp_set_layout, line_spacing_m)},
    {"offset", &in_mm, offsetof(struct wp_set_layout, line_offset_m)},
};

static void print_layout_kind(FILE *file, const char *kind, const struct entry *entries,
                              size_t n_entries, const struct wp_set_layout *layout)
{
    (void)fprintf(file, "  %s: {", kind);
    print_entries(file, entries, n_entries, layout);
    (void)fputs("}\n", file);
}

static void print_positions(FILE *file, const struct wp_set *set)
{
    (void)fputs("  positions: [", file);
    for (size_t i = 0; i < set->n_tubes; i++) {
        (void)fputs(i > 0 ? ", [" : "[", file);
        print_number(file, &in_mm, set->layout.places[i].x_m);
        (void)fputs(", ", file);
        print_number(file, &in_mm, set->layout.places[i].y_m);
        (void)fputc(']', file);
    }
    (void)fputs("]\n", file);
}

static void print_layout(FILE *file, const struct wp_set *set)
{
    static const char *const aligned[] = {"bottoms", "middles", "tops"};
    const struct wp_set_layout *layout = &set->layout;
    (void)fputs("\nlayout:\n", file);
    switch (layout->kind) {
    case WP_LAYOUT_RING:
        print_layout_kind(file, "ring", ring_entries, 1, layout);
        break;
    case WP_LAYOUT_ROWS:
        print_layout_kind(file, "rows", rows_entries, 2, layout);
        break;
    case WP_LAYOUT_LINE:
        print_layout_kind(file, "line", line_entries, 2, layout);
        break;
    case WP_LAYOUT_POSITIONS:
        print_positions(file, set);
        break;
    }
    (void)fprintf(file, "  align: %s\n  held: %s\n", aligned[layout->align],
                  layout->is_held_rigid ? "rigid" : "hanging");
    if (layout->is_held_rigid) {
        (void)fputs("  mount_resistance: ", file);
        print_number(file, &in_kg_s, layout->mount_resistance_kg_s);
        (void)fputc('\n', file);
    }
}

static const struct entry striker_entries[] = {
    {"diameter", &in_mm, offsetof(struct wp_set_striker, diameter_m)},
    {"mass", &in_g, offsetof(struct wp_set_striker, mass_kg)},
    {"suspension", &in_mm, offsetof(struct wp_set_striker, suspension_m)},
    {"strike_height", &in_mm, offsetof(struct wp_set_striker, strike_height_m)},
};

static void print_striker(FILE *file, const struct wp_set_striker *striker)
{
    (void)fputs("\nstriker: {material: ", file);
    print_material(file, &striker->material);
    (void)fputs(", ", file);
    print_entries(file, striker_entries, sizeof striker_entries / sizeof striker_entries[0],
                  striker);
    (void)fprintf(file, ", contact: %s}\n", striker->is_ideal_contact ? "ideal" : "real");
}

static const struct entry statistical_entries[] = {
    {"calm_below", &in_m_s, offsetof(struct wp_set_statistical, calm_below_m_s)},
    {"busiest", &in_per_s, offsetof(struct wp_set_statistical, busiest_per_s)},
    {"full_at", &in_m_s, offsetof(struct wp_set_statistical, full_at_m_s)},
    {"update", &in_s, offsetof(struct wp_set_statistical, update_s)},
};
static const struct entry sail_entries[] = {
    {"area", &in_cm2, offsetof(struct wp_set_sail, area_m2)},
    {"below", &in_mm, offsetof(struct wp_set_sail, below_m)},
    {"mass", &in_g, offsetof(struct wp_set_sail, mass_kg)},
};

static const struct entry coils_entries[] = {
    {"mean_over", &in_s, offsetof(struct wp_set_coils, mean_over_s)},
    {"slowest", &in_s, offsetof(struct wp_set_coils, slowest_s)},
    {"fastest", &in_s, offsetof(struct wp_set_coils, fastest_s)},
    {"calm_below", &in_m_s, offsetof(struct wp_set_coils, calm_below_m_s)},
    {"full_at", &in_m_s, offsetof(struct wp_set_coils, full_at_m_s)},
    {"update", &in_s, offsetof(struct wp_set_coils, update_s)},
    {"least_duty", &in_percent, offsetof(struct wp_set_coils, least_duty_01)},
    {"jitter", &in_percent, offsetof(struct wp_set_coils, jitter_01)},
    {"pulse", &in_ms, offsetof(struct wp_set_coils, pulse_s)},
    {"supply", &in_v, offsetof(struct wp_set_coils, supply_v)},
    {"resistance", &in_ohm, offsetof(struct wp_set_coils, ohm_20c)},
    {"inductance", &in_h, offsetof(struct wp_set_coils, inductance_h)},
    {"force", &in_n, offsetof(struct wp_set_coils, force_n)},
    {"current", &in_a, offsetof(struct wp_set_coils, current_a)},
    {"reach", &in_mm, offsetof(struct wp_set_coils, reach_m)},
    {"gap", &in_mm, offsetof(struct wp_set_coils, gap_m)},
    {"rest_offset", &in_mm, offsetof(struct wp_set_coils, rest_offset_m)},
    {"rest_bearing", &in_degrees, offsetof(struct wp_set_coils, rest_bearing_deg)},
    {"pivot_friction", &in_mm, offsetof(struct wp_set_coils, pivot_friction_m)},
    {"rating", &in_celsius, offsetof(struct wp_set_coils, rating_c)},
    {"heat_capacity", &in_j_k, offsetof(struct wp_set_coils, heat_capacity_j_k)},
    {"heat_resistance", &in_k_w, offsetof(struct wp_set_coils, heat_resistance_k_w)},
};

static void print_drive(FILE *file, const struct wp_set_drive *drive)
{
    switch (drive->kind) {
    case WP_DRIVE_STATISTICAL:
        (void)fputs("\ndrive: {statistical: {", file);
        print_entries(file, statistical_entries,
                      sizeof statistical_entries / sizeof statistical_entries[0],
                      &drive->statistical);
        break;
    case WP_DRIVE_SAIL:
        (void)fputs("\ndrive: {sail: {", file);
        print_entries(file, sail_entries, sizeof sail_entries / sizeof sail_entries[0],
                      &drive->sail);
        break;
    case WP_DRIVE_COILS:
        (void)fputs("\ndrive: {coils: {", file);
        print_entries(file, coils_entries, sizeof coils_entries / sizeof coils_entries[0],
                      &drive->coils);
        (void)fprintf(file, ", against: %s", drive->coils.is_on_steel ? "steel" : "coil");
        break;
    }
    (void)fputs("}}\n", file);
}

static const struct entry site_entries[] = {
    {"height", &in_m, offsetof(struct wp_set, site_height_m)},
    {"roughness", &in_m, offsetof(struct wp_set, site_roughness_m)},
};
static const struct entry listener_entries[] = {
    {"distance", &in_m, offsetof(struct wp_set, listener_distance_m)},
    {"bearing", &in_degrees, offsetof(struct wp_set, listener_bearing_deg)},
    {"height", &in_m, offsetof(struct wp_set, listener_height_m)},
};

static const struct entry decay_entries[] = {
    {"decay", &in_s, offsetof(struct wp_set_room, decay_s)},
    {"humidity", &in_percent, offsetof(struct wp_set_room, humidity_01)},
};

static void print_room(FILE *file, const struct wp_set_room *room)
{
    (void)fputs("room: ", file);
    switch (room->kind) {
    case WP_ROOM_FREE:
        (void)fputs("free\n", file);
        break;
    case WP_ROOM_OUTDOORS:
        (void)fprintf(file, "{ground: %s, ", wp_ground_name(room->ground));
        print_entries(file, &decay_entries[1], 1, room);
        (void)fputs("}\n", file);
        break;
    case WP_ROOM_OF_SIZE:
        (void)fputs("{size: [", file);
        for (size_t i = 0; i < WP_SIDES; i++) {
            (void)fputs(i > 0 ? ", " : "", file);
            print_number(file, &in_m, room->size_m[i]);
        }
        (void)fputs("], ", file);
        print_entries(file, decay_entries, 2, room);
        (void)fputs("}\n", file);
        break;
    case WP_ROOM_RECORDED:
        (void)fputs("{impulse: ", file);
        print_text(file, room->impulse);
        (void)fputs("}\n", file);
        break;
    }
}

int wp_set_print(FILE *file, const struct wp_set *set)
{
    (void)fputs("name: ", file);
    print_text(file, set->name);
    (void)fputs("\n\n", file);
    print_tubes(file, set);
    print_layout(file, set);
    print_striker(file, &set->striker);
    print_drive(file, &set->drive);
    (void)fputs("\nsite: {", file);
    print_entries(file, site_entries, sizeof site_entries / sizeof site_entries[0], set);
    (void)fputs("}\nlistener: {", file);
    print_entries(file, listener_entries, sizeof listener_entries / sizeof listener_entries[0],
                  set);
    (void)fputs("}\n", file);
    print_room(file, &set->room);
    return ferror(file) ? -1 : 0;
}
