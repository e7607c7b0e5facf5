/* SPDX-License-Identifier: MIT */
#ifndef WINDPEAL_SYNTH_SURROUND_H
#define WINDPEAL_SYNTH_SURROUND_H

#include <stddef.h>

#include "windpeal/layout.h"
#include "windpeal/set.h"

#include "synth/excitation.h"
#include "synth/hall.h"

/*
 * Adds what stands round a set to the excitation of one of its tubes: the loss of the air on the
 * way, and the sound by way of the ground or the feed of the room. Nothing in free air, and nothing
 * for a loudspeaker, whose place has a ground and a room of its own.
 *
 * The feed is the pressure at 1 m from a source of the partial's power that sends to all sides
 * alike, in full scales.
 *
 * hall  of a room of a size or recorded, else NULL
 */
void wp_surround(struct wp_excitation *excitation, const struct wp_set *set,
                 const struct wp_layout *layout, size_t tube_index, const struct wp_hall *hall);

#endif
