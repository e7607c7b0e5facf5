/* SPDX-License-Identifier: MIT */
#ifndef WINDPEAL_SET_CUSTOM_MATERIAL_H
#define WINDPEAL_SET_CUSTOM_MATERIAL_H

#include "set/fields.h"

/*
 * A material's name, or its constants as a mapping. Names are kept as text: who knows the materials
 * looks them up. A mapping must give the Young's modulus, and with needs_density the density.
 */
void wp_read_material(const struct wp_reader *reader, const struct wp_node *node,
                      bool needs_density, struct wp_set_material *material);

#endif
