/* SPDX-License-Identifier: MIT */
#ifndef WINDPEAL_TUBE_TUNING_H
#define WINDPEAL_TUBE_TUNING_H

#include "windpeal/tube.h"

/* From a pitch to a length that can be cut. */

/** The pitch that a tube is tuned by: its first partial or its heard pitch. */
enum wp_status wp_tuned_pitch(const struct wp_tube_spec *spec, enum wp_tuned_to tuned_to,
                              double *freq_hz);

/** Lowest and highest pitch that a tube of this section can be cut to. */
enum wp_status wp_tuning_reach(const struct wp_tube_spec *spec, enum wp_tuned_to tuned_to,
                               double *lowest_hz, double *highest_hz);

/** Nearest multiple of the rule, or the length itself when rule_m is 0. */
double wp_length_rounded(double length_m, double rule_m);

#endif
