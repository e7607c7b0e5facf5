/* SPDX-License-Identifier: MIT */
/* Set files: what is read, what stands in for absent keys, and where each mistake is found. */
#include "windpeal/set.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#include "set_text.h"

static void assert_near(double got, double want)
{
    if (!(fabs(got - want) <= 1e-12 * fabs(want))) {
        fail_msg("%.17g instead of %.17g", got, want);
    }
}

/* Edits stand where the file's values stood, or where they would stand. */
static void edits_stand_in_for_the_files_values(void **state)
{
    (void)state;
    static const char text[] =
        SMALL "striker: {diameter: 60 mm}\nlayout: {positions: [[7 cm, 0 mm], [0 mm, 7 cm]]}\n";
    static const struct wp_set_edit edits[] = {
        {"striker.diameter", "40 mm"},
        {"layout.positions.2.1", "-1 cm"},
        {"drive.statistical.busiest", "2 /s"},
        {"tubes.each.2.wall", "2 mm"},
    };
    struct wp_set set;
    struct wp_diags diags;
    wp_diags_init(&diags);
    assert_int_equal(wp_set_parse_edited(&set, "a.yaml", text, sizeof text - 1, edits, 4, &diags),
                     WP_OK);
    assert_int_equal(diags.n_items, 0);
    assert_near(set.striker.diameter_m, 0.04);
    assert_near(set.layout.places[1].x_m, -0.01);
    assert_near(set.layout.places[1].y_m, 0.07);
    assert_near(set.drive.statistical.busiest_per_s, 2.0);
    assert_near(set.tubes[0].wall_m, 0.0016);
    assert_near(set.tubes[1].wall_m, 0.002);
}

static void wrong_edits_are_told_without_a_line(void **state)
{
    (void)state;
    static const struct {
        struct wp_set_edit edit;
        enum wp_status status;
        const char *message;
    } wrong[] = {
        {{"striker.diametre", "40 mm"}, WP_E_UNKNOWN_KEY, "unknown key 'diametre' in striker"},
        {{"striker.diameter", "40"}, WP_E_UNIT, "has no unit"},
        {{"striker.diameter", "4 m"}, WP_E_RANGE, "out of range"},
        {{"tubes.notes.3", "C4"}, WP_E_RANGE, "no such item"},
        {{"tubes.notes.0", "C4"}, WP_E_RANGE, "no such item"},
        {{"tubes.notes", "C4"}, WP_E_SYNTAX, "a list or mapping"},
        {{"tubes.wall.inner", "1 mm"}, WP_E_SYNTAX, "behind a single value"},
        {{"tubes..wall", "1 mm"}, WP_E_SYNTAX, "a key is empty"},
        {{"", "1 mm"}, WP_E_SYNTAX, "a key is empty"},
        {{"a.a.a.a.a.a.a.a.a.a.a.a.a", "1 mm"}, WP_E_RANGE, "too many keys"},
    };
    for (size_t i = 0; i < sizeof wrong / sizeof wrong[0]; i++) {
        struct wp_set set;
        struct wp_diags diags;
        wp_diags_init(&diags);
        assert_int_equal(
            wp_set_parse_edited(&set, "a.yaml", SMALL, sizeof SMALL - 1, &wrong[i].edit, 1, &diags),
            wrong[i].status);
        assert_int_equal(diags.n_errors, 1);
        assert_int_equal(diags.items[0].mark.line, 0);
        if (!strstr(diags.items[0].message, wrong[i].message)) {
            fail_msg("%s: %s", wrong[i].edit.path, diags.items[0].message);
        }
    }
}

static void rows_and_line_arrive_in_si_units(void **state)
{
    (void)state;
    struct wp_set set = read_well(SMALL "layout: {rows: {gap: 12 cm, spacing: 2 in}}\n");
    assert_int_equal(set.layout.kind, WP_LAYOUT_ROWS);
    assert_near(set.layout.rows_gap_m, 0.12);
    assert_near(set.layout.rows_spacing_m, 0.0508);
    set = read_well(SMALL "layout: {line: {spacing: 45 mm, offset: 6 cm}}\n");
    assert_int_equal(set.layout.kind, WP_LAYOUT_LINE);
    assert_near(set.layout.line_spacing_m, 0.045);
    assert_near(set.layout.line_offset_m, 0.06);
    set = read_well(SMALL "layout: {line: {}}\n");
    assert_near(set.layout.line_spacing_m, 0.05);
    assert_near(set.layout.line_offset_m, 0.075);
}

