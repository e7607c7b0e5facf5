/* SPDX-License-Identifier: MIT */
#ifndef WINDPEAL_TUBE_MATERIAL_H
#define WINDPEAL_TUBE_MATERIAL_H

#include <stddef.h>

#include "windpeal/set.h"

/* What a tube is made of: the built-in table, and what stands in for values left out. */

enum { WP_MATERIAL_WORDS_MAX = 96 };

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
