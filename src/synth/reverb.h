/* SPDX-License-Identifier: MIT */
#ifndef WINDPEAL_SYNTH_REVERB_H
#define WINDPEAL_SYNTH_REVERB_H

#include <stddef.h>

#include "windpeal/status.h"

/*
 * The sound of a room by statistical acoustics, as impulse responses of the ears. The sound that
 * reaches the ears at t after it was made comes from images of the source, c t away, of which there
 * are 4 pi c^3 t^2 / V in a second (H. Kuttruff, Room Acoustics). Each is a mirror image from a
 * direction of its own, weaker by 1 / (c t), by what walls and air have taken, and of either sign.
 * Where the images crowd, fewer and stronger ones stand for them.
 *
 * Energy is that of the diffuse field: 4 pi c / V exp(-2 gamma t) in a second, for a source whose
 * sound in free air is 1 at a distance of 1 m. Response 0 starts with the direct sound's arrival.
 *
 * Responses are the same sound at every rate, as far as it holds them.
 */

struct wp_reverb {
    double volume_m3;
    double decay_s; /* by 60 dB at 1 kHz, the air's share included */
    double temperature_c;
    double humidity_01;
    double distance_m; /* of listener and source */
    int rate_hz;
};

/* Amplitude's rate of decay at a frequency, in 1/s: the walls' share, the same at all frequencies,
 * and the air's. */
double wp_reverb_fall_per_s(const struct wp_reverb *reverb, double freq_hz);

/* Mean of the squared size of the responses' transforms at a frequency. */
double wp_reverb_power(const struct wp_reverb *reverb, double freq_hz);

/* Frames in which the slowest decay falls by 90 dB. */
size_t wp_reverb_count(const struct wp_reverb *reverb);

/*
 * responses  out: n_ears (1 or 2) of wp_reverb_count frames; two are as alike as a diffuse field is
 *            at points 0.175 m apart
 * returns WP_OK or WP_E_NO_MEMORY
 */
enum wp_status wp_reverb_make(const struct wp_reverb *reverb, float *const *responses,
                              size_t n_ears);

#endif