static void every_key_arrives_in_si_units(void **state)
{
    (void)state;
    const struct wp_set set =
        read_well("name: Orchard six\n"
                  "tubes:\n"
                  "  material: brass\n"
                  "  outer_diameter: 1 1/4 in\n"
                  "  wall: 1.6 mm\n"
                  "  notes: [A3, 'C#4', Bb4 -14]\n"
                  "  tuned_to: heard pitch\n"
                  "  reference: 442 Hz\n"
                  "  temperature: 68 F\n"
                  "  support: {at: 60 mm, cord: 2 g/m, hole: 3 mm}\n"
                  "  soft_direction: 30\n"
                  "  ovality: 0.3 %\n"
                  "  bore_offset: 5 %\n"
                  "  end_mass: 3 g\n"
                  "  plug_length: 20 mm\n"
                  "  stiffness: 97 %\n"
                  "layout: {ring: {radius: 80 mm}, align: tops, held: rigid,\n"
                  "         mount_resistance: 300 g/s}\n"
                  "striker: {material: nylon, diameter: 70 mm, mass: 60 g, suspension: 250 mm,\n"
                  "          strike_height: 30 mm, contact: ideal}\n"
                  "drive: {statistical: {calm_below: 1 mph, busiest: 30 /min, full_at: 36 km/h, "
                  "update: 5 s}}\n"
                  "site: {height: 3 m, roughness: garden}\n"
                  "listener: {distance: 4 m, bearing: 30, height: -40 cm}\n"
                  "room: free\n");
    assert_string_equal(set.file, "a.yaml");
    assert_string_equal(set.name, "Orchard six");
    assert_int_equal(set.n_tubes, 3);
    assert_string_equal(set.tubes[2].material.name, "brass");
    assert_near(set.tubes[0].outer_diameter_m, 0.03175);
    assert_near(set.tubes[1].wall_m, 0.0016);
    assert_near(set.tubes[0].note_hz, 221.0);
    assert_string_equal(set.tubes[2].note, "Bb4 -14");
    assert_true(isnan(set.tubes[0].length_m));
    assert_int_equal(set.tubes[1].mark.line, 6);
    assert_int_equal(set.tubes[1].mark.column, 15);
    assert_int_equal(set.tuned_to, WP_TUNED_HEARD_PITCH);
    assert_near(set.temperature_c, 20.0);
    assert_false(set.is_supported_at_node);
    assert_near(set.support_m, 0.06);
    assert_near(set.cord_kg_m, 0.002);
    assert_near(set.tubes[1].plug_length_m, 0.02);
    assert_int_equal(set.tubes[1].mark_end_mass.line, 14);
    assert_int_equal(set.tubes[1].mark_plug.line, 15);
    assert_near(set.hole_m, 0.003);
    assert_near(set.tubes[2].soft_direction_deg, 30.0);
    assert_true(set.layout.is_held_rigid);
    assert_near(set.layout.mount_resistance_kg_s, 0.3);
    assert_near(set.tubes[0].ovality_01, 0.003);
    assert_near(set.tubes[1].bore_offset_01, 0.05);
    assert_near(set.tubes[2].end_mass_kg, 0.003);
    assert_near(set.tubes[0].stiffness_ratio, 0.97);
    assert_int_equal(set.layout.kind, WP_LAYOUT_RING);
    assert_near(set.layout.ring_radius_m, 0.08);
    assert_int_equal(set.layout.align, WP_ALIGN_TOPS);
    assert_string_equal(set.striker.material.name, "nylon");
    assert_near(set.striker.mass_kg, 0.06);
    assert_near(set.striker.suspension_m, 0.25);
    assert_true(set.striker.is_ideal_contact);
    assert_near(set.drive.statistical.calm_below_m_s, 0.44704);
    assert_near(set.drive.statistical.busiest_per_s, 0.5);
    assert_near(set.drive.statistical.full_at_m_s, 10.0);
    assert_near(set.drive.statistical.update_s, 5.0);
    assert_near(set.site_height_m, 3.0);
    assert_near(set.site_roughness_m, 0.25);
    assert_near(set.listener_distance_m, 4.0);
    assert_near(set.listener_bearing_deg, 30.0);
    assert_near(set.listener_height_m, -0.4);
}

static void absent_keys_take_the_documented_defaults(void **state)
{
    (void)state;
    struct wp_set wanted;
    wp_set_default(&wanted);
    const struct wp_set set = read_well(SMALL);
    assert_string_equal(set.tubes[1].material.name, "aluminium 6063-T6");
    assert_string_equal(set.striker.material.name, "hardwood");
    assert_true(set.reference_hz == 440.0 && set.temperature_c == 20.0);
    assert_true(set.is_supported_at_node && set.layout.kind == WP_LAYOUT_RING);
    assert_true(set.layout.ring_radius_m == wanted.layout.ring_radius_m);
    assert_true(set.striker.strike_height_m == wanted.striker.strike_height_m);
    assert_true(set.drive.statistical.busiest_per_s == wanted.drive.statistical.busiest_per_s);
    assert_true(set.site_height_m == wanted.site_height_m);
    assert_true(set.tubes[0].ovality_01 == 0.0 && set.tubes[0].end_mass_kg == 0.0);
    assert_true(set.tubes[0].stiffness_ratio == 1.0);
    assert_int_equal(wanted.n_tubes, 0);
}

/* The default striker on the default ring leaves a tube of 32 mm a gap that a swing can cross. */
static void default_ring_leaves_a_clearance(void **state)
{
    (void)state;
    const struct wp_set set = read_well(SMALL);
    const double gap_m = set.layout.ring_radius_m - 0.5 * set.striker.diameter_m -
                         0.5 * set.tubes[0].outer_diameter_m;
    assert_true(gap_m > 0.012 && gap_m < 0.030);
}

