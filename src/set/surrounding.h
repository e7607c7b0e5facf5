/* SPDX-License-Identifier: MIT */
#ifndef WINDPEAL_SET_SURROUNDING_H
#define WINDPEAL_SET_SURROUNDING_H

#include "set/fields.h"

/* What stands around set and listener: open ground, a room, or a recording of one. */

/* Reads 'room' into the set; the sections 'site' and 'listener' must have been read. */
void wp_read_room(const struct wp_reader *reader, const struct wp_node *node);

#endif
