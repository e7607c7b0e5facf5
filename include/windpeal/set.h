/* SPDX-License-Identifier: MIT */
#ifndef WINDPEAL_SET_H
#define WINDPEAL_SET_H

#include <stdbool.h>
#include <stddef.h>
#include <stdio.h>

#include "windpeal/attributes.h"
#include "windpeal/quantity.h"
#include "windpeal/status.h"

/* A chime set as its set file describes it: validated values in SI units, no physics. */

enum { WP_TUBES_MAX = 32 };

/** Solid properties; the constants behind a material's name. NAN: not known. */
struct wp_material {
    double young_modulus_pa;
    double density_kg_m3;
    double poisson_ratio;
    double loss_factor; /**< material part of 1/Q, constant with frequency */
    double thermal_expansion_per_k;
    double stiffness_per_k; /**< (1/E) dE/dT, negative */
    double conductivity_w_mk;
    double specific_heat_j_kgk;
    double restitution; /**< of a striker made of it, at 1 m/s against a heavy block, 0 to 1 */
};

/** A material as the set file gives it: a name, to be looked up later, or values. */
struct wp_set_material {
    char name[48];             /**< as written; "custom" for a mapping */
    bool is_custom;            /**< values below come from the file; absent ones are NAN */
    struct wp_material values; /**< only for is_custom */
    struct wp_mark mark;       /**< where the name or mapping stands */
};

/** One tube or rod. Exactly one of length_m and note_hz is a number, the other NAN. */
struct wp_set_tube {
    struct wp_set_material material;
    double outer_diameter_m;
    double wall_m; /**< half the outer diameter for a rod */
    bool is_solid;
    double length_m; /**< at 20 C */
    double note_hz;
    char note[24];             /**< as written; empty with a given length */
    double end_mass_kg;        /**< at the top end, default 0 */
    double plug_length_m;      /**< of the end mass as a plug in the bore; default 0: a point */
    double ovality_01;         /**< (largest - smallest diameter) / diameter, default 0 */
    double soft_direction_deg; /**< bearing of the softer direction of vibration; NAN: spread over
                                    the tubes by the golden angle, the default */
    double bore_offset_01;     /**< bore off centre as a share of the wall, default 0 */
    double stiffness_ratio;    /**< Young's modulus over the material's, default 1 */
    struct wp_mark mark;       /**< of the note or length */
    struct wp_mark mark_wall;
    struct wp_mark mark_end_mass; /**< line 0 without the key */
    struct wp_mark mark_plug;     /**< line 0 without the key */
};

enum wp_tuned_to { WP_TUNED_FIRST_PARTIAL, WP_TUNED_HEARD_PITCH };
enum wp_align { WP_ALIGN_BOTTOMS, WP_ALIGN_MIDDLES, WP_ALIGN_TOPS };

/** Horizontal place in metres: x to the east, y to the north, origin at the striker's rest. */
struct wp_place {
    double x_m;
    double y_m;
};

/** How the places of the tubes are given. */
enum wp_layout_kind { WP_LAYOUT_RING, WP_LAYOUT_ROWS, WP_LAYOUT_LINE, WP_LAYOUT_POSITIONS };

/**
 * Where the tubes hang. Rows and line run from west to east and have their middle at the striker;
 * their distances count from axis to axis. Turn a set by hanging it otherwise: only positions can
 * say more.
 */
struct wp_set_layout {
    enum wp_layout_kind kind;             /**< default a ring */
    double ring_radius_m;                 /**< tube 1 stands north, the others clockwise;
                                               default 75 mm, whatever the tubes */
    double rows_gap_m;                    /**< between two facing rows, the striker in the middle;
                                               default 150 mm. The northern row, with the odd tube,
                                               counts eastwards, the southern one back westwards */
    double rows_spacing_m;                /**< of neighbours in a row; default 50 mm */
    double line_spacing_m;                /**< of neighbours in a line; default 50 mm */
    double line_offset_m;                 /**< of the line to the north of the striker; default
                                               75 mm. Tube 1 stands west */
    struct wp_place places[WP_TUBES_MAX]; /**< only of WP_LAYOUT_POSITIONS */
    enum wp_align align;
    bool is_held_rigid; /**< held like a fixed post; else hanging from cords, the default */
    double mount_resistance_kg_s; /**< of each of a rigid tube's two mounts, default 0.2 kg/s */
    struct wp_mark mark;
};

