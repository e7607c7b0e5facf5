/* SPDX-License-Identifier: MIT */
/* A written set reads back as the same set. */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#include "base/random.h"
#include "windpeal/quantity.h"
#include "windpeal/set.h"

enum { N_TRIALS = 300, N_PRESETS = 5 };

/* A text of the set, printed; free it. */
static char *printed(const struct wp_set *set)
{
    char *text = NULL;
    size_t size = 0;
    FILE *file = open_memstream(&text, &size);
    assert_non_null(file);
    assert_true(wp_set_print(file, set) >= 0);
    assert_int_equal(fclose(file), 0);
    return text;
}

static struct wp_set read_text(const char *text)
{
    struct wp_set set;
    struct wp_diags diags;
    wp_diags_init(&diags);
    const enum wp_status status = wp_set_parse(&set, "a.yaml", text, strlen(text), &diags);
    if (status || diags.n_items > 0) {
        fail_msg("%d:%d: %s: %.2000s", diags.items[0].mark.line, diags.items[0].mark.column,
                 diags.items[0].message, text);
    }
    return set;
}

/* A nanometre is far below what a saw can do and what an ear can hear; the numbers are far
 * closer. */
static void assert_close(double got, double want, const char *what)
{
    const bool is_same = (isnan(got) && isnan(want)) || fabs(got - want) <= 2e-15 * fabs(want);
    if (!is_same) {
        fail_msg("%s: %.17g instead of %.17g", what, got, want);
    }
}

static void assert_same_material(const struct wp_set_material *got,
                                 const struct wp_set_material *want)
{
    assert_string_equal(got->name, want->name);
    assert_int_equal(got->is_custom, want->is_custom);
    if (want->is_custom) {
        const double *a = &got->values.young_modulus_pa;
        const double *b = &want->values.young_modulus_pa;
        for (size_t i = 0; i < sizeof want->values / sizeof *b; i++) {
            assert_close(a[i], b[i], "a constant of a material");
        }
    }
}

static void assert_same_tube(const struct wp_set_tube *got, const struct wp_set_tube *want)
{
    assert_same_material(&got->material, &want->material);
    assert_int_equal(got->is_solid, want->is_solid);
    assert_string_equal(got->note, want->note);
    assert_close(got->outer_diameter_m, want->outer_diameter_m, "outer diameter");
    assert_close(got->wall_m, want->wall_m, "wall");
    assert_close(got->length_m, want->length_m, "length");
    assert_close(got->note_hz, want->note_hz, "note");
    assert_close(got->stiffness_ratio, want->stiffness_ratio, "stiffness");
    assert_close(got->ovality_01, want->ovality_01, "ovality");
    assert_close(got->bore_offset_01, want->bore_offset_01, "bore offset");
    assert_close(got->plug_length_m, want->plug_length_m, "plug");
    assert_close(got->soft_direction_deg, want->soft_direction_deg, "soft direction");
    assert_close(got->end_mass_kg, want->end_mass_kg, "end mass");
}

static void assert_same_striker(const struct wp_set_striker *got, const struct wp_set_striker *want)
{
    assert_same_material(&got->material, &want->material);
    assert_close(got->diameter_m, want->diameter_m, "striker's diameter");
    assert_close(got->mass_kg, want->mass_kg, "striker's mass");
    assert_close(got->suspension_m, want->suspension_m, "suspension");
    assert_close(got->strike_height_m, want->strike_height_m, "strike height");
    assert_int_equal(got->is_ideal_contact, want->is_ideal_contact);
}