static void one_tube_may_differ(void **state)
{
    (void)state;
    const struct wp_set set =
        read_well("tubes:\n"
                  "  each:\n"
                  "    2: {wall: solid, outer_diameter: 12 mm, note: A4 +5}\n"
                  "    3: {material: copper, length: 480 mm, end_mass: 5 g,\n"
                  "        ovality: 1 %, bore_offset: 2 %, stiffness: 104 %,\n"
                  "        soft_direction: -45}\n"
                  "  notes: [A3, C4, D4]\n"
                  "  outer_diameter: 32 mm\n"
                  "  wall: 1.6 mm\n");
    assert_near(set.tubes[0].outer_diameter_m, 0.032);
    assert_false(set.tubes[0].is_solid);
    assert_true(set.tubes[1].is_solid);
    assert_near(set.tubes[1].wall_m, 0.006);
    assert_near(set.tubes[1].note_hz, 440.0 * exp2(5.0 / 1200.0));
    assert_string_equal(set.tubes[2].material.name, "copper");
    assert_near(set.tubes[2].length_m, 0.48);
    assert_true(isnan(set.tubes[2].note_hz));
    assert_string_equal(set.tubes[2].note, "");
    assert_near(set.tubes[2].ovality_01, 0.01);
    assert_near(set.tubes[2].bore_offset_01, 0.02);
    assert_near(set.tubes[2].end_mass_kg, 0.005);
    assert_near(set.tubes[2].stiffness_ratio, 1.04);
    assert_near(set.tubes[2].soft_direction_deg, -45.0);
    assert_true(isnan(set.tubes[1].soft_direction_deg));
    assert_near(set.tubes[1].stiffness_ratio, 1.0);
}

static void dimensions_may_all_stand_under_each(void **state)
{
    (void)state;
    const struct wp_set set = read_well(
        "tubes: {lengths: [1 m, 47 1/2 in], each: {1: {outer_diameter: 32 mm, wall: 2 mm},"
        " 2: {outer_diameter: 20 mm, wall: solid}}}\n");
    assert_near(set.tubes[1].length_m, 1.2065);
    assert_near(set.tubes[1].wall_m, 0.010);
}

static void material_may_be_given_by_its_constants(void **state)
{
    (void)state;
    const struct wp_set set = read_well(
        "tubes: {outer_diameter: 32 mm, wall: 2 mm, notes: [A3], material: {young_modulus: 68.9 "
        "GPa,\n"
        "  density: 2700 kg/m3, poisson_ratio: 0.33, loss_factor: 1e-4, thermal_expansion: 23.4e-6 "
        "/K,\n"
        "  stiffness_per_kelvin: -5.0e-4 /K, conductivity: 200 W/mK, specific_heat: 900 J/kgK}}\n"
        "striker: {material: {young_modulus: 12 GPa, restitution: 0.55}}\n");
    const struct wp_set_material *tube = &set.tubes[0].material;
    assert_true(tube->is_custom);
    assert_string_equal(tube->name, "custom");
    assert_near(tube->values.young_modulus_pa, 68.9e9);
    assert_near(tube->values.density_kg_m3, 2700.0);
    assert_near(tube->values.poisson_ratio, 0.33);
    assert_near(tube->values.loss_factor, 1e-4);
    assert_near(tube->values.thermal_expansion_per_k, 23.4e-6);
    assert_near(tube->values.stiffness_per_k, -5e-4);
    assert_near(tube->values.conductivity_w_mk, 200.0);
    assert_near(tube->values.specific_heat_j_kgk, 900.0);
    assert_true(isnan(tube->values.restitution));
    assert_int_equal(tube->mark.line, 1);
    assert_near(set.striker.material.values.restitution, 0.55);
    assert_true(isnan(set.striker.material.values.density_kg_m3));
}

static void tubes_may_stand_at_places(void **state)
{
    (void)state;
    const struct wp_set set = read_well(
        SMALL "layout: {positions: [[70 mm, 0 mm], [-2 3/4 in, 1 cm]], align: middles}\n");
    assert_int_equal(set.layout.kind, WP_LAYOUT_POSITIONS);
    assert_near(set.layout.places[0].x_m, 0.07);
    assert_near(set.layout.places[1].x_m, -2.75 * 0.0254);
    assert_near(set.layout.places[1].y_m, 0.01);
    assert_int_equal(set.layout.align, WP_ALIGN_MIDDLES);
}

/* Davenport's classes as revised by J. Wieringa, J. Wind Eng. Ind. Aerodyn. 41-44 (1992) 357, from
 * memory: sea 0.0002 m, smooth 0.005, open 0.03, roughly open 0.10, rough 0.25, very rough 0.5,
 * closed 1.0, chaotic 2 and more. */
