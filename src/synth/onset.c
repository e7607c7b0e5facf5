/* SPDX-License-Identifier: MIT */
/* Lets partials begin with the contact that starts them. */

#include "synth/onset.h"

#include <math.h>
#include <string.h>

#include "base/clones.h"
#include "base/quad.h"

/* Partials side by side in vector registers; the last lanes are filled up with silent ones. */
enum { QUADS = 4, LANES = 4 * QUADS };

static size_t fill_lanes(size_t n_partials)
{
    return (n_partials + LANES - 1) / LANES * LANES;
}

_Static_assert(WP_BANK_PARTIALS_MAX % LANES == 0, "lanes must have room");

static void fill_up(struct wp_phasors *z, size_t n_partials)
{
    for (size_t m = n_partials; m < fill_lanes(n_partials); m++) {
        z->re[m] = 0.0;
        z->im[m] = 0.0;
    }
}

/* exp(lambda n_frames) of every partial; back in time it turns only, since nothing may grow. */
static void turn_by(struct wp_phasors *turn, const struct wp_onset_tube *tube, double n_frames)
{
    wp_phasors_turn(turn, n_frames < 0.0 ? NULL : tube->log_re, tube->log_im, n_frames,
                    tube->n_partials);
    fill_up(turn, tube->n_partials);
}

/*
 * z = sum of force[i] turn^(n_forces - 1 - i), by G. Goertzel's recurrence ("An Algorithm for the
 * Evaluation of Finite Trigonometric Series", Amer. Math. Monthly 65 (1958) 34), which is real:
 * s = force + 2 Re(turn) s' - |turn|^2 s'', and at the end z = s - turn* s'.
 */
WP_CLONED
static void add_up(struct wp_phasors *restrict z, const struct wp_phasors *restrict turn,
                   const double *restrict force, size_t n_forces, size_t n)
{
    for (size_t m = 0; m < n; m += LANES) {
        wp_quad twice[QUADS];
        wp_quad square[QUADS];
        wp_quad now[QUADS] = {{0.0}};
        wp_quad before[QUADS] = {{0.0}};
        for (size_t q = 0; q < QUADS; q++) {
            const wp_quad re = *wp_quad_of(&turn->re[m + 4 * q]);
            const wp_quad im = *wp_quad_of(&turn->im[m + 4 * q]);
            twice[q] = 2.0 * re;
            square[q] = re * re + im * im;
        }
        for (size_t i = 0; i < n_forces; i++) {
            for (size_t q = 0; q < QUADS; q++) {
                const wp_quad next = (force[i] - square[q] * before[q]) + twice[q] * now[q];
                before[q] = now[q];
                now[q] = next;
            }
        }
        for (size_t q = 0; q < QUADS; q++) {
            *wp_quad_at(&z->re[m + 4 * q]) = now[q] - 0.5 * twice[q] * before[q];
            *wp_quad_at(&z->im[m + 4 * q]) = *wp_quad_of(&turn->im[m + 4 * q]) * before[q];
        }
    }
}

/*
 * Adds Im(z back^k), k from 0 on, of all partials to rows of four that together are the sum; back
 * turns only, so that each goes on by a real recurrence of second order.
 */
WP_CLONED
static void listen(double (*restrict sums)[4], size_t n_frames, const struct wp_phasors *restrict z,
                   const struct wp_phasors *restrict back, size_t n)
{
    for (size_t m = 0; m < n; m += LANES) {
        wp_quad twice[QUADS];
        wp_quad now[QUADS];
        wp_quad before[QUADS];
        for (size_t q = 0; q < QUADS; q++) {
            const wp_quad re = *wp_quad_of(&back->re[m + 4 * q]);
            const wp_quad im = *wp_quad_of(&back->im[m + 4 * q]);
            now[q] = *wp_quad_of(&z->im[m + 4 * q]);
            before[q] = now[q] * re - *wp_quad_of(&z->re[m + 4 * q]) * im;
            twice[q] = 2.0 * re;
        }
        for (size_t k = 0; k < n_frames; k++) {
            *wp_quad_at(sums[k]) += (now[0] + now[1]) + (now[2] + now[3]);
            for (size_t q = 0; q < QUADS; q++) {
                const wp_quad next = twice[q] * now[q] - before[q];
                before[q] = now[q];
                now[q] = next;
            }
        }
    }
}

/* z at the contact's end. The force's samples are impulses, the first a step after the start. */
static void strike(struct wp_onset_work *work, const struct wp_onset_tube *tube,
                   const struct wp_contact *contact, double impulse_n_s, int rate_hz)
{
    const double last_s = (double)contact->n_forces * contact->step_s;
    struct wp_phasors *z = &work->struck;
    double sum = 0.0;
    for (size_t i = 0; i < contact->n_forces; i++) {
        sum += contact->force_n[i];
    }
    turn_by(&work->turn, tube, contact->step_s * rate_hz);
    add_up(z, &work->turn, contact->force_n, contact->n_forces, fill_lanes(tube->n_partials));
    turn_by(&work->turn, tube, (contact->duration_s - last_s) * rate_hz);
    wp_phasors_multiply(z, &work->turn, tube->n_partials);
    for (size_t m = 0; m < tube->n_partials; m++) {
        z->re[m] *= impulse_n_s / sum;
        z->im[m] *= impulse_n_s / sum;
    }
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
    memset(work->sums, 0, n * sizeof work->sums[0]);
    memcpy(work->z.re, onset->re[way], tube->n_partials * sizeof work->z.re[0]);
    memcpy(work->z.im, onset->im[way], tube->n_partials * sizeof work->z.im[0]);
    turn_by(&work->turn, tube, ceil(end) - 1.0 - end);
    wp_phasors_multiply(&work->z, &work->turn, tube->n_partials);
    fill_up(&work->z, tube->n_partials);
    listen(work->sums, n, &work->z, &work->back, fill_lanes(tube->n_partials));
    onset->n_heard[way] = n;
    for (size_t i = 0; i < n; i++) {
        const double since = ceil(start) + (double)i - start;
        const double past = past_at(work->past_01, n_forces, since * steps_a_frame);
        const double *sum = work->sums[n - 1 - i];
        onset->heard[way][i] = (float)(past * ((sum[0] + sum[1]) + (sum[2] + sum[3])));
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