static void assert_same_coils(const struct wp_set_coils *got, const struct wp_set_coils *want)
{
    assert_close(got->mean_over_s, want->mean_over_s, "mean_over_s");
    assert_close(got->slowest_s, want->slowest_s, "slowest_s");
    assert_close(got->fastest_s, want->fastest_s, "fastest_s");
    assert_close(got->calm_below_m_s, want->calm_below_m_s, "calm_below_m_s");
    assert_close(got->full_at_m_s, want->full_at_m_s, "full_at_m_s");
    assert_close(got->update_s, want->update_s, "update_s");
    assert_close(got->least_duty_01, want->least_duty_01, "least_duty_01");
    assert_close(got->jitter_01, want->jitter_01, "jitter_01");
    assert_close(got->pulse_s, want->pulse_s, "pulse_s");
    assert_close(got->supply_v, want->supply_v, "supply_v");
    assert_close(got->ohm_20c, want->ohm_20c, "ohm_20c");
    assert_close(got->inductance_h, want->inductance_h, "inductance_h");
    assert_close(got->force_n, want->force_n, "force_n");
    assert_close(got->current_a, want->current_a, "current_a");
    assert_close(got->reach_m, want->reach_m, "reach_m");
    assert_close(got->gap_m, want->gap_m, "gap_m");
    assert_close(got->rest_offset_m, want->rest_offset_m, "rest_offset_m");
    assert_close(got->rest_bearing_deg, want->rest_bearing_deg, "rest_bearing_deg");
    assert_close(got->pivot_friction_m, want->pivot_friction_m, "pivot_friction_m");
    assert_close(got->rating_c, want->rating_c, "rating_c");
    assert_close(got->heat_capacity_j_k, want->heat_capacity_j_k, "heat_capacity_j_k");
    assert_close(got->heat_resistance_k_w, want->heat_resistance_k_w, "heat_resistance_k_w");
    assert_int_equal(got->is_on_steel, want->is_on_steel);
}

static void assert_same_drive(const struct wp_set_drive *got, const struct wp_set_drive *want)
{
    const struct wp_set_statistical *a = &got->statistical;
    const struct wp_set_statistical *b = &want->statistical;
    assert_int_equal(got->kind, want->kind);
    assert_close(a->calm_below_m_s, b->calm_below_m_s, "calm below");
    assert_close(a->busiest_per_s, b->busiest_per_s, "busiest");
    assert_close(a->full_at_m_s, b->full_at_m_s, "full at");
    assert_close(a->update_s, b->update_s, "update");
    assert_close(got->sail.area_m2, want->sail.area_m2, "sail's area");
    assert_close(got->sail.below_m, want->sail.below_m, "sail's place");
    assert_close(got->sail.mass_kg, want->sail.mass_kg, "sail's mass");
    assert_same_coils(&got->coils, &want->coils);
}

static void assert_same_room(const struct wp_set_room *got, const struct wp_set_room *want)
{
    assert_int_equal(got->kind, want->kind);
    if (want->kind == WP_ROOM_OUTDOORS) {
        assert_int_equal(got->ground, want->ground);
    }
    if (want->kind == WP_ROOM_RECORDED) {
        assert_string_equal(got->impulse, want->impulse);
    }
    if (want->kind == WP_ROOM_OF_SIZE) {
        assert_close(got->decay_s, want->decay_s, "decay");
        for (size_t i = 0; i < WP_SIDES; i++) {
            assert_close(got->size_m[i], want->size_m[i], "size");
        }
    }
    if (want->kind == WP_ROOM_OUTDOORS || want->kind == WP_ROOM_OF_SIZE) {
        assert_close(got->humidity_01, want->humidity_01, "humidity");
    }
}

static void assert_same_surroundings(const struct wp_set *got, const struct wp_set *want)
{
    assert_same_drive(&got->drive, &want->drive);
    assert_close(got->site_height_m, want->site_height_m, "height");
    assert_close(got->site_roughness_m, want->site_roughness_m, "roughness");
    assert_close(got->listener_distance_m, want->listener_distance_m, "distance");
    assert_close(got->listener_bearing_deg, want->listener_bearing_deg, "bearing");
    assert_close(got->listener_height_m, want->listener_height_m, "listener's height");
    assert_same_room(&got->room, &want->room);
}