static void roughness_names_follow_the_classes(void **state)
{
    (void)state;
    const char *const names[] = {"sea",    "snow",    "open grass", "crops",
                                 "garden", "orchard", "suburb",     "city"};
    const double roughness_m[] = {0.0002, 0.005, 0.03, 0.10, 0.25, 0.5, 1.0, 2.0};
    for (size_t i = 0; i < sizeof names / sizeof names[0]; i++) {
        char text[200];
        (void)snprintf(text, sizeof text, SMALL "site: {roughness: %s, height: 4 m}\n", names[i]);
        assert_near(read_well(text).site_roughness_m, roughness_m[i]);
    }
    assert_near(read_well(SMALL "site: {roughness: 80 mm}\n").site_roughness_m, 0.08);
}

static void values_at_the_very_limit_are_allowed(void **state)
{
    (void)state;
    assert_near(read_well("tubes: {outer_diameter: 3 mm, wall: 0.2 mm, lengths: [30 mm], "
                          "ovality: 20 %, temperature: -60 C}\n"
                          "striker: {strike_height: 29.9 mm}\n")
                    .tubes[0]
                    .wall_m,
                0.0002);
}

/* Once a segmentation fault: a list has no keys to look for. */
/* A name of its own decides for a tube, the more frequent sign for all others. */
static void spelling_follows_the_notes_of_the_set(void **state)
{
    (void)state;
    static const char text[] =
        "tubes: {outer_diameter: 32 mm, wall: 1.6 mm, notes: [Bb3, C#4, D4, Eb4]}\n";
    static const enum wp_spelling want[] = {WP_SPELLING_FLATS, WP_SPELLING_SHARPS,
                                            WP_SPELLING_FLATS, WP_SPELLING_FLATS};
    struct wp_set set;
    assert_int_equal(wp_set_parse(&set, "a.yaml", text, sizeof text - 1, NULL), WP_OK);
    for (size_t i = 0; i < 4; i++) {
        assert_int_equal(wp_set_spelling(&set, i), want[i]);
    }
    assert_int_equal(wp_set_parse(&set, "a.yaml", SMALL, sizeof SMALL - 1, NULL), WP_OK);
    assert_int_equal(wp_set_spelling(&set, 0), WP_SPELLING_SHARPS);
}

static void section_that_is_no_mapping_is_found(void **state)
{
    (void)state;
    const struct mistake mistakes[] = {
        {SMALL "layout: [1, 2]\n", WP_E_SYNTAX, 2, 9, "layout is a list", NULL},
        {SMALL "striker: [60 g]\n", WP_E_SYNTAX, 2, 10, "striker is a list", NULL},
        {SMALL "drive: [sail]\n", WP_E_SYNTAX, 2, 8, "drive is a list", NULL},
        {SMALL "site: [2 m]\n", WP_E_SYNTAX, 2, 7, "site is a list", NULL},
        {SMALL "listener: 3 m\n", WP_E_SYNTAX, 2, 11, "listener is a single value", NULL},
        {"tubes: [32 mm]\n", WP_E_SYNTAX, 1, 8, "tubes is a list", NULL},
    };
    assert_mistakes(mistakes, sizeof mistakes / sizeof mistakes[0]);
}

static void wrong_keys_are_found_with_their_neighbour(void **state)
{
    (void)state;
    const struct mistake mistakes[] = {
        {SMALL "colour: red\n", WP_E_UNKNOWN_KEY, 2, 1, "unknown key 'colour' in a set file", NULL},
        {SMALL "lay out: {}\n", WP_E_UNKNOWN_KEY, 2, 1, "expected one of name, tubes, layout",
         "did you mean 'layout'?"},
        {"tubes:\n  outer_diameter: 32 mm\n  wall: 1 mm\n  materiel: brass\n  notes: [A3]\n",
         WP_E_UNKNOWN_KEY, 4, 3, "unknown key 'materiel' in tubes", "did you mean 'material'?"},
        {"tubes: {outer_diameter: 32 mm, wall: 1 mm, notes: [A3], each: {1: {notes: A4}}}\n",
         WP_E_UNKNOWN_KEY, 1, 68, "unknown key 'notes'", "did you mean 'note'?"},
        {SMALL "layout: {ring: {diameter: 5 cm}}\n", WP_E_UNKNOWN_KEY, 2, 17, "in ring", NULL},
        {SMALL "striker: {weight: 60 g}\n", WP_E_UNKNOWN_KEY, 2, 11, "in striker", NULL},
        {SMALL "drive: {statisticl: {}}\n", WP_E_UNKNOWN_KEY, 2, 9, "in drive",
         "did you mean 'statistical'?"},
        {SMALL "site: {hight: 2 m}\n", WP_E_UNKNOWN_KEY, 2, 8, "in site", "'height'"},
        {SMALL "listener: {azimuth: 2}\n", WP_E_UNKNOWN_KEY, 2, 12, "in listener", NULL},
        {SMALL "striker: {material: {youngs: 1 GPa, young_modulus: 1 GPa}}\n", WP_E_UNKNOWN_KEY, 2,
         22, "in a material", NULL},
    };
    assert_mistakes(mistakes, sizeof mistakes / sizeof mistakes[0]);
}

