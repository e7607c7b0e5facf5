/* SPDX-License-Identifier: MIT */
/* Gathers blocks for a room and adds its answer. */

#include "peal/wet.h"

#include <stdlib.h>

enum wp_status wp_wet_init(struct wp_wet *wet, const struct wp_hall *hall, size_t n_tracks,
                           size_t n_ears, size_t block, bool is_prompt)
{
    wet->n_tracks = n_tracks;
    wet->n_ears = n_ears;
    wet->block = is_prompt ? block : wp_convolver_best_block(wp_hall_count(hall), WP_BANK_BLOCK);
    wet->n_frames = block;
    while (wet->n_frames % wet->block != 0) {
        wet->n_frames += block;
    }
    wet->frames = calloc(n_tracks * (n_ears + 1) * wet->n_frames, sizeof *wet->frames);
    enum wp_status status = wet->frames ? WP_OK : WP_E_NO_MEMORY;
    for (size_t track = 0; track < n_tracks && !status; track++) {
        status = wp_hall_convolver(hall, wet->block, &wet->convolvers[track]);
    }
    return status;
}

void wp_wet_finish(struct wp_wet *wet)
{
    for (size_t track = 0; track < wet->n_tracks; track++) {
        wp_convolver_destroy(wet->convolvers[track]);
    }
    free(wet->frames);
    *wet = (struct wp_wet){.n_tracks = 0};
}

float *wp_wet_frames(struct wp_wet *wet, size_t track, size_t output)
{
    return wet->frames + (track * (wet->n_ears + 1) + output) * wet->n_frames;
}

void wp_wet_answer(struct wp_wet *wet)
{
    for (size_t track = 0; track < wet->n_tracks; track++) {
        const float *feed = wp_wet_frames(wet, track, wet->n_ears);
        for (size_t first = 0; first < wet->n_frames; first += wet->block) {
            float *ears[WP_CONVOLVER_EARS_MAX];
            for (size_t ear = 0; ear < wet->n_ears; ear++) {
                ears[ear] = wp_wet_frames(wet, track, ear) + first;
            }
            wp_convolver_render(wet->convolvers[track], feed + first, ears);
        }
    }
}
