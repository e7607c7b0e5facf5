/* SPDX-License-Identifier: MIT */
#ifndef WINDPEAL_TUBE_MATERIAL_H
#define WINDPEAL_TUBE_MATERIAL_H

#include <stddef.h>

#include "windpeal/set.h"

/* What a tube is made of: the built-in table, and what stands in for values left out. */

enum { WP_MATERIAL_WORDS_MAX = 96 };

/** What stock of a material is made and sold as. */
enum wp_stock_kind {
    WP_STOCK_ALUMINIUM,
    WP_STOCK_STEEL,
    WP_STOCK_STAINLESS,
    WP_STOCK_COPPER,
    WP_STOCK_COPPER_ALLOY,
    WP_STOCK_TITANIUM,
    WP_STOCK_OTHER,
};

/** Kind of a set's material; WP_STOCK_OTHER for a mapping and for an unknown name. */
enum wp_stock_kind wp_stock_kind_of(const struct wp_set_material *material);

/**
 * Collects every name and other spelling of the table, for a search of the nearest one.
 *
 * @param words  out: n_words of them, static text; room for WP_MATERIAL_WORDS_MAX
 */
size_t wp_material_words(const char **words);

/**
 * Fills in what a custom material leaves out (NAN) and the tube needs: Poisson's ratio 0.33, loss
 * factor 2e-4, no expansion, constant stiffness. Without conductivity, specific heat or expansion
 * there is no thermoelastic loss.
 */
void wp_material_complete(struct wp_material *material);

#endif
