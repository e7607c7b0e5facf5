/* SPDX-License-Identifier: MIT */
#ifndef WINDPEAL_APP_BLOW_HINT_H
#define WINDPEAL_APP_BLOW_HINT_H

#include <stdbool.h>
#include <stddef.h>

#include "app/set_source.h"

/* How a gentle hit meets a tube, and whether the striker is too soft for it. */

/* Closing speed of a gentle hit, at which levels and contacts are told. */
static const double APP_TOLD_SPEED_M_S = 0.3;

/* The contact of the set's striker with a tube at that speed. */
void app_blow_solve(const struct app_set *loaded, size_t tube, struct wp_contact *contact);

/*
 * True when the contact lasts so long that it hardly excites the partial that gives the pitch; text
 * then says so in words for the maker.
 */
bool app_blow_is_soft(const struct app_set *loaded, size_t tube, char *text, size_t text_size);

#endif
