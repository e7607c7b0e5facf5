/* SPDX-License-Identifier: MIT */
/* Lets partials begin with the contact that starts them. */

#include "synth/onset.h"

#include <math.h>

#include "base/clones.h"
#include "synth/phasors.h"

enum { LANES = 8 };

/* A complex number for every partial; silent ones fill up the lanes. */
struct phasors {
    size_t n;
    double re[WP_BANK_PARTIALS_MAX + LANES];
    double im[WP_BANK_PARTIALS_MAX + LANES];
};

static size_t fill_lanes(size_t n_partials)
{
    return (n_partials + LANES - 1) / LANES * LANES;
}

/* exp(lambda n_frames) of every partial; back in time it turns only, since nothing may grow. */
static void turn_by(struct phasors *turn, const struct wp_onset_tube *tube, double n_frames)
{
    static const double nothing[WP_PHASORS_MAX];
    struct wp_phasors by;
    const bool is_back = n_frames < 0.0;
    const double sign = is_back ? -1.0 : 1.0;
    wp_phasors_turn(&by, is_back ? nothing : tube->log_re, tube->log_im, sign * n_frames,
                    tube->n_partials);
    turn->n = fill_lanes(tube->n_partials);
    for (size_t m = 0; m < turn->n; m++) {
        const bool is_real = m < tube->n_partials;
        turn->re[m] = is_real ? by.re[m] : 0.0;
        turn->im[m] = is_real ? sign * by.im[m] : 0.0;
    }
}

/* z *= turn, then z += impulse. */
WP_CLONED
static void advance(struct phasors *restrict z, const struct phasors *restrict turn, double impulse)
{
    for (size_t m = 0; m < z->n; m++) {
        const double re = z->re[m];
        const double im = z->im[m];
        z->re[m] = re * turn->re[m] - im * turn->im[m] + impulse;
        z->im[m] = re * turn->im[m] + im * turn->re[m];
    }
}

/* The sum of all imaginary parts. */
WP_CLONED
static double listen(const struct phasors *restrict z)
{
    double sum[LANES] = {0.0};
    for (size_t m = 0; m < z->n; m += LANES) {
        for (size_t lane = 0; lane < LANES; lane++) {
            sum[lane] += z->im[m + lane];
        }
    }
    double total = 0.0;
    for (size_t lane = 0; lane < LANES; lane++) {
        total += sum[lane];
    }
    return total;
}

/* z at the contact's end. The force's samples are impulses, the first a step after the start. */
static void strike(struct phasors *z, const struct wp_onset_tube *tube,
                   const struct wp_contact *contact, double impulse_n_s, int rate_hz)
{
    struct phasors turn;
    double sum = 0.0;
    for (size_t i = 0; i < contact->n_forces; i++) {
        sum += contact->force_n[i];
    }
    const double scale = impulse_n_s / sum;
    *z = (struct phasors){.n = fill_lanes(tube->n_partials)};
    turn_by(&turn, tube, contact->step_s * rate_hz);
    for (size_t i = 0; i < contact->n_forces; i++) {
        advance(z, &turn, scale * contact->force_n[i]);
    }
    const double last_s = (double)contact->n_forces * contact->step_s;
    turn_by(&turn, tube, (contact->duration_s - last_s) * rate_hz);
    advance(z, &turn, 0.0);
}

/* Parts of the impulse that are past at the contact's samples; linear in between. */
struct handover {
    double steps_a_frame;
    double past_01[WP_CONTACT_STEPS_MAX + 2];
};

static void handover_init(struct handover *handover, const struct wp_contact *contact, int rate_hz)
{
    double sum = 0.0;
    handover->steps_a_frame = 1.0 / (contact->step_s * rate_hz);
    handover->past_01[0] = 0.0;
    for (size_t i = 0; i < contact->n_forces; i++) {
        const double before = i > 0 ? contact->force_n[i - 1] : 0.0;
        sum += 0.5 * (before + contact->force_n[i]);
        handover->past_01[i + 1] = sum;
    }
    sum += 0.5 * contact->force_n[contact->n_forces - 1];
    handover->past_01[contact->n_forces + 1] = sum;
    for (size_t i = 0; i <= contact->n_forces + 1; i++) {
        handover->past_01[i] /= sum;
    }
}

static double past_at(const struct handover *handover, size_t n_forces, double n_frames)
{
    const double place = n_frames * handover->steps_a_frame;
    const size_t at = place > 0.0 ? (size_t)place : 0;
    if (at > n_forces) {
        return 1.0;
    }
    const double *past = &handover->past_01[at];
    return past[0] + (place - (double)at) * (past[1] - past[0]);
}

/* The frames of one way, from the last one before the end back to the first. */
static void fade_in(struct wp_onset *onset, const struct wp_onset_tube *tube, size_t way,
                    const struct phasors *back, const struct handover *handover, size_t n_forces)
{
    const double start = tube->start[way];
    const double end = start + onset->n_frames;
    const size_t n = (size_t)(ceil(end) - ceil(start));
    struct phasors z = {.n = back->n};
    struct phasors turn;
    turn_by(&turn, tube, ceil(end) - 1.0 - end);
    for (size_t m = 0; m < tube->n_partials; m++) {
        z.re[m] = onset->re[way][m];
        z.im[m] = onset->im[way][m];
    }
    advance(&z, &turn, 0.0);
    onset->n_heard[way] = n;
    for (size_t left = n; left > 0; left--) {
        const double since = ceil(start) + (double)(left - 1) - start;
        onset->heard[way][left - 1] = (float)(past_at(handover, n_forces, since) * listen(&z));
        advance(&z, back, 0.0);
    }
}

bool wp_onset_sound(struct wp_onset *onset, const struct wp_onset_tube *tube,
                    const struct wp_contact *contact, double impulse_n_s, int rate_hz)
{
    struct phasors z;
    struct phasors back; /* by one frame */
    struct handover handover;
    onset->n_frames = contact->duration_s * rate_hz;
    if (contact->n_forces == 0 || onset->n_frames > WP_ONSET_FRAMES_MAX - 2) {
        return false;
    }
    strike(&z, tube, contact, impulse_n_s, rate_hz);
    handover_init(&handover, contact, rate_hz);
    turn_by(&back, tube, -1.0);
    for (size_t way = 0; way < tube->n_ways; way++) {
        for (size_t m = 0; m < tube->n_partials; m++) {
            const double re = tube->gain_re[way][m];
            const double im = tube->gain_im[way][m];
            onset->re[way][m] = re * z.re[m] - im * z.im[m];
            onset->im[way][m] = re * z.im[m] + im * z.re[m];
        }
        fade_in(onset, tube, way, &back, &handover, contact->n_forces);
    }
    return true;
}
