/* SPDX-License-Identifier: MIT */
/* Copies frames out of the ring into the device's buffer. */
#include "output/feeder.h"

#include <string.h>

void wp_feeder_fill(struct wp_feeder *feeder, float *frames, size_t n_frames)
{
    const size_t n_read = wp_ring_read(feeder->ring, frames, n_frames);
    const size_t n_left = n_frames - n_read;
    memset(frames + n_read * feeder->n_channels, 0, n_left * feeder->n_channels * sizeof *frames);
    feeder->is_flowing = feeder->is_flowing || n_read > 0;
    if (feeder->is_flowing && n_left > 0) {
        atomic_fetch_add_explicit(&feeder->shared->n_missing, n_left, memory_order_relaxed);
    }
    atomic_fetch_add_explicit(&feeder->shared->n_played, n_frames, memory_order_relaxed);
}