static void wrong_units_are_found_in_their_place(void **state)
{
    (void)state;
    const struct mistake mistakes[] = {
        {"tubes: {outer_diameter: 32, wall: 1 mm, notes: [A3]}\n", WP_E_UNIT, 1, 25,
         "outer_diameter '32' has no unit; expected a length with a unit", "write the unit"},
        {"tubes: {outer_diameter: 32 Mm, wall: 1 mm, notes: [A3]}\n", WP_E_UNIT, 1, 25,
         "has an unsuitable unit; expected a length", NULL},
        {"tubes: {outer_diameter: 32 mm, wall: Solid, notes: [A3]}\n", WP_E_UNKNOWN_NAME, 1, 38,
         "expected solid or a length such as 1.6 mm", "did you mean 'solid'?"},
        {"tubes: {outer_diameter: 32 mm, wall: 1 mm, notes: [A3], support: {at: nodes}}\n",
         WP_E_UNKNOWN_NAME, 1, 71, "expected node or a length", "did you mean 'node'?"},
        {"tubes: {outer_diameter: 32 mm, wall: 1 mm, notes: [A3], ovality: 0.2}\n", WP_E_UNIT, 1,
         66, "ovality '0.2' has no unit; expected a share in percent", "write the unit"},
        {SMALL "drive: {coils: {jitter: 0.2}}\n", WP_E_UNIT, 2, 25,
         "jitter '0.2' has no unit; expected a share in percent", "write the unit"},
        {"tubes: {outer_diameter: 32 mm, wall: '1,6 mm', notes: [A3]}\n", WP_E_SYNTAX, 1, 38,
         "a decimal point instead of the comma", NULL},
        {"tubes: {outer_diameter: 32 mm, wall: 1 mm, lengths: [1 m,\n 900]}\n", WP_E_UNIT, 2, 2,
         "lengths '900' has no unit", NULL},
        {SMALL "striker: {mass: 60 mm}\n", WP_E_UNIT, 2, 17, "expected a mass with a unit", NULL},
        {SMALL "site: {roughness: 5}\n", WP_E_UNIT, 2, 19, "roughness '5' has no unit", NULL},
        {SMALL "layout: {positions: [[1 cm, 2], [5 cm, 0 mm]]}\n", WP_E_UNIT, 2, 29,
         "positions '2' has no unit", NULL},
    };
    assert_mistakes(mistakes, sizeof mistakes / sizeof mistakes[0]);
}

static void impossible_values_are_found_in_their_place(void **state)
{
    (void)state;
    const struct mistake mistakes[] = {
        {"tubes: {outer_diameter: 32 mm, notes: [A3, C4],\n  wall: 17 mm}\n", WP_E_RANGE, 2, 9,
         "a wall of 17.0 mm in tube 1; expected less than its radius, 16.0 mm", "solid"},
        {"tubes: {outer_diameter: 32 mm, wall: 16 mm, notes: [A3]}\n", WP_E_RANGE, 1, 38,
         "expected less than its radius", "write 'solid' for a rod"},
        {"tubes: {outer_diameter: 32 mm, wall: 5 mm, notes: [A3, C4],\n"
         "  each: {2: {outer_diameter: 9 mm}}}\n",
         WP_E_RANGE, 2, 30, "in tube 2", NULL},
        {"tubes: {outer_diameter: -32 mm, wall: 1 mm, notes: [A3]}\n", WP_E_RANGE, 1, 25,
         "is out of range; expected 3 mm to 300 mm", NULL},
        {"tubes: {outer_diameter: 32 mm, wall: 1 mm, lengths: [-1 m]}\n", WP_E_RANGE, 1, 54,
         "expected 30 mm to 12 m", NULL},
        {"tubes: {outer_diameter: 32 mm, wall: 1 mm, notes: [A3], ovality: 21 %}\n", WP_E_RANGE, 1,
         66, "expected 0 % to 20 %", NULL},
        {"tubes: {outer_diameter: 32 mm, wall: 1 mm, notes: [A3], stiffness: 49 %}\n", WP_E_RANGE,
         1, 68, "expected 50 % to 150 %", NULL},
        {"tubes: {outer_diameter: 32 mm, wall: 1 mm, notes: [A3], temperature: 81 C}\n", WP_E_RANGE,
         1, 70, "expected -60 C to 80 C", NULL},
        {"tubes: {outer_diameter: 32 mm, wall: 1 mm, lengths: [1 m, 80 cm],\n"
         "  support: {at: 40 cm}}\n",
         WP_E_RANGE, 2, 17, "beyond the middle of tube 2", NULL},
        {"tubes: {outer_diameter: 32 mm, wall: 1 mm, lengths: [30 cm]}\n"
         "striker: {strike_height: 30 cm}\n",
         WP_E_RANGE, 2, 26, "passes above tube 1", NULL},
        {SMALL "striker: {strike_height: 0 mm}\n", WP_E_RANGE, 2, 26, "1 mm to 3 m", NULL},
        {SMALL "drive: {statistical: {calm_below: 5 m/s, full_at: 5 m/s}}\n", WP_E_RANGE, 2, 22,
         "full_at is not above calm_below", NULL},
        {SMALL "site: {height: 0.5 m, roughness: forest}\n", WP_E_RANGE, 2, 7,
         "above the roughness length, 1 m", NULL},
        {SMALL "striker: {material: {young_modulus: 1 GPa, poisson_ratio: 0.6}}\n", WP_E_RANGE, 2,
         59, "expected 0 to 0.5", NULL},
    };
    assert_mistakes(mistakes, sizeof mistakes / sizeof mistakes[0]);
}