static void assert_same_set(const struct wp_set *got, const struct wp_set *want)
{
    assert_string_equal(got->name, want->name);
    assert_int_equal(got->n_tubes, want->n_tubes);
    for (size_t i = 0; i < want->n_tubes; i++) {
        assert_same_tube(&got->tubes[i], &want->tubes[i]);
    }
    assert_int_equal(got->tuned_to, want->tuned_to);
    assert_close(got->reference_hz, want->reference_hz, "reference");
    assert_close(got->temperature_c, want->temperature_c, "temperature");
    assert_int_equal(got->is_supported_at_node, want->is_supported_at_node);
    if (!want->is_supported_at_node) {
        assert_close(got->support_m, want->support_m, "support");
    }
    assert_close(got->cord_kg_m, want->cord_kg_m, "cord");
    assert_close(got->hole_m, want->hole_m, "hole");
    assert_int_equal(got->layout.align, want->layout.align);
    assert_int_equal(got->layout.is_held_rigid, want->layout.is_held_rigid);
    assert_close(got->layout.mount_resistance_kg_s, want->layout.mount_resistance_kg_s, "mount");
    assert_int_equal(got->layout.kind, want->layout.kind);
    if (want->layout.kind == WP_LAYOUT_RING) {
        assert_close(got->layout.ring_radius_m, want->layout.ring_radius_m, "ring");
    } else if (want->layout.kind == WP_LAYOUT_ROWS) {
        assert_close(got->layout.rows_gap_m, want->layout.rows_gap_m, "gap");
        assert_close(got->layout.rows_spacing_m, want->layout.rows_spacing_m, "spacing");
    } else if (want->layout.kind == WP_LAYOUT_LINE) {
        assert_close(got->layout.line_spacing_m, want->layout.line_spacing_m, "spacing");
        assert_close(got->layout.line_offset_m, want->layout.line_offset_m, "offset");
    }
    for (size_t i = 0; i < want->n_tubes && want->layout.kind == WP_LAYOUT_POSITIONS; i++) {
        assert_close(got->layout.places[i].x_m, want->layout.places[i].x_m, "place");
        assert_close(got->layout.places[i].y_m, want->layout.places[i].y_m, "place");
    }
    assert_same_striker(&got->striker, &want->striker);
    assert_same_surroundings(got, want);
}

static void assert_reads_back(const struct wp_set *set)
{
    char *text = printed(set);
    const struct wp_set again = read_text(text);
    assert_same_set(&again, set);
    free(text);
}

static double between(struct wp_random *random, double low, double high)
{
    return low + (high - low) * wp_random_uniform(random);
}

static bool happens(struct wp_random *random)
{
    return wp_random_uniform(random) < 0.5;
}

static void choose_material(struct wp_random *random, struct wp_set_material *material)
{
    static const char *const names[] = {"brass", "copper, hard", "6061-T6", "steel 1.4301"};
    const size_t n = (size_t)(6.0 * wp_random_uniform(random));
    if (n < 4) {
        (void)snprintf(material->name, sizeof material->name, "%s", names[n]);
        return;
    }
    (void)snprintf(material->name, sizeof material->name, "custom");
    material->is_custom = true;
    material->values = (struct wp_material){
        .young_modulus_pa = between(random, 1e9, 3e11),
        .density_kg_m3 = between(random, 500.0, 2e4),
        .poisson_ratio = happens(random) ? between(random, 0.0, 0.5) : (double)NAN,
        .loss_factor = happens(random) ? between(random, 1e-7, 1e-2) : (double)NAN,
        .thermal_expansion_per_k = happens(random) ? between(random, -1e-5, 3e-5) : (double)NAN,
        .stiffness_per_k = happens(random) ? between(random, -6e-4, 1e-5) : (double)NAN,
        .conductivity_w_mk = happens(random) ? between(random, 1.0, 400.0) : (double)NAN,
        .specific_heat_j_kgk = happens(random) ? between(random, 100.0, 2e3) : (double)NAN,
        .restitution = happens(random) ? wp_random_uniform(random) : (double)NAN,
    };
}

