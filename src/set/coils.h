/* SPDX-License-Identifier: MIT */
#ifndef WINDPEAL_SET_COILS_H
#define WINDPEAL_SET_COILS_H

#include "set/fields.h"

/* Reads the mapping 'coils' of the section 'drive'; value is the set's wp_set_drive. */
void wp_read_coils(const struct wp_reader *reader, const struct wp_node *node, void *value);

#endif