static void wrong_notes_and_names_are_found_in_their_place(void **state)
{
    (void)state;
    const struct mistake mistakes[] = {
        {"tubes: {outer_diameter: 32 mm, wall: 1 mm, notes: [A3, H4]}\n", WP_E_UNKNOWN_NAME, 1, 56,
         "'H4' is no note; expected one such as 'A3'", "did you mean 'B4'?"},
        {"tubes: {outer_diameter: 32 mm, wall: 1 mm, notes: ['C# 4']}\n", WP_E_UNKNOWN_NAME, 1, 52,
         "is no note", "did you mean 'C#4'?"},
        {"tubes:\n  notes: [A3, C #4]\n  wall: 1 mm\n", WP_E_SYNTAX, 3, 3, "broken YAML",
         "bracket of line 2, and separate entries with commas; # behind a blank begins a comment"},
        {"tubes:\n  outer_diameter: 32 mm\n  wall: 1 mm\n  notes: [A3, C #4\n   ]\n",
         WP_E_UNKNOWN_NAME, 4, 15, "'C' is no note", "begins a comment"},
        {"tubes: {outer_diameter: 32 mm, wall: 1 mm, notes: [A3], tuned_to: first}\n",
         WP_E_UNKNOWN_NAME, 1, 67, "expected one of first partial, heard pitch", NULL},
        {SMALL "site: {roughness: gardne}\n", WP_E_UNKNOWN_NAME, 2, 19, "roughness 'gardne'",
         "did you mean 'garden'?"},
        {SMALL "striker: {contact: idael}\n", WP_E_UNKNOWN_NAME, 2, 20, "one of real, ideal", NULL},
        {SMALL "layout: {align: botoms}\n", WP_E_UNKNOWN_NAME, 2, 17, "align 'botoms' is unknown",
         "did you mean 'bottoms'?"},
        {SMALL "room: cellar\n", WP_E_UNKNOWN_NAME, 2, 7, "room 'cellar' is unknown", NULL},
    };
    assert_mistakes(mistakes, sizeof mistakes / sizeof mistakes[0]);
}

static void missing_and_excluding_entries_are_found(void **state)
{
    (void)state;
    const struct mistake mistakes[] = {
        {"name: x\n", WP_E_MISSING, 1, 1, "a set without tubes", "tubes:"},
        {"tubes: {outer_diameter: 32 mm, wall: 1 mm}\n", WP_E_MISSING, 1, 1,
         "tubes without notes or lengths", "add notes"},
        {"tubes: {wall: 1 mm, notes: [A3]}\n", WP_E_MISSING, 1, 1, "tubes without outer_diameter",
         "add outer_diameter"},
        {"tubes: {outer_diameter: 32 mm, notes: [A3]}\n", WP_E_MISSING, 1, 1, "tubes without wall",
         "solid"},
        {"tubes: {outer_diameter: 32 mm, wall: 1 mm, notes: [A3],\n lengths: [1 m]}\n",
         WP_E_CONFLICT, 2, 11, "both notes and lengths", "each"},
        {"tubes: {outer_diameter: 32 mm, wall: 1 mm, notes: []}\n", WP_E_RANGE, 1, 51,
         "notes for 0 tubes; expected 1 to 32", NULL},
        {"tubes: {outer_diameter: 32 mm, wall: 1 mm, notes: A3}\n", WP_E_SYNTAX, 1, 51,
         "notes is a single value; expected a list, such as [A3, C4]", NULL},
        {"tubes: {outer_diameter: 32 mm, wall: 1 mm, notes: [A3], each: {2: {wall: 2 mm}}}\n",
         WP_E_RANGE, 1, 64, "each names a tube '2'; expected a number from 1 to 1", "count from 1"},
        {"tubes: {outer_diameter: 32 mm, wall: 1 mm, notes: [A3], each: {01: {wall: 2 mm}}}\n",
         WP_E_RANGE, 1, 64, "each names a tube '01'", NULL},
        {"tubes: {outer_diameter: 32 mm, wall: 1 mm, notes: [A3],\n"
         "  each: {1: {note: A4, length: 1 m}}}\n",
         WP_E_CONFLICT, 2, 32, "tube 1 has both a note and a length", NULL},
        {SMALL "layout: {positions: [[7 cm, 0 mm]]}\n", WP_E_CONFLICT, 2, 21,
         "1 positions for 2 tubes", NULL},
        {SMALL "layout: {ring: {radius: 8 cm},\n positions: [[7 cm, 0 mm], [0 mm, 7 cm]]}\n",
         WP_E_CONFLICT, 3, 13, "both ring and positions", NULL},
        {SMALL "layout: {rows: {gap: 12 cm}, line: {spacing: 5 cm}}\n", WP_E_CONFLICT, 2, 36,
         "both rows and line", NULL},
        {SMALL "layout: {rows: {radius: 8 cm}}\n", WP_E_UNKNOWN_KEY, 2, 17,
         "expected one of gap, spacing", NULL},
        {SMALL "layout: {line: {spacing: 2 m}}\n", WP_E_RANGE, 2, 26, "5 mm to 1 m", NULL},
        {SMALL "layout: {positions: [[7 cm], [7 cm, 0 mm]]}\n", WP_E_SYNTAX, 2, 22,
         "a place of 1 values; expected two", NULL},
        {SMALL "layout:\nname: x\n", WP_E_MISSING, 2, 8, "layout is empty", "leave the key out"},
        {SMALL "layout: {ring: 75 mm}\n", WP_E_SYNTAX, 2, 16,
         "ring is a single value; expected 'key: value' with the key radius", NULL},
        {SMALL "layout: {mount_resistance: 1 kg/s}\n", WP_E_CONFLICT, 2, 28,
         "expected it with held: rigid", NULL},
        {SMALL "layout: {held: rigid, mount_resistance: 1 kg}\n", WP_E_UNIT, 2, 41,
         "expected a mechanical resistance", NULL},
        {SMALL "layout: {held: loose}\n", WP_E_UNKNOWN_NAME, 2, 16, "hanging, rigid", NULL},
        {"tubes: {outer_diameter: 20 mm, wall: 1 mm, notes: [A3], support: {hole: 20 mm}}\n",
         WP_E_RANGE, 1, 66, "as wide as tube 1", NULL},
        {"tubes: {outer_diameter: 20 mm, wall: 1 mm, notes: [A3], soft_direction: north}\n",
         WP_E_SYNTAX, 1, 73, "expected an angle in degrees", NULL},
        {SMALL "drive: {}\n", WP_E_MISSING, 2, 8, "0 drives; expected exactly one", NULL},
        {SMALL "striker: {material: {density: 900 kg/m3}}\n", WP_E_MISSING, 2, 21,
         "material without young_modulus", NULL},
        {"tubes: {outer_diameter: 32 mm, wall: 1 mm, notes: [A3],\n"
         "  material: {young_modulus: 70 GPa}}\n",
         WP_E_MISSING, 2, 13, "material without density", NULL},
        {SMALL "drive: {statistical: {}, sail: {}}\n", WP_E_CONFLICT, 2, 8,
         "2 drives; expected exactly one", NULL},
        {SMALL SMALL, WP_E_CONFLICT, 2, 1, "'tubes' stands twice, first in line 1", NULL},
    };
    assert_mistakes(mistakes, sizeof mistakes / sizeof mistakes[0]);
}

