/* SPDX-License-Identifier: MIT */
/* Lets partials begin with the contact that starts them. */

#include "synth/onset.h"

#include <math.h>
#include <string.h>

#include "base/clones.h"

/* Loops run over whole lanes, the last filled up with silent partials. */
enum { LANES = 8 };

static size_t fill_lanes(size_t n_partials)
{
    return (n_partials + LANES - 1) / LANES * LANES;
}

_Static_assert(WP_BANK_PARTIALS_MAX + LANES <= WP_PHASORS_MAX, "lanes must have room");

/* exp(lambda n_frames) of every partial; back in time it turns only, since nothing may grow. */
static void turn_by(struct wp_phasors *turn, const struct wp_onset_tube *tube, double n_frames)
{
    static const double nothing[WP_PHASORS_MAX];
    wp_phasors_turn(turn, n_frames < 0.0 ? nothing : tube->log_re, tube->log_im, n_frames,
                    tube->n_partials);
    for (size_t m = tube->n_partials; m < fill_lanes(tube->n_partials); m++) {
        turn->re[m] = 0.0;
        turn->im[m] = 0.0;
    }
}

/* z *= turn, then z += impulse. */
WP_CLONED
static void advance(struct wp_phasors *restrict z, const struct wp_phasors *restrict turn,
                    double impulse, size_t n)
{
    for (size_t m = 0; m < n; m++) {
        const double re = z->re[m];
        const double im = z->im[m];
        z->re[m] = re * turn->re[m] - im * turn->im[m] + impulse;
        z->im[m] = re * turn->im[m] + im * turn->re[m];
    }
}

/* The sum of all imaginary parts. */
WP_CLONED
static double listen(const struct wp_phasors *restrict z, size_t n)
{
    double sum[LANES] = {0.0};
    for (size_t m = 0; m < n; m += LANES) {
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
static void strike(struct wp_onset_work *work, const struct wp_onset_tube *tube,
                   const struct wp_contact *contact, double impulse_n_s, int rate_hz)
{
    const size_t n = fill_lanes(tube->n_partials);
    double sum = 0.0;
    for (size_t i = 0; i < contact->n_forces; i++) {
        sum += contact->force_n[i];
    }
    const double scale = impulse_n_s / sum;
    memset(&work->struck, 0, sizeof work->struck);
    turn_by(&work->turn, tube, contact->step_s * rate_hz);
    for (size_t i = 0; i < contact->n_forces; i++) {
        advance(&work->struck, &work->turn, scale * contact->force_n[i], n);
    }
    const double last_s = (double)contact->n_forces * contact->step_s;
    turn_by(&work->turn, tube, (contact->duration_s - last_s) * rate_hz);
    advance(&work->struck, &work->turn, 0.0, n);
}

/* Parts of the impulse that are past at the contact's samples. */
static void hand_over(double *past_01, const struct wp_contact *contact)
{
    double sum = 0.0;
    past_01[0] = 0.0;
    for (size_t i = 0; i < contact->n_forces; i++) {
        const double before = i > 0 ? contact->force_n[i - 1] : 0.0;
        sum += 0.5 * (before + contact->force_n[i]);
        past_01[i + 1] = sum;
    }
    sum += 0.5 * contact->force_n[contact->n_forces - 1];
    past_01[contact->n_forces + 1] = sum;
    for (size_t i = 0; i <= contact->n_forces + 1; i++) {
        past_01[i] /= sum;
    }
}

/* The part at a place among the samples; linear in between. */
static double past_at(const double *past_01, size_t n_forces, double place)
{
    const size_t at = place > 0.0 ? (size_t)place : 0;
    if (at > n_forces) {
        return 1.0;
    }
    const double *past = &past_01[at];
    return past[0] + (place - (double)at) * (past[1] - past[0]);
}

/* The frames of one way, from the last one before the end back to the first. */
static void fade_in(struct wp_onset *onset, const struct wp_onset_tube *tube, size_t way,
                    double steps_a_frame, size_t n_forces)
{
    struct wp_onset_work *work = &onset->work;
    const double start = tube->start[way];
    const double end = start + onset->n_frames;
    const size_t n = (size_t)(ceil(end) - ceil(start));
    const size_t n_lanes = fill_lanes(tube->n_partials);
    turn_by(&work->turn, tube, ceil(end) - 1.0 - end);
    memset(&work->z, 0, sizeof work->z);
    for (size_t m = 0; m < tube->n_partials; m++) {
        work->z.re[m] = onset->re[way][m];
        work->z.im[m] = onset->im[way][m];
    }
    advance(&work->z, &work->turn, 0.0, n_lanes);
    onset->n_heard[way] = n;
    for (size_t left = n; left > 0; left--) {
        const double since = ceil(start) + (double)(left - 1) - start;
        const double past = past_at(work->past_01, n_forces, since * steps_a_frame);
        onset->heard[way][left - 1] = (float)(past * listen(&work->z, n_lanes));
        advance(&work->z, &work->back, 0.0, n_lanes);
    }
}

bool wp_onset_sound(struct wp_onset *onset, const struct wp_onset_tube *tube,
                    const struct wp_contact *contact, double impulse_n_s, int rate_hz)
{
    struct wp_onset_work *work = &onset->work;
    const struct wp_phasors *z = &work->struck;
    onset->n_frames = contact->duration_s * rate_hz;
    if (contact->n_forces == 0 || onset->n_frames > WP_ONSET_FRAMES_MAX - 2) {
        return false;
    }
    strike(work, tube, contact, impulse_n_s, rate_hz);
    hand_over(work->past_01, contact);
    turn_by(&work->back, tube, -1.0);
    for (size_t way = 0; way < tube->n_ways; way++) {
        for (size_t m = 0; m < tube->n_partials; m++) {
            const double re = tube->gain_re[way][m];
            const double im = tube->gain_im[way][m];
            onset->re[way][m] = re * z->re[m] - im * z->im[m];
            onset->im[way][m] = re * z->im[m] + im * z->re[m];
        }
        fade_in(onset, tube, way, 1.0 / (contact->step_s * rate_hz), contact->n_forces);
    }
    return true;
}
