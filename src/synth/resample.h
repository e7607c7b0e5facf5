/* SPDX-License-Identifier: MIT */
#ifndef WINDPEAL_SYNTH_RESAMPLE_H
#define WINDPEAL_SYNTH_RESAMPLE_H

#include "windpeal/impulse.h"
#include "windpeal/status.h"

/* The highest rate that both are whole multiples of, in Hz. Where it is below some 25 Hz resampling
 * takes very long. */
int wp_common_rate(int a_hz, int b_hz);

/*
 * Brings a response to another rate: its transform stays up to half the lower rate and is 0 above.
 * It gets 50 ms longer at least.
 *
 * returns WP_OK or WP_E_NO_MEMORY, with the response as it was
 */
enum wp_status wp_resample(struct wp_impulse *impulse, int rate_hz);

#endif