static void a_sail_is_read_and_has_defaults(void **state)
{
    (void)state;
    const struct wp_set set = read_well(SMALL "drive: {sail: {area: 12 in2, mass: 1 oz}}\n");
    assert_int_equal(set.drive.kind, WP_DRIVE_SAIL);
    assert_near(set.drive.sail.area_m2, 12.0 * 0.0254 * 0.0254);
    assert_near(set.drive.sail.mass_kg, 0.028349523125);
    struct wp_set standard;
    wp_set_default(&standard);
    assert_near(set.drive.sail.below_m, standard.drive.sail.below_m);
    assert_int_equal(standard.drive.kind, WP_DRIVE_STATISTICAL);
}

static void coils_are_read_with_their_units(void **state)
{
    (void)state;
    const struct wp_set set =
        read_well(SMALL "drive: {coils: {mean_over: 3 min, slowest: 25 s, fastest: 0.8 s, "
                        "supply: 12 V, resistance: 0.05 k\xCE\xA9, inductance: 50 mH, "
                        "current: 250 mA, against: steel}}\n");
    assert_int_equal(set.drive.kind, WP_DRIVE_COILS);
    assert_near(set.drive.coils.mean_over_s, 180.0);
    assert_near(set.drive.coils.fastest_s, 0.8);
    assert_near(set.drive.coils.supply_v, 12.0);
    assert_near(set.drive.coils.ohm_20c, 50.0);
    assert_near(set.drive.coils.inductance_h, 0.05);
    assert_near(set.drive.coils.current_a, 0.25);
    assert_true(set.drive.coils.is_on_steel);
    struct wp_set standard;
    wp_set_default(&standard);
    assert_near(standard.drive.coils.mean_over_s, 300.0);
    assert_false(standard.drive.coils.is_on_steel);
}

static void coils_that_contradict_themselves_are_refused(void **state)
{
    (void)state;
    const struct mistake mistakes[] = {
        {SMALL "drive: {coils: {fastest: 30 s}}\n", WP_E_RANGE, 2, 16, "longer than slowest", NULL},
        {SMALL "drive: {coils: {full_at: 0.3 m/s}}\n", WP_E_RANGE, 2, 16, "not above calm_below",
         NULL},
        {SMALL "drive: {coils: {fastest: 0.2 s, pulse: 300 ms}}\n", WP_E_RANGE, 2, 16,
         "not shorter than fastest", NULL},
        {SMALL "drive: {coils: {mean_over: 20 s, update: 1 min}}\n", WP_E_RANGE, 2, 16,
         "shorter than update", NULL},
        {SMALL "drive: {coils: {supply: 12}}\n", WP_E_UNIT, 2, 25, "'24 V'", NULL},
    };
    assert_mistakes(mistakes, sizeof mistakes / sizeof mistakes[0]);
}

