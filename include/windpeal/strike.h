/* SPDX-License-Identifier: MIT */
#ifndef WINDPEAL_STRIKE_H
#define WINDPEAL_STRIKE_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>

#include "windpeal/attributes.h"
#include "windpeal/contact.h"
#include "windpeal/layout.h"
#include "windpeal/set.h"
#include "windpeal/status.h"
#include "windpeal/wind.h"

/* Strikes: a list of them, the drive that makes them from wind, and how varied they are. */

/**
 * One row of a strike list: a blow, or where the closing speed is not above 0 a striker that comes
 * to rest on the tube (0) or leaves it (below 0, the speed of parting). Rests and leaves carry no
 * blow; they damp. Values are rounded to what the strike list prints, so a list plays back alike.
 * An impulse that is NAN is that of the contact: whoever sounds the strike solves it anyway, others
 * ask wp_strike_complete.
 */
struct wp_strike {
    double t_s;         /**< seconds after the start of the rendering */
    size_t tube;        /**< index; lists count from 1 */
    double speed_m_s;   /**< closing speed; see above */
    double bearing_deg; /**< direction of the blow */
    double height_m;    /**< above the tube's bottom end */
    double impulse_n_s; /**< or NAN; 0 without a blow */
};

/** False for a rest or a leave, which does not count as a strike. */
static inline bool wp_strike_is_blow(const struct wp_strike *strike)
{
    return strike->speed_m_s > 0.0;
}

/** Strikes in order of time. The struct owns what items points to. */
struct wp_strike_list {
    struct wp_strike *items;
    size_t n_items;
};

/** What fills in the columns that a list leaves out. */
struct wp_strike_context {
    const struct wp_set *set;
    const struct wp_chime *chime;
    const struct wp_layout *layout;
    const struct wp_striker *striker;
};

/**
 * Reads a strike list: CSV with the heading t_s,tube,speed_m_s[,bearing_deg][,height_m]
 * [,impulse_n_s], columns in any order. "-" is standard input. Blank lines and lines that start
 * with # are passed over. A column or field that is left out is filled in: the tube's bearing, the
 * layout's strike height; the impulse stays NAN. Strikes out of order are sorted by time,
 * which a warning in diags says. A heading alone is an empty list. A rest on a tube that the
 * striker rests on already is refused, and so is a leave without a rest; a last rest needs no
 * leave.
 *
 * @param list  out; free with wp_strike_list_finish; empty on failure
 * @return WP_OK, or the first error's status; every bad line is in diags
 */
WP_API enum wp_status wp_strike_list_load(struct wp_strike_list *list, const char *path,
                                          const struct wp_strike_context *context,
                                          struct wp_diags *diags);

/** The same from memory. */
WP_API enum wp_status wp_strike_list_parse(struct wp_strike_list *list, const char *name,
                                           const char *text, size_t text_size,
                                           const struct wp_strike_context *context,
                                           struct wp_diags *diags);

/**
 * Every tube once in turn from time 0, then all together, at one closing speed, gap_s apart.
 *
 * @return WP_OK, WP_E_RANGE (speed outside of 1 um/s to 20 m/s, no gap), WP_E_NO_MEMORY
 */
WP_API enum wp_status wp_strike_list_each(struct wp_strike_list *list,
                                          const struct wp_strike_context *context, double speed_m_s,
                                          double gap_s);

/** Frees the strikes and empties the list. */
WP_API void wp_strike_list_finish(struct wp_strike_list *list);

/**
 * Fills in what is NAN in a strike whose time, tube and speed stand: the bearing of the tube, the
 * layout's strike height, the impulse of that contact. All three rounded.
 */
WP_API void wp_strike_complete(struct wp_strike *strike,
                               const struct wp_strike_context *context) WP_REALTIME;

/** Writes the heading of a strike list. Returns the bytes written, or a negative number. */
WP_API int wp_strike_print_heading(FILE *file);

/** Writes one line of a strike list, whatever the locale. Returns as the heading does. */
WP_API int wp_strike_print(FILE *file, const struct wp_strike *strike);

/** One pulse of a coil drive, as its controller decided it. */
struct wp_kick {
    double t_s;           /**< seconds after the start */
    uint32_t mean_mm_s;   /**< the mean wind that set the delay */
    uint32_t now_mm_s;    /**< the wind that set the duty */
    uint32_t delay_ms;    /**< wanted after the kick before, without jitter and heat */
    uint32_t duty_4096;   /**< voltage over the supply's, times 4096 */
    double length_s;      /**< of the pulse */
    double temperature_c; /**< hottest that the winding gets by it */
};