struct wp_set_striker {
    struct wp_set_material material;
    double diameter_m;
    double mass_kg;
    double suspension_m;               /**< pivot to the striker's middle */
    double strike_height_m;            /**< above the highest of the bottom ends */
    bool is_ideal_contact;             /**< an impulse without duration, for checks */
    struct wp_mark mark_strike_height; /**< line 0 without the key */
};

/** What moves the striker; the members of the same names hold its values. */
enum wp_drive_kind { WP_DRIVE_STATISTICAL, WP_DRIVE_SAIL, WP_DRIVE_COILS };

/** Statistical drive: strikes a second against the wind that a controller sees. */
struct wp_set_statistical {
    double calm_below_m_s; /**< no strikes under this wind */
    double busiest_per_s;  /**< rate at full_at_m_s and above */
    double full_at_m_s;
    double update_s; /**< how often the controller reads the station */
};

/** A flat sail on the striker's suspension, in the wind where the set hangs. */
struct wp_set_sail {
    double area_m2;
    double below_m; /**< the sail's middle below the striker's */
    double mass_kg;
};

/**
 * A coil below the striker kicks its partner in the striker's foot: the two are one circuit. The
 * mean wind sets the delay between kicks, the wind now their strength.
 */
struct wp_set_coils {
    double mean_over_s;    /**< over which the wind is averaged for the delay, default 5 min */
    double slowest_s;      /**< delay between kicks in the lightest wind, default 25 s */
    double fastest_s;      /**< the same at full_at_m_s and above, default 2.5 s */
    double calm_below_m_s; /**< no kicks under this wind, default 0.5 m/s */
    double full_at_m_s;    /**< default 11 m/s */
    double update_s;       /**< how often the controller reads the station, default 10 s */
    double least_duty_01;  /**< at calm_below_m_s, growing to 1; default 0.85 */
    double jitter_01;      /**< delays are drawn evenly from 1 - jitter to 1 + jitter; default 0 */
    double pulse_s;        /**< length of a kick, default 40 ms */
    double supply_v;       /**< default 24 V */
    double ohm_20c;        /**< both coils at 20 C, default 16 ohm */
    double inductance_h;   /**< both coils, default 50 mH */
    double force_n;        /**< between the faces when they touch, at current_a; default 7 N */
    double current_a;      /**< default 1.5 A */
    double reach_m;        /**< a gap this wide leaves a sixteenth of the force; default 22 mm */
    double gap_m;          /**< between the faces at rest, default 9 mm */
    double rest_offset_m;  /**< of the striker at rest from the coil's axis: no mount is plumb and
                                without it no kick goes sideways; default 1 mm */
    double rest_bearing_deg;  /**< where to, default 15 degrees */
    double pivot_friction_m;  /**< dry friction of the pivot holds the striker so far from where it
                                   would hang; default 0.5 mm */
    bool is_on_steel;         /**< a piece of steel stands for the upper coil, and the striker
                                   sticks to the axis; default false */
    double rating_c;          /**< hottest that a winding may be, default 80 C */
    double heat_capacity_j_k; /**< of one coil, default 25 J/K */
    double heat_resistance_k_w; /**< of one coil to the air, default 22 K/W */
};

/** The drive; values of another kind than the set's stay at their defaults. */
struct wp_set_drive {
    enum wp_drive_kind kind;
    struct wp_set_statistical statistical;
    struct wp_set_sail sail;
    struct wp_set_coils coils;
};

/** What stands around set and listener. */
enum wp_room_kind {
    WP_ROOM_FREE,     /**< nothing at all: no ground, no walls, air without losses */
    WP_ROOM_OUTDOORS, /**< open ground below */
    WP_ROOM_OF_SIZE,  /**< a room of statistical acoustics */
    WP_ROOM_RECORDED, /**< a room by its impulse response in a sound file */
};

/** Ground by its flow resistivity, soft to hard; see wp_ground_name. */
enum wp_ground {
    WP_GROUND_SNOW,
    WP_GROUND_FOREST_FLOOR,
    WP_GROUND_LOOSE_SOIL,
    WP_GROUND_GRASS,
    WP_GROUND_LAWN,
    WP_GROUND_GRAVEL,
    WP_GROUND_PAVING,
    WP_GROUND_WATER,
    WP_GROUNDS,
};