static void choose_note(struct wp_random *random, const struct wp_set *set,
                        struct wp_set_tube *tube)
{
    const int cents = (int)between(random, -49.0, 49.0);
    (void)snprintf(tube->note, sizeof tube->note, "%c%s%d %+d",
                   "CDEFGAB"[wp_random_word(random) % 7], happens(random) ? "#" : "",
                   3 + (int)(wp_random_word(random) % 3), cents);
    assert_int_equal(wp_note_parse(tube->note, set->reference_hz, &tube->note_hz), WP_OK);
}

static void choose_tube(struct wp_random *random, const struct wp_set *set,
                        struct wp_set_tube *tube)
{
    tube->outer_diameter_m = between(random, 0.006, 0.08);
    tube->is_solid = wp_random_uniform(random) < 0.2;
    tube->wall_m = tube->outer_diameter_m * (tube->is_solid ? 0.5 : between(random, 0.05, 0.45));
    tube->stiffness_ratio = happens(random) ? between(random, 0.9, 1.1) : 1.0;
    tube->ovality_01 = happens(random) ? between(random, 0.0, 0.02) : 0.0;
    tube->bore_offset_01 = happens(random) ? between(random, 0.0, 0.2) : 0.0;
    tube->plug_length_m = happens(random) ? between(random, 0.0, 0.1) : 0.0;
    tube->soft_direction_deg = happens(random) ? between(random, -360.0, 360.0) : (double)NAN;
    tube->end_mass_kg = happens(random) ? between(random, 0.0, 0.02) : 0.0;
    choose_material(random, &tube->material);
    if (happens(random)) {
        tube->length_m = between(random, 0.3, 3.0);
    } else {
        choose_note(random, set, tube);
    }
}

static void choose_coils(struct wp_random *random, struct wp_set_coils *coils)
{
    *coils = (struct wp_set_coils){
        .mean_over_s = between(random, 200.0, 3600.0),
        .slowest_s = between(random, 30.0, 3600.0),
        .fastest_s = between(random, 0.6, 20.0),
        .calm_below_m_s = between(random, 0.0, 2.0),
        .full_at_m_s = between(random, 3.0, 30.0),
        .update_s = between(random, 1.0, 100.0),
        .least_duty_01 = between(random, 0.01, 1.0),
        .jitter_01 = between(random, 0.0, 0.9),
        .pulse_s = between(random, 0.001, 0.5),
        .supply_v = between(random, 0.5, 60.0),
        .ohm_20c = between(random, 0.05, 10000.0),
        .inductance_h = between(random, 1e-06, 10.0),
        .force_n = between(random, 0.001, 1000.0),
        .current_a = between(random, 0.001, 50.0),
        .reach_m = between(random, 0.001, 0.2),
        .gap_m = between(random, 0.0005, 0.2),
        .rest_offset_m = between(random, 0.0, 0.1),
        .rest_bearing_deg = between(random, -360.0, 360.0),
        .pivot_friction_m = between(random, 0.0, 0.02),
        .rating_c = between(random, 30.0, 200.0),
        .heat_capacity_j_k = between(random, 0.1, 10000.0),
        .heat_resistance_k_w = between(random, 0.1, 1000.0),
        .is_on_steel = happens(random),
    };
}

/* A drive of any kind; what belongs to another kind stays at its default. */
static void choose_drive(struct wp_random *random, struct wp_set_drive *drive)
{
    if (happens(random)) {
        drive->statistical =
            (struct wp_set_statistical){between(random, 0.0, 2.0), between(random, 0.01, 20.0),
                                        between(random, 3.0, 30.0), between(random, 1.0, 100.0)};
        return;
    }
    if (happens(random)) {
        drive->kind = WP_DRIVE_COILS;
        choose_coils(random, &drive->coils);
        return;
    }
    drive->kind = WP_DRIVE_SAIL;
    drive->sail = (struct wp_set_sail){between(random, 1e-4, 0.5), between(random, 0.0, 3.0),
                                       between(random, 0.0, 2.0)};
}

