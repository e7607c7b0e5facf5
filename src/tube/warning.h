/* SPDX-License-Identifier: MIT */
#ifndef WINDPEAL_TUBE_WARNING_H
#define WINDPEAL_TUBE_WARNING_H

#include "windpeal/chime.h"

/* What a maker should know about solved tubes before cutting them. */

/** Adds to chime everything that there is to say about its solved tubes. */
void wp_chime_warn(struct wp_chime *chime, const struct wp_set *set,
                   const struct wp_chime_config *config);

#endif
