/* SPDX-License-Identifier: MIT */
#ifndef WINDPEAL_STRIKER_PULSE_H
#define WINDPEAL_STRIKER_PULSE_H

#include "windpeal/attributes.h"

/*
 * The loss-free blow against a spring whose force goes with the exponent-th power of its
 * deflection: 1 for a linear spring, 1.5 for Hertz's contact.
 */

/* Contact time in units of (largest deflection / closing speed). */
double wp_pulse_duration(double exponent) WP_REALTIME;

/*
 * Spectrum of the force over its value at 0, at cycles = frequency * contact time; signed, since
 * the lobes past the first null are of the opposite phase. Exponents 1 to 1.5: exact at 1, else
 * within 0.05 dB down to -10 dB.
 */
double wp_pulse_spectrum(double exponent, double cycles) WP_REALTIME;

/* Natural logarithm of the gamma function, x > 0; a few 1e-14. */
double wp_log_gamma(double x) WP_REALTIME;

#endif
