/* SPDX-License-Identifier: MIT */
#ifndef WINDPEAL_SYNTH_ONSET_H
#define WINDPEAL_SYNTH_ONSET_H

#include <stddef.h>

#include "windpeal/attributes.h"
#include "windpeal/contact.h"

/*
 * The sound during the contact. After a force pulse that is symmetric about its middle, a partial
 * is exactly a sine that starts in the middle of the contact, weighted by the pulse's spectrum.
 * Started there, it would have a kink that no real blow has: the true response rises from the
 * contact's beginning, smoothly, as the kink's ramp convolved with the pulse. The difference lasts
 * as long as the contact and has the same shape for all partials, so one curve makes up for the
 * kinks of all partials that are slow against the contact. The others, which a soft contact keeps
 * weak, are left as they start: see WP_KINK_PERIODS in excitation.h.
 */

struct wp_onset {
    double duration_s; /* of the contact; 0: none, the sine starts at once */
    double middle_s;   /* half of it: start of the partials */
    double blend_01;   /* shape of the pulse: 0 half sine, 1 raised cosine */
};

/* The onset of a contact. */
void wp_onset_init(struct wp_onset *onset, const struct wp_contact *contact);

/* What is missing t_s after the contact's beginning for a kink of slope 1/s. */
double wp_onset_at(const struct wp_onset *onset, double t_s) WP_REALTIME;

/*
 * Adds the missing part to a block of frames.
 *
 * start is the contact's beginning in frames after the block's start, negative if it lies before;
 * kink is the slope per second.
 */
void wp_onset_add(const struct wp_onset *onset, double start, double kink_per_s, int rate_hz,
                  float *frames, size_t n_frames) WP_REALTIME;

#endif
