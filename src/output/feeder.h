/* SPDX-License-Identifier: MIT */
#ifndef WINDPEAL_OUTPUT_FEEDER_H
#define WINDPEAL_OUTPUT_FEEDER_H

#include <stdatomic.h>
#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "windpeal/attributes.h"
#include "windpeal/ring.h"

/* The last step before the device: copies frames out of the ring, and silence when it is empty. */

/* What the processes of a loudspeaker know of each other; lies in shared memory. */
struct wp_feeder_shared {
    _Atomic uint64_t n_played;  /* frames that the device asked for */
    _Atomic uint64_t n_missing; /* those among them that were not there in time */
    atomic_bool is_over;        /* all is to be closed and ended in good order */
};

struct wp_feeder {
    struct wp_ring *ring; /* of frames */
    struct wp_feeder_shared *shared;
    size_t n_channels;
    bool is_flowing; /* a frame has come; before that nothing is missing */
};

/* Fills n_frames interleaved frames. This is all that runs in the device's callback. */
void wp_feeder_fill(struct wp_feeder *feeder, float *frames, size_t n_frames) WP_REALTIME;

#endif
