/* SPDX-License-Identifier: MIT */
#ifndef WINDPEAL_TOLERANCE_H
#define WINDPEAL_TOLERANCE_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "windpeal/attributes.h"
#include "windpeal/chime.h"
#include "windpeal/set.h"

/* What the shop can hold: how far pitches move with sizes and stiffness, and what bought stock
 * makes of that. */

/**
 * Slopes of a tube's pitch, in cents. The pitch is that of the partial which the set is tuned by:
 * the first, or the fourth of a tube whose heard pitch comes from there.
 */
struct wp_sensitivity {
    double wall_cents;      /**< per 0.1 mm of wall, outer diameter kept; NAN for a rod */
    double diameter_cents;  /**< per 0.1 mm of outer diameter, wall kept */
    double length_cents;    /**< per 1 mm */
    double stiffness_cents; /**< per 1 % of Young's modulus */
    double kelvin_cents;    /**< per 1 K, by stiffness, expansion and the air */
};

/** How far stock of one size may be from it by one class of tolerances. */
struct wp_stock {
    const char *name;     /**< "extruded tube"; static text */
    const char *standard; /**< static text */
    bool is_from_memory;  /**< its figures were not read again in the standard or a copy */
    double diameter_m;    /**< +- of the mean outer diameter */
    double wall_m;        /**< +- of the mean wall; 0 for a rod */
    double ovality_01; /**< up to; an estimate: the tolerance of the diameter over the diameter */
    double bore_offset_01; /**< up to, as a share of the wall; 0 for a rod */
};

/** What one class makes of a tube's pitch; all figures are +- cents but split_cents. */
struct wp_stock_effect {
    struct wp_stock stock;
    double diameter_cents;
    double wall_cents;
    double stiffness_cents; /**< of the material's uncertainty */
    double together_cents;  /**< root of the sum of squares, since they are independent */
    double split_cents;     /**< of a partial with the largest ovality and bore offset */
};

enum { WP_STOCKS_MAX = 4 };

/** One tube's tolerances. Plain values. */
struct wp_tolerance {
    int partial; /**< that the pitch is tuned by: 1 or 4 */
    struct wp_sensitivity sensitivity;
    double stiffness_01; /**< +- of the material; 0 for a mapping, whose E is taken as measured */
    size_t n_stocks;     /**< classes that fit the material, the usual one first */
    struct wp_stock_effect stocks[WP_STOCKS_MAX];
};

/** Computes the tolerances of one tube (index from 0) of a solved set. */
WP_API void wp_tolerance_solve(struct wp_tolerance *tolerance, const struct wp_set *set,
                               const struct wp_chime *chime, size_t tube);

/**
 * Draws one plausible set: tubes cut to the lengths of chime out of stock that keeps its usual
 * class. Outer diameter, wall, ovality and bore offset are each tube's own; stiffness is drawn once
 * for each material of the set (a batch), and a fifth of its uncertainty for each tube (an
 * estimate). Limits count as two standard deviations of a normal distribution that ends there.
 *
 * @param sample  out: like set, with lengths in place of notes; may not be set itself
 * @param seed    with index, names the sample: the same numbers, the same set
 */
WP_API void wp_sample_draw(struct wp_set *sample, const struct wp_set *set,
                           const struct wp_chime *chime, uint64_t seed, uint64_t index);

#endif
