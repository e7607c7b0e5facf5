/* SPDX-License-Identifier: MIT */
#ifndef WINDPEAL_OUTPUT_LOUDSPEAKER_H
#define WINDPEAL_OUTPUT_LOUDSPEAKER_H

#include "output/feeder.h"
#include "windpeal/loudspeaker.h"
#include "windpeal/ring.h"

/* What wards do with the sound system. Both may hang, crash and talk; run them in a ward only. */

/* How an attempt to open a device went. */
struct wp_opening {
    bool is_open;
    int rate_hz;
    char device[160];
    char reason[200]; /* in plain words, when it is not open */
};

struct wp_sound_system_task {
    struct wp_loudspeaker_config config;
    struct wp_ring *frames;
    struct wp_feeder_shared *shared;
    struct wp_ring *openings; /* of struct wp_opening; gets one */
};

/* Writes a struct wp_loudspeaker_info for each loudspeaker into the ring that task is. */
void wp_sound_system_look(void *task);

/* Opens the device of a struct wp_sound_system_task and plays until the process is ended; returns
 * when that cannot be done, or when the parent is gone. */
void wp_sound_system_play(void *task);

#endif
