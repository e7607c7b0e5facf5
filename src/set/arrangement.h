/* SPDX-License-Identifier: MIT */
#ifndef WINDPEAL_SET_ARRANGEMENT_H
#define WINDPEAL_SET_ARRANGEMENT_H

#include "set/fields.h"

/* Where tubes and striker hang. Both need the tubes read before. */

/* Reads the section 'layout' into the set. */
void wp_read_layout(const struct wp_reader *reader, const struct wp_node *node);

/* Reads the section 'striker' into the set. */
void wp_read_striker(const struct wp_reader *reader, const struct wp_node *node);

#endif
