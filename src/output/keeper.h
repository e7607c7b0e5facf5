/* SPDX-License-Identifier: MIT */
#ifndef WINDPEAL_OUTPUT_KEEPER_H
#define WINDPEAL_OUTPUT_KEEPER_H

#include "output/loudspeaker.h"
#include "output/ward.h"
#include "windpeal/ring.h"

/*
 * Keeps a device playing: a ward that starts the process which plays, watches it and starts it
 * anew. It has one thread only, so that it may fork whenever it wants.
 */
struct wp_keeper_task {
    struct wp_sound_system_task player; /* what the playing process does */
    struct wp_ring *events;             /* of struct wp_loudspeaker_event */
    struct wp_ring *noise;              /* of char */
    wp_ward_work *play;                 /* what plays: wp_sound_system_play */
};

/* Works on a struct wp_keeper_task until the process is ended or its parent is gone. */
void wp_keeper_work(void *task);

#endif