/** Sides of a room: from west to east, from south to north, from floor to ceiling. */
enum { WP_SIDES = 3 };

struct wp_set_room {
    enum wp_room_kind kind;  /**< default free */
    enum wp_ground ground;   /**< of WP_ROOM_OUTDOORS; default grass */
    double size_m[WP_SIDES]; /**< of WP_ROOM_OF_SIZE */
    double decay_s;          /**< of WP_ROOM_OF_SIZE: by 60 dB at 1 kHz, the air's share included */
    double humidity_01;      /**< relative humidity of the air, default 50 %; not in free air */
    char impulse[256];       /**< of WP_ROOM_RECORDED: sound file, as written */
    struct wp_mark mark;
};

struct wp_set {
    char file[256];
    char name[96];
    size_t n_tubes;
    struct wp_set_tube tubes[WP_TUBES_MAX];
    enum wp_tuned_to tuned_to;
    double reference_hz;
    double temperature_c;
    bool is_supported_at_node;
    double support_m; /**< from each end, without is_supported_at_node */
    double cord_kg_m;
    double hole_m; /**< diameter of the cord's holes through the walls; default NAN: not told */
    struct wp_mark mark_support;
    struct wp_set_layout layout;
    struct wp_set_striker striker;
    struct wp_set_drive drive;
    double site_height_m;
    double site_roughness_m; /**< roughness length z0 at the set */
    double listener_distance_m;
    double listener_bearing_deg;
    double listener_height_m; /**< above the middle of the longest tube */
    struct wp_set_room room;
};

/** The word for a ground in a set file, for example "forest floor". Static text. */
WP_API const char *wp_ground_name(enum wp_ground ground);

/**
 * A set with every default filled in and no tubes: the one place where defaults stand. Every entry
 * of tubes holds what a tube is without further words; its diameter, wall, length and note are NAN,
 * since a set file must give them.
 */
WP_API void wp_set_default(struct wp_set *set);

/**
 * Reads a set file: UTF-8, at most 256 kB. Names of materials are kept as written, not looked up.
 *
 * @param set    out: as much as could be read, also on failure; NAN where a value was wrong
 * @param diags  all findings are added to it, in the order of the file; may be NULL
 * @return WP_OK, or the status of the first error in the file; WP_E_NO_FILE, WP_E_IO,
 * WP_E_NO_MEMORY
 */
WP_API enum wp_status wp_set_load(struct wp_set *set, const char *path, struct wp_diags *diags);

/** A value that stands in for the file's: "striker.diameter" and "40 mm". */
struct wp_set_edit {
    const char *path;  /**< keys from the top with dots between; items of a list count from 1 */
    const char *value; /**< as it would stand in the file: one text, no list or mapping */
};

/**
 * The same with edits put into the file before anything is read from it, in their order. A key that
 * the file leaves out is added; what is wrong with an edit is a finding without a line. The texts
 * of the edits are used, not kept.
 */
WP_API enum wp_status wp_set_load_edited(struct wp_set *set, const char *path,
                                         const struct wp_set_edit *edits, size_t n_edits,
                                         struct wp_diags *diags);

/** The same from memory; name stands for the file in findings. text need not end with a zero. */
WP_API enum wp_status wp_set_parse(struct wp_set *set, const char *name, const char *text,
                                   size_t text_size, struct wp_diags *diags);

/** The same from memory, with edits. */
WP_API enum wp_status wp_set_parse_edited(struct wp_set *set, const char *name, const char *text,
                                          size_t text_size, const struct wp_set_edit *edits,
                                          size_t n_edits, struct wp_diags *diags);

/** How a tube's pitch is named: as its own note is written, else as most black keys of the set. */
WP_API enum wp_spelling wp_set_spelling(const struct wp_set *set, size_t tube);

/**
 * Writes a valid set as a set file. It reads back as the same set, numbers to the last bit or two;
 * comments and places in a file are not part of a set. A tube with a frequency but no note's name
 * is written with the nearest note, to whole cents.
 *
 * @return 0, or negative when a print has failed (errno tells why)
 */
WP_API int wp_set_print(FILE *file, const struct wp_set *set);

#endif