enum { WP_KICK_CELLS = 128 };

/**
 * What a controller needs to know, in whole numbers: entries for winds evenly from calm to full,
 * straight lines in between, level outside; no kick below calm. The drive uses the same table.
 */
struct wp_kick_table {
    uint32_t calm_mm_s;
    uint32_t full_mm_s;
    uint32_t delay_ms[WP_KICK_CELLS + 1];  /**< by the mean wind */
    uint32_t duty_4096[WP_KICK_CELLS + 1]; /**< by the wind now, times 4096 */
};

/** Fills in the table of a valid coil drive. */
WP_API void wp_kick_table_init(struct wp_kick_table *table, const struct wp_set_coils *coils);

/** Who is told of kicks: each before the strikes that it causes. */
struct wp_kick_watch {
    void *target; /**< handed to take */
    void (*take)(void *target, const struct wp_kick *kick);
};

struct wp_drive_config {
    const struct wp_strike_context *context; /**< must outlive the drive */
    struct wp_wind *wind;                    /**< used, not owned, until the drive is destroyed */
    double wind_step_s;
    uint64_t seed;
    const struct wp_kick_watch *kicks; /**< NULL, or must outlive the drive */
};

struct wp_drive;

/**
 * The set's drive over a generated wind. Statistical: a point process whose rate follows the wind
 * that a controller sees, the station's. Sail: a pendulum in the wind as generated, so that the
 * wind must be that where the set hangs. Coils: a pendulum in still air, kicked by a controller
 * that sees the station. Same seed, same strikes, bit for bit on every machine.
 *
 * @param out  receives the drive; NULL on failure. Free with wp_drive_destroy.
 * @return WP_OK, WP_E_RANGE (values of the set's drive), WP_E_NO_MEMORY
 *
 * Model: DEVELOPERS.md, "Striker".
 */
WP_API enum wp_status wp_drive_create(struct wp_drive **out, const struct wp_drive_config *config);

/** Frees a drive, not its wind; NULL is allowed. */
WP_API void wp_drive_destroy(struct wp_drive *drive);

/**
 * The next strike before until_s (finite). How until_s is advanced does not change the strikes.
 *
 * @param strike  out; untouched without a strike
 * @return true and the strike, or false when there is none before until_s; then ask again later
 */
WP_API bool wp_drive_next(struct wp_drive *drive, double until_s,
                          struct wp_strike *strike) WP_REALTIME;

/** How many and how varied; fields as in the JSON of `windpeal strikes`. */
struct wp_variety {
    double duration_s;
    size_t n_strikes;
    size_t n_tubes;
    size_t per_tube[WP_TUBES_MAX];
    double per_minute;
    double reached_share; /**< tubes struck at least once / tubes */
    double entropy_bits;  /**< of the tubes' shares; at most log2(n_tubes) */
    double repeat_share;  /**< strikes on the tube struck just before; NAN below 2 strikes */
    double longest_silence_s;
    size_t n_rests;        /**< how often the striker came to rest on a tube */
    double rest_s;         /**< how long it leaned in all, tube by tube */
    size_t n_kicks;        /**< pulses of a coil drive */
    double tubes_per_kick; /**< different tubes struck from one kick to the next; NAN: no kicks */
};

/** Collects a wp_variety strike by strike; visible so that it can stand inside its owner. */
struct wp_variety_meter {
    struct wp_variety sums;
    size_t n_repeats;
    size_t last_tube;
    double last_t_s;
    bool is_resting[WP_TUBES_MAX];
    double rest_from_s[WP_TUBES_MAX];
    bool is_struck[WP_TUBES_MAX]; /* since the last kick */
    size_t n_struck;              /* such tubes, summed over kicks */
};

/** Empties the meter. */
WP_API void wp_variety_init(struct wp_variety_meter *meter, size_t n_tubes);

/** Counts one row; rows come in order of time. */
WP_API void wp_variety_add(struct wp_variety_meter *meter,
                           const struct wp_strike *strike) WP_REALTIME;

/** Counts one kick; kicks and strikes come in order of time. */
WP_API void wp_variety_kick(struct wp_variety_meter *meter);

/** The figures so far for a rendering of duration_s; silence before the first strike counts. */
WP_API void wp_variety_result(const struct wp_variety_meter *meter, double duration_s,
                              struct wp_variety *result);

#endif
