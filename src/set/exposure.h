/* SPDX-License-Identifier: MIT */
#ifndef WINDPEAL_SET_EXPOSURE_H
#define WINDPEAL_SET_EXPOSURE_H

#include "set/fields.h"

/* What acts on a set and who hears it: the sections behind tubes, layout and striker. */

/* Reads the section 'drive' into the set. */
void wp_read_drive(const struct wp_reader *reader, const struct wp_node *node);

/* Reads the section 'site' into the set. */
void wp_read_site(const struct wp_reader *reader, const struct wp_node *node);

/* Reads the section 'listener' into the set. */
void wp_read_listener(const struct wp_reader *reader, const struct wp_node *node);

#endif
