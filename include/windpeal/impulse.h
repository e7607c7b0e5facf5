/* SPDX-License-Identifier: MIT */
#ifndef WINDPEAL_IMPULSE_H
#define WINDPEAL_IMPULSE_H

#include <stddef.h>

#include "windpeal/attributes.h"
#include "windpeal/status.h"

/*
 * A room's impulse response as it was recorded. What the file's level is does not matter: the
 * loudest moment of the response is taken for the direct sound of a source that sends to all sides
 * alike, at the listener's distance from the set; its level is the mean from 250 Hz to 8 kHz. The
 * response counts from that moment on; its first 2 to 3 ms are left out, since the direct sound is
 * the model's own.
 */

struct wp_impulse {
    float *frames; /**< n_frames interleaved frames; owned */
    size_t n_frames;
    int n_channels; /**< 1: both ears hear the same; 2: left and right */
    int rate_hz;
};

/** Longest response that is read. */
#define WP_IMPULSE_LONGEST_S 30.0

/**
 * Reads a response from a sound file (any format that libsndfile reads), and brings it to a rate.
 *
 * @param impulse  out: to be finished, also on failure
 * @return WP_OK, or with a finding in diags: WP_E_NO_FILE, WP_E_IO, WP_E_SYNTAX (no sound file),
 *         WP_E_RANGE (longer than WP_IMPULSE_LONGEST_S, more than two channels, a strange rate),
 *         WP_E_EMPTY (silence); WP_E_NO_MEMORY
 */
WP_API enum wp_status wp_impulse_load(struct wp_impulse *impulse, const char *path, int rate_hz,
                                      struct wp_diags *diags);

/** Frees the frames; an impulse of zeros is allowed. */
WP_API void wp_impulse_finish(struct wp_impulse *impulse);

#endif
