/* SPDX-License-Identifier: MIT */
#ifndef WINDPEAL_CHIME_H
#define WINDPEAL_CHIME_H

#include <stdbool.h>
#include <stddef.h>

#include "windpeal/attributes.h"
#include "windpeal/set.h"
#include "windpeal/status.h"
#include "windpeal/tube.h"

/* All tubes of a set, cut to length and solved. */

struct wp_chime_config {
    double rule_m; /**< lengths from notes are rounded to this; 0 = not at all */
    bool without_air_mass;
    double max_hz;     /**< partials up to here, at least 12 */
    bool is_in_inches; /**< texts of warnings tell lengths in inches, else in mm */
};

/**
 * One thing the maker should know. code is a fixed word: "stubby", "thin-wall", "ovalling",
 * "end-mass", "no-bore", "support", "off-rule", "temperature", "partials"; for the set
 * "pitch-mixed", "hole".
 */
struct wp_chime_warning {
    const char *code;
    size_t tube; /**< index, or SIZE_MAX for the whole set */
    char text[320];
};

enum { WP_CHIME_WARNINGS_MAX = 64 };

struct wp_chime {
    size_t n_tubes;
    struct wp_tube tubes[WP_TUBES_MAX];
    double exact_length_m[WP_TUBES_MAX]; /**< before rounding to the rule */
    double rounding_cents[WP_TUBES_MAX]; /**< what the rule costs: cut minus exact pitch */
    double hanging_kg;                   /**< all tubes, striker not included */
    double stock_m;                      /**< sum of cut lengths, no saw kerf */
    size_t n_warnings;
    size_t n_warnings_left_out; /**< for want of room */
    struct wp_chime_warning warnings[WP_CHIME_WARNINGS_MAX];
};

/** Defaults: no rounding, air mass, partials to 16 kHz, mm. */
WP_API void wp_chime_config_default(struct wp_chime_config *config);

/**
 * Looks up the names in a set (tube materials) that need no other value to be right. Findings are
 * added to diags; call it also when reading the set failed, so that one run shows all errors.
 */
WP_API enum wp_status wp_chime_check(const struct wp_set *set, struct wp_diags *diags);

/**
 * Solves all tubes of a valid set.
 *
 * @param out  receives a heap object; NULL on failure. Free with wp_chime_destroy.
 * @return WP_OK, WP_E_UNKNOWN_NAME, WP_E_RANGE (note out of reach, impossible geometry; the place
 *         is in diags), WP_E_NO_MEMORY
 */
WP_API enum wp_status wp_chime_create(struct wp_chime **out, const struct wp_set *set,
                                      const struct wp_chime_config *config, struct wp_diags *diags);

/** Frees a chime; NULL is allowed. */
WP_API void wp_chime_destroy(struct wp_chime *chime);

#endif
