/* SPDX-License-Identifier: MIT */
/* Keeps the frames of contacts until their blocks come. */

#include "peal/ahead.h"

#include <assert.h>
#include <stdlib.h>
#include <string.h>

enum wp_status wp_ahead_init(struct wp_ahead *ahead, size_t n_rows, size_t late_frames)
{
    ahead->n_rows = n_rows;
    ahead->n_frames_max = WP_AHEAD_FRAMES + late_frames;
    ahead->n_frames = calloc(n_rows, sizeof *ahead->n_frames);
    ahead->frames = calloc(n_rows * ahead->n_frames_max, sizeof *ahead->frames);
    return ahead->n_frames && ahead->frames ? WP_OK : WP_E_NO_MEMORY;
}

void wp_ahead_finish(struct wp_ahead *ahead)
{
    free(ahead->n_frames);
    free(ahead->frames);
    *ahead = (struct wp_ahead){.n_rows = 0};
}

void wp_ahead_add(struct wp_ahead *ahead, size_t row, double place, const float *frames,
                  size_t n_frames)
{
    float *to = &ahead->frames[row * ahead->n_frames_max];
    if (place + (double)n_frames <= 0.0) {
        return;
    }
    const size_t n_late = place < 0.0 ? (size_t)-place : 0;
    const size_t first = place < 0.0 ? 0 : (size_t)place;
    const size_t end = first + n_frames - n_late;
    assert(end <= ahead->n_frames_max);
    for (size_t i = first; i < end; i++) {
        to[i] += frames[i - first + n_late];
    }
    ahead->n_frames[row] = end > ahead->n_frames[row] ? end : ahead->n_frames[row];
}

void wp_ahead_take(struct wp_ahead *ahead, size_t row, float *out, size_t n_frames)
{
    float *from = &ahead->frames[row * ahead->n_frames_max];
    const size_t n_held = ahead->n_frames[row];
    const size_t n = n_held < n_frames ? n_held : n_frames;
    for (size_t i = 0; i < n; i++) {
        out[i] += from[i];
    }
    memmove(from, from + n, (n_held - n) * sizeof *from);
    memset(from + n_held - n, 0, n * sizeof *from);
    ahead->n_frames[row] = n_held - n;
}
