/* SPDX-License-Identifier: MIT */
#ifndef WINDPEAL_SET_TUBES_H
#define WINDPEAL_SET_TUBES_H

#include "set/fields.h"

/* Reads the section 'tubes' into the set: how many, what each is like, how they are tuned. */
void wp_read_tubes(const struct wp_reader *reader, const struct wp_node *node);

#endif