static void all_findings_come_in_one_run_and_in_order(void **state)
{
    (void)state;
    const char *text = "listener: {distance: 3}\n"
                       "tubes:\n"
                       "  notes: [A3, X1, Y2]\n"
                       "  wall: -1 mm\n"
                       "  outer_diameter: 32 mm\n"
                       "  reference: 440\n"
                       "site: {height: x}\n";
    const int lines[] = {1, 3, 3, 4, 6, 7};
    struct wp_set set;
    struct wp_diags diags;
    wp_diags_init(&diags);
    assert_int_equal(wp_set_parse(&set, "a.yaml", text, strlen(text), &diags), WP_E_UNIT);
    assert_int_equal(diags.n_errors, 6);
    for (size_t i = 0; i < 6; i++) {
        assert_int_equal(diags.items[i].mark.line, lines[i]);
    }
    assert_int_equal(set.n_tubes, 3);
    assert_true(isnan(set.tubes[0].wall_m) && isnan(set.listener_distance_m));
    assert_near(set.tubes[0].outer_diameter_m, 0.032);
}

static void too_many_tubes_are_refused(void **state)
{
    (void)state;
    char text[400] = "tubes: {outer_diameter: 9 mm, wall: 1 mm, notes: [A3";
    for (int i = 1; i < WP_TUBES_MAX; i++) {
        strncat(text, ", A4", 5);
    }
    const size_t length = strlen(text);
    (void)snprintf(text + length, sizeof text - length, "]}\n");
    assert_int_equal(read_well(text).n_tubes, WP_TUBES_MAX);
    (void)snprintf(text + length, sizeof text - length, ", A4]}\n");
    const struct mistake one_more = {
        text, WP_E_RANGE, 1, 50, "notes for 33 tubes; expected 1 to 32", NULL};
    assert_mistakes(&one_more, 1);
}

static void findings_go_on_behind_earlier_ones(void **state)
{
    (void)state;
    struct wp_set set;
    struct wp_diags diags;
    wp_diags_init(&diags);
    (void)wp_diags_add(&diags, WP_E_RANGE, "other", (struct wp_mark){9, 9}, NULL, "first");
    assert_int_equal(wp_set_parse(&set, "a.yaml", SMALL, strlen(SMALL), &diags), WP_OK);
    assert_int_equal(wp_set_parse(&set, "a.yaml", "", 0, &diags), WP_E_EMPTY);
    assert_int_equal(diags.n_items, 2);
    assert_string_equal(diags.items[0].file, "other");
    assert_int_equal(wp_set_parse(&set, "a.yaml", "", 0, NULL), WP_E_EMPTY);
}

static void absent_file_is_a_finding(void **state)
{
    (void)state;
    struct wp_set set;
    struct wp_diags diags;
    wp_diags_init(&diags);
    assert_int_equal(wp_set_load(&set, "no/such/set.yaml", &diags), WP_E_NO_FILE);
    assert_string_equal(diags.items[0].file, "no/such/set.yaml");
    assert_int_equal(wp_set_load(&set, "/", &diags), WP_E_IO);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_key_arrives_in_si_units),
        cmocka_unit_test(rows_and_line_arrive_in_si_units),
        cmocka_unit_test(edits_stand_in_for_the_files_values),
        cmocka_unit_test(wrong_edits_are_told_without_a_line),
        cmocka_unit_test(absent_keys_take_the_documented_defaults),
        cmocka_unit_test(default_ring_leaves_a_clearance),
        cmocka_unit_test(one_tube_may_differ),
        cmocka_unit_test(dimensions_may_all_stand_under_each),
        cmocka_unit_test(material_may_be_given_by_its_constants),
        cmocka_unit_test(tubes_may_stand_at_places),
        cmocka_unit_test(roughness_names_follow_the_classes),
        cmocka_unit_test(values_at_the_very_limit_are_allowed),
        cmocka_unit_test(spelling_follows_the_notes_of_the_set),
        cmocka_unit_test(section_that_is_no_mapping_is_found),
        cmocka_unit_test(wrong_keys_are_found_with_their_neighbour),
        cmocka_unit_test(wrong_units_are_found_in_their_place),
        cmocka_unit_test(impossible_values_are_found_in_their_place),
        cmocka_unit_test(wrong_notes_and_names_are_found_in_their_place),
        cmocka_unit_test(missing_and_excluding_entries_are_found),
        cmocka_unit_test(a_sail_is_read_and_has_defaults),
        cmocka_unit_test(coils_are_read_with_their_units),
        cmocka_unit_test(coils_that_contradict_themselves_are_refused),
        cmocka_unit_test(all_findings_come_in_one_run_and_in_order),
        cmocka_unit_test(too_many_tubes_are_refused),
        cmocka_unit_test(findings_go_on_behind_earlier_ones),
        cmocka_unit_test(absent_file_is_a_finding),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
