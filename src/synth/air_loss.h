/* SPDX-License-Identifier: MIT */
#ifndef WINDPEAL_SYNTH_AIR_LOSS_H
#define WINDPEAL_SYNTH_AIR_LOSS_H

/*
 * Sound that the air swallows on its way, as a level per metre of pure tones: ISO 9613-1:1993 at
 * one standard atmosphere. humidity_01 is the relative humidity.
 */
double wp_air_loss_db_m(double freq_hz, double temperature_c, double humidity_01);

#endif
