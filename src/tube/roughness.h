/* SPDX-License-Identifier: MIT */
#ifndef WINDPEAL_TUBE_ROUGHNESS_H
#define WINDPEAL_TUBE_ROUGHNESS_H

#include "windpeal/hearing.h"

/* The parts of wp_roughness, for who moves some tones against others. */

/** g(y) of two tones: 0 for one pitch and far apart, 1 a quarter of a critical band apart. */
double wp_roughness_of_pair(double one_hz, double other_hz);

/** Sum of the squares of the amplitudes. */
double wp_tones_power(const struct wp_tone *tones, size_t n_tones);

#endif
