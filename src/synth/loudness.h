/* SPDX-License-Identifier: MIT */
#ifndef WINDPEAL_SYNTH_LOUDNESS_H
#define WINDPEAL_SYNTH_LOUDNESS_H

#include <stddef.h>
#include <stdint.h>

#include "synth/weighting.h"
#include "windpeal/status.h"

/*
 * Integrated loudness of ITU-R BS.1770-4 for a gain that
 * is chosen afterwards. The standard drops blocks under -70 LUFS, so the loudness of a file is not
 * that of its calibrated frames plus the gain: those frames lie 40 to 60 dB lower, and the standard
 * would drop them all. The blocks are kept as a histogram, whose size does not grow with time.
 */

enum { WP_LOUDNESS_BINS = 6000 };

struct wp_loudness;

/* rate_hz is a multiple of 10 WP_WEIGHTING_STEP. WP_OK or WP_E_NO_MEMORY. */
enum wp_status wp_loudness_create(struct wp_loudness **out, int rate_hz);

/* Frees; NULL is allowed. */
void wp_loudness_destroy(struct wp_loudness *loudness);

/* Takes the K-weighted power of the next n_steps steps. */
void wp_loudness_add(struct wp_loudness *loudness, const struct wp_weighted *steps, size_t n_steps);

/* LUFS of the frames after gain_db; NAN when nothing passes the gates or below 400 ms. */
double wp_loudness_after_gain(const struct wp_loudness *loudness, double gain_db);

/* The loudness of a file that was brought to target_lufs, less its gain; NAN as above. */
double wp_loudness_toward(const struct wp_loudness *loudness, double target_lufs);

#endif
