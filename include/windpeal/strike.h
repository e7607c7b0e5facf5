/* SPDX-License-Identifier: MIT */
#ifndef WINDPEAL_STRIKE_H
#define WINDPEAL_STRIKE_H

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

/** One blow. Values are rounded to what the strike list prints, so a list plays back alike. */
struct wp_strike {
    double t_s;         /**< seconds after the start of the rendering */
    size_t tube;        /**< index; lists count from 1 */
    double speed_m_s;   /**< closing speed */
    double bearing_deg; /**< direction of the blow */
    double height_m;    /**< above the tube's bottom end */
    double impulse_n_s;
};

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
 * [,impulse_n_s]. "-" is standard input.
 *
 * @param list  out; free with wp_strike_list_finish; empty on failure
 */
WP_API enum wp_status wp_strike_list_load(struct wp_strike_list *list, const char *path,
                                          const struct wp_strike_context *context,
                                          struct wp_diags *diags);

/** The same from memory. */
WP_API enum wp_status wp_strike_list_parse(struct wp_strike_list *list, const char *name,
                                           const char *text, size_t text_size,
                                           const struct wp_strike_context *context,
                                           struct wp_diags *diags);

/** Every tube once in turn, then all together, at one closing speed, gap_s apart. */
WP_API enum wp_status wp_strike_list_each(struct wp_strike_list *list,
                                          const struct wp_strike_context *context, double speed_m_s,
                                          double gap_s);

WP_API void wp_strike_list_finish(struct wp_strike_list *list);

/** Heading and one line of a strike list, each with its newline. */
WP_API int wp_strike_print_heading(FILE *file);
WP_API int wp_strike_print(FILE *file, const struct wp_strike *strike);

struct wp_drive_config {
    const struct wp_strike_context *context; /**< must outlive the drive */
    struct wp_wind *wind;                    /**< used, not owned, until the drive is destroyed */
    double wind_step_s;
    uint64_t seed;
};

struct wp_drive;

/** The set's drive over a generated wind. Free with wp_drive_destroy. */
WP_API enum wp_status wp_drive_create(struct wp_drive **out, const struct wp_drive_config *config);
WP_API void wp_drive_destroy(struct wp_drive *drive);

/**
 * The next strike before until_s.
 *
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
};

/** Collects a wp_variety strike by strike; visible so that it can stand inside its owner. */
struct wp_variety_meter {
    struct wp_variety sums;
    size_t n_repeats;
    size_t last_tube;
    double last_t_s;
};

WP_API void wp_variety_init(struct wp_variety_meter *meter, size_t n_tubes);
WP_API void wp_variety_add(struct wp_variety_meter *meter, const struct wp_strike *strike);
WP_API void wp_variety_result(const struct wp_variety_meter *meter, double duration_s,
                              struct wp_variety *result);

#endif
