/* SPDX-License-Identifier: MIT */
#ifndef WINDPEAL_APP_BLOW_HINT_H
#define WINDPEAL_APP_BLOW_HINT_H

#include <stdbool.h>
#include <stddef.h>

#include "app/set_source.h"

/* How a gentle hit meets a tube, and whether the striker is too soft for it. */

/* Closing speed of the hit at which levels and contacts are told. */
extern const double app_told_speed_m_s;

/* The contact of the set's striker with a tube at that speed. */
void app_blow_solve(const struct app_set *loaded, size_t tube, struct wp_contact *contact);

/*
 * True when the contact lasts so long that it hardly excites the partial that gives the pitch; text
 * then says so in words for the maker.
 */
bool app_blow_is_soft(const struct app_set *loaded, size_t tube, char *text, size_t text_size);

#endif
