/* SPDX-License-Identifier: MIT */
/* Keeps the frames of contacts until their blocks come. */

#include "peal/ahead.h"

#include <assert.h>
#include <stdlib.h>
#include <string.h>

enum wp_status wp_ahead_init(struct wp_ahead *ahead, size_t n_rows)
{
    ahead->n_rows = n_rows;
    ahead->rows = calloc(n_rows, sizeof *ahead->rows);
    return ahead->rows ? WP_OK : WP_E_NO_MEMORY;
}

void wp_ahead_finish(struct wp_ahead *ahead)
{
    free(ahead->rows);
    ahead->rows = NULL;
}

void wp_ahead_add(struct wp_ahead *ahead, size_t row, double place, const float *frames,
                  size_t n_frames)
{
    struct wp_ahead_row *to = &ahead->rows[row];
    if (place + (double)n_frames <= 0.0) {
        return;
    }
    const size_t n_late = place < 0.0 ? (size_t)-place : 0;
    const size_t first = place < 0.0 ? 0 : (size_t)place;
    const size_t end = first + n_frames - n_late;
    assert(end <= WP_AHEAD_FRAMES);
    for (size_t i = first; i < end; i++) {
        to->frames[i] += frames[i - first + n_late];
    }
    to->n_frames = end > to->n_frames ? end : to->n_frames;
}

void wp_ahead_take(struct wp_ahead *ahead, size_t row, float *out, size_t n_frames)
{
    struct wp_ahead_row *from = &ahead->rows[row];
    const size_t n = from->n_frames < n_frames ? from->n_frames : n_frames;
    for (size_t i = 0; i < n; i++) {
        out[i] += from->frames[i];
    }
    const size_t n_left = from->n_frames - n;
    memmove(from->frames, from->frames + n, n_left * sizeof *from->frames);
    memset(from->frames + n_left, 0, n * sizeof *from->frames);
    from->n_frames = n_left;
}