/* Any set that a set file can hold. */
static void choose_room(struct wp_random *random, struct wp_set *set)
{
    struct wp_set_room *room = &set->room;
    room->kind = (enum wp_room_kind)(int)between(random, 0.0, 4.0);
    room->humidity_01 = between(random, 0.05, 1.0);
    if (room->kind == WP_ROOM_OUTDOORS) {
        room->ground = (enum wp_ground)(int)between(random, 0.0, WP_GROUNDS);
        set->listener_height_m = between(random, 0.0, 3.0);
    } else if (room->kind == WP_ROOM_OF_SIZE) {
        room->decay_s = between(random, 0.1, 10.0);
        for (size_t i = 0; i < WP_SIDES; i++) {
            room->size_m[i] = between(random, 100.0, 200.0);
        }
    } else if (room->kind == WP_ROOM_RECORDED) {
        (void)snprintf(room->impulse, sizeof room->impulse, "%s",
                       happens(random) ? "hall.wav" : "a: \"b\" #c.wav");
    }
}

static void choose_set(struct wp_random *random, struct wp_set *set)
{
    wp_set_default(set);
    set->n_tubes = 1 + wp_random_word(random) % WP_TUBES_MAX;
    set->tuned_to = happens(random) ? WP_TUNED_HEARD_PITCH : WP_TUNED_FIRST_PARTIAL;
    set->reference_hz = between(random, 400.0, 480.0);
    set->temperature_c = between(random, -20.0, 40.0);
    set->is_supported_at_node = happens(random);
    set->support_m = set->is_supported_at_node ? (double)NAN : between(random, 0.01, 0.14);
    set->cord_kg_m = between(random, 1e-4, 5e-3);
    set->hole_m = happens(random) ? between(random, 0.001, 0.005) : (double)NAN;
    const bool is_uniform = happens(random);
    for (size_t i = 0; i < set->n_tubes; i++) {
        choose_tube(random, set, &set->tubes[i]);
        if (is_uniform && i > 0) {
            struct wp_set_tube tube = set->tubes[0];
            memcpy(tube.note, set->tubes[i].note, sizeof tube.note);
            tube.note_hz = set->tubes[i].note_hz;
            tube.length_m = set->tubes[i].length_m;
            set->tubes[i] = tube;
        }
    }
    set->layout.kind = (enum wp_layout_kind)(wp_random_word(random) % 4);
    set->layout.ring_radius_m = between(random, 0.02, 1.0);
    set->layout.rows_gap_m = between(random, 0.02, 2.0);
    set->layout.rows_spacing_m = between(random, 0.01, 1.0);
    set->layout.line_spacing_m = between(random, 0.01, 1.0);
    set->layout.line_offset_m = between(random, 0.02, 2.0);
    for (size_t i = 0; i < set->n_tubes; i++) {
        set->layout.places[i] =
            (struct wp_place){between(random, -2.0, 2.0), between(random, -2.0, 2.0)};
    }
    set->layout.align = (enum wp_align)(wp_random_word(random) % 3);
    set->layout.is_held_rigid = happens(random);
    if (set->layout.is_held_rigid) {
        set->layout.mount_resistance_kg_s = between(random, 0.0, 20.0);
    }
    choose_material(random, &set->striker.material);
    set->striker.diameter_m = between(random, 0.01, 0.2);
    set->striker.mass_kg = between(random, 0.002, 2.0);
    set->striker.suspension_m = between(random, 0.05, 2.0);
    set->striker.strike_height_m = between(random, 0.002, 0.1);
    set->striker.is_ideal_contact = happens(random);
    choose_drive(random, &set->drive);
    set->site_height_m = between(random, 2.0, 30.0);
    set->site_roughness_m = between(random, 1e-4, 1.5);
    set->listener_distance_m = between(random, 0.1, 100.0);
    set->listener_bearing_deg = between(random, -360.0, 360.0);
    set->listener_height_m = between(random, -3.0, 3.0);
    choose_room(random, set);
}

