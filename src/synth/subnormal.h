/* SPDX-License-Identifier: MIT */
#ifndef WINDPEAL_SYNTH_SUBNORMAL_H
#define WINDPEAL_SYNTH_SUBNORMAL_H

#include <stdint.h>

#include "windpeal/attributes.h"

/*
 * Numbers below the normal range (1e-38 in float) slow arithmetic down up to a hundredfold and
 * carry no sound. While a block is rendered the processor takes them for zero; its former setting
 * comes back afterwards, since callers may rely on it. On x86-64 (MXCSR) and AArch64 (FPCR); does
 * nothing elsewhere.
 */

/* Starts flushing to zero on this thread; returns the setting to give back. */
uint64_t wp_subnormal_flush(void) WP_REALTIME;

/* Gives the former setting back. */
void wp_subnormal_restore(uint64_t setting) WP_REALTIME;

#endif
