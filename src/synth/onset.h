/* SPDX-License-Identifier: MIT */
#ifndef WINDPEAL_SYNTH_ONSET_H
#define WINDPEAL_SYNTH_ONSET_H

#include <stdbool.h>
#include <stddef.h>

#include "synth/bank.h"
#include "synth/phasors.h"
#include "windpeal/attributes.h"
#include "windpeal/contact.h"

/*
 * How partials begin. The blow's force F leaves a partial with z = int F(s) exp(lambda (t - s)) ds,
 * lambda = -sigma + i omega; from the end of the contact on Im(gain z) is heard to die away.
 *
 * While striker and tube still touch, the partial fades in as its impulse is handed over: it sounds
 * as it will ring on, times the part of the impulse that is past. For partials that are slow
 * against the contact this is what they do; fast ones are held by the striker meanwhile and would
 * tremble with its force, which is not theirs to sound. So nothing starts at once, whatever the
 * phase of the gain, and no blow thumps.
 */

enum { WP_ONSET_FRAMES_MAX = 2048 };

/* A tube that is struck, by the ways its sound takes. The pointers are read, not kept. */
struct wp_onset_tube {
    size_t n_partials;    /* up to WP_BANK_PARTIALS_MAX */
    const double *log_re; /* lambda of one frame */
    const double *log_im;
    size_t n_ways;
    double start[WP_BANK_WAYS_MAX]; /* of the contact as it is heard, in frames */
    /* Frames of an output per newton second, by partial; may be the onset's own re and im. */
    const double *gain_re[WP_BANK_WAYS_MAX];
    const double *gain_im[WP_BANK_WAYS_MAX];
};

/* What an onset is worked out with, of no meaning to others: too much for the stack of a thread
 * that plays. */
struct wp_onset_work {
    struct wp_phasors struck; /* z at the contact's end */
    struct wp_phasors z;
    struct wp_phasors turn;
    struct wp_phasors back; /* by one frame */
    double past_01[WP_CONTACT_STEPS_MAX + 2];
    double sums[WP_ONSET_FRAMES_MAX][4]; /* frames of a way, the last first, each in four parts */
};

struct wp_onset {
    double n_frames;                                   /* that the contact lasts */
    double re[WP_BANK_WAYS_MAX][WP_BANK_PARTIALS_MAX]; /* gain z at its end */
    double im[WP_BANK_WAYS_MAX][WP_BANK_PARTIALS_MAX];
    size_t n_heard[WP_BANK_WAYS_MAX]; /* frames within the contact, from ceil(start) on */
    float heard[WP_BANK_WAYS_MAX][WP_ONSET_FRAMES_MAX];
    struct wp_onset_work work;
};

/*
 * Sounds a contact whose force is scaled to impulse_n_s. False, and nothing done, for one that is
 * ideal or lasts longer than WP_ONSET_FRAMES_MAX: so soft a touch has no partial in its spectrum.
 */
bool wp_onset_sound(struct wp_onset *onset, const struct wp_onset_tube *tube,
                    const struct wp_contact *contact, double impulse_n_s, int rate_hz) WP_REALTIME;

#endif