/* WINDPEAL_TEST_SEED in the environment repeats a run. */
static void any_set_reads_back(void **state)
{
    (void)state;
    const char *given = getenv("WINDPEAL_TEST_SEED");
    const uint64_t seed = given ? strtoull(given, NULL, 10) : 1057;
    print_message("seed %llu\n", (unsigned long long)seed);
    for (uint64_t trial = 0; trial < N_TRIALS; trial++) {
        struct wp_random random;
        struct wp_set set;
        wp_random_init(&random, seed, WP_STREAM_WIND, trial);
        choose_set(&random, &set);
        assert_reads_back(&set);
    }
}

static void presets_read_back(void **state)
{
    (void)state;
    static const char *const names[N_PRESETS] = {"ferry-rods", "lantern-court", "mill-tower",
                                                 "reading-room", "swallow-eaves"};
    for (size_t i = 0; i < N_PRESETS; i++) {
        char path[1024];
        struct wp_set set;
        (void)snprintf(path, sizeof path, "%s/presets/%s.yaml", getenv("WP_SOURCE_ROOT"), names[i]);
        assert_int_equal(wp_set_load(&set, path, NULL), WP_OK);
        assert_reads_back(&set);
    }
}

/* Names that YAML would take for something else, or that hold what it does not print (YAML 1.1,
 * 5.1 and 5.4). */
static void any_name_reads_back(void **state)
{
    (void)state;
    static const char *const names[] = {
        "plain name",
        "A: b # c",
        "'single' and \"double\"",
        "back\\slash",
        "- item",
        "{flow}, [list]",
        " blanks around ",
        "true",
        "~",
        "12",
        "Glockenspiel f\xc3\xbcr Elb",
        "\xf0\x9f\x94\x94 bell",
        "*alias",
        "&anchor",
        "!tag",
        "%directive",
        "c1 \xc2\x9b",
        "line\xe2\x80\xa8p",
        "mark \xef\xbb\xbf.",
        "nel \xc2\x85 x",
        "a\xc2\xa0z",
        "#",
        "?",
        "@x",
        "`x",
        "|",
        ">",
        "x:",
        ": y",
    };
    for (size_t i = 0; i < sizeof names / sizeof names[0]; i++) {
        struct wp_set set;
        struct wp_random random;
        wp_random_init(&random, i, WP_STREAM_WIND, 0);
        choose_set(&random, &set);
        (void)snprintf(set.name, sizeof set.name, "%s", names[i]);
        assert_reads_back(&set);
    }
}

static void round_numbers_are_written_round(void **state)
{
    (void)state;
    const struct wp_set set = read_text("tubes: {outer_diameter: 32 mm, wall: 1.6 mm,\n"
                                        "  notes: [A3, 'C#4'], each: {2: {wall: 2 mm}},\n"
                                        "  stiffness: 97.3 %}\n"
                                        "striker: {mass: 60 g}\n");
    char *text = printed(&set);
    static const char *const parts[] = {
        "outer_diameter: 32 mm\n", "wall: 1.6 mm\n",        "notes: [A3, \"C#4\"]\n",
        "stiffness: 97.3 %\n",     "    2: {wall: 2 mm}\n", "mass: 60 g,",
        "reference: 440 Hz\n",     "radius: 75 mm}\n",
    };
    for (size_t i = 0; i < sizeof parts / sizeof parts[0]; i++) {
        if (!strstr(text, parts[i])) {
            fail_msg("no '%s' in\n%s", parts[i], text);
        }
    }
    free(text);
}

static void full_disk_is_told(void **state)
{
    (void)state;
    struct wp_set set = read_text("tubes: {outer_diameter: 32 mm, wall: 1.6 mm, notes: [A3]}\n");
    FILE *full = fopen("/dev/full", "w");
    if (!full) {
        skip();
    }
    assert_int_equal(setvbuf(full, NULL, _IONBF, 0), 0);
    assert_true(wp_set_print(full, &set) < 0);
    (void)fclose(full);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(any_set_reads_back),  cmocka_unit_test(presets_read_back),
        cmocka_unit_test(any_name_reads_back), cmocka_unit_test(round_numbers_are_written_round),
        cmocka_unit_test(full_disk_is_told),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
