/* SPDX-License-Identifier: MIT */
/* Turns strikes into amplitudes of partials at the listener's ears. */

#include "synth/excitation.h"

#include <assert.h>
#include <math.h>
#include <stdbool.h>

#include "striker/blow.h"
#include "windpeal/level.h"

static const double RADIAN = M_PI / 180.0;
static const double LN_1000 = 6.907755278982137; /* 60 dB */

static void add_partial(struct wp_excitation *excitation, size_t source, enum wp_pole pole,
                        double freq_hz, int rate_hz)
{
    if (freq_hz >= 0.5 * rate_hz) {
        return;
    }
    assert(excitation->n_partials < WP_BANK_PARTIALS_MAX);
    const size_t m = excitation->n_partials++;
    excitation->partials[m].freq_hz = freq_hz;
    excitation->partials[m].t60_s = excitation->tube->partials[source].t60_s;
    excitation->log_re[m] = -LN_1000 / (excitation->partials[m].t60_s * rate_hz);
    excitation->log_im[m] = 2.0 * M_PI * freq_hz / rate_hz;
    excitation->source[m] = (uint8_t)source;
    excitation->pole[m] = (uint8_t)pole;
}

/* Of a bearing, from the tube's axis. */
static void turn_to(struct wp_multiples *multiples, const struct wp_tube *tube, double bearing_deg)
{
    multiples->angle = (bearing_deg - tube->axis_deg) * RADIAN;
    const double c = cos(multiples->angle);
    const double s = sin(multiples->angle);
    multiples->cosine[0] = 1.0;
    multiples->sine[0] = 0.0;
    for (int order = 1; order < WP_EXCITATION_ORDERS; order++) {
        const double cosine = multiples->cosine[order - 1];
        const double sine = multiples->sine[order - 1];
        multiples->cosine[order] = cosine * c - sine * s;
        multiples->sine[order] = sine * c + cosine * s;
    }
}

static void find_path(struct wp_path *path, const struct wp_set *set,
                      const struct wp_layout *layout, size_t tube_index, enum wp_hearer hearer,
                      size_t ear)
{
    if (hearer == WP_HEARER_LOUDSPEAKER) {
        wp_path_init_around(path, set, layout, tube_index);
        return;
    }
    const double side = hearer == WP_HEARER_HEAD ? 0.0 : ear == 0 ? 1.0 : -1.0;
    wp_path_init(path, set, layout, tube_index, side * WP_EAR_ASIDE_M);
}

void wp_excitation_hear(struct wp_excitation *excitation, size_t way)
{
    const struct wp_tube *tube = excitation->tube;
    struct wp_transfer transfers[WP_PARTIALS_MAX];
    turn_to(&excitation->to_ear[way], tube, excitation->paths[way].bearing_deg);
    for (size_t i = 0; i < tube->n_partials; i++) {
        transfers[i] = wp_tube_transfer(tube, &tube->partials[i], excitation->paths[way].ear);
        transfers[i].re /= WP_FULL_SCALE_PA;
        transfers[i].im /= WP_FULL_SCALE_PA;
    }
    for (size_t m = 0; m < excitation->n_partials; m++) {
        excitation->transfer[way][m] = transfers[excitation->source[m]];
    }
}

void wp_excitation_init(struct wp_excitation *excitation, const struct wp_set *set,
                        const struct wp_tube *tube, const struct wp_layout *layout,
                        size_t tube_index, enum wp_hearer hearer, int rate_hz)
{
    excitation->tube = tube;
    excitation->hearer = hearer;
    excitation->n_ears = hearer == WP_HEARER_EARS ? 2 : 1;
    excitation->n_partials = 0;
    excitation->rate_hz = rate_hz;
    for (size_t i = 0; i < tube->n_partials; i++) {
        const double *polarised_hz = tube->partials[i].polarised_hz;
        if (polarised_hz[0] == polarised_hz[1]) {
            add_partial(excitation, i, WP_POLE_BOTH, polarised_hz[0], rate_hz);
        } else {
            add_partial(excitation, i, WP_POLE_ALONG, polarised_hz[0], rate_hz);
            add_partial(excitation, i, WP_POLE_ACROSS, polarised_hz[1], rate_hz);
        }
    }
    wp_path_init(&excitation->head, set, layout, tube_index, 0.0);
    turn_to(&excitation->to_head, tube, excitation->head.bearing_deg);
    excitation->n_ways = excitation->n_ears;
    for (size_t ear = 0; ear < excitation->n_ears; ear++) {
        excitation->output[ear] = ear;
        find_path(&excitation->paths[ear], set, layout, tube_index, hearer, ear);
        wp_excitation_hear(excitation, ear);
    }
}

double wp_struck_velocity(const struct wp_tube *tube, const struct wp_partial *partial,
                          const struct wp_contact *contact, double impulse_n_s, double height_m)
{
    const double xi = 1.0 - height_m / tube->spec.length_m;
    return wp_shape_at(&partial->shape, xi) * impulse_n_s *
           wp_contact_spectrum(contact, partial->freq_hz) / tube->mass_kg;
}

static double cosine_of(const struct wp_multiples *multiples, int order)
{
    return order < WP_EXCITATION_ORDERS ? multiples->cosine[order] : cos(order * multiples->angle);
}

static double sine_of(const struct wp_multiples *multiples, int order)
{
    return order < WP_EXCITATION_ORDERS ? multiples->sine[order] : sin(order * multiples->angle);
}

/*
 * Share of a blow in one polarisation of a partial as an ear hears it; angles from the axis. A
 * loudspeaker has no place round the tube: it gets the mean over all, along the blow.
 */
static double share(const struct wp_excitation *excitation, enum wp_pole pole, int order,
                    const struct wp_multiples *blow, const struct wp_multiples *ear)
{
    const bool is_around = excitation->hearer == WP_HEARER_LOUDSPEAKER;
    const double size = is_around ? M_SQRT1_2 : 1.0;
    const struct wp_multiples *at = is_around ? blow : ear;
    const double along = cosine_of(blow, order) * cosine_of(at, order);
    const double across = sine_of(blow, order) * sine_of(at, order);
    switch (pole) {
    case WP_POLE_ALONG:
        return size * along;
    case WP_POLE_ACROSS:
        return size * across;
    case WP_POLE_BOTH:
        break;
    }
    return size * (along + across);
}

/* A blow on the excitation's tube: its bearing from the axis, and velocity a newton second. */
struct blow {
    struct wp_multiples from;
    double shape_kg[WP_PARTIALS_MAX];
};

static void blow_init(struct blow *blow, const struct wp_excitation *excitation,
                      const struct wp_strike *strike, const struct wp_contact *contact)
{
    const struct wp_tube *tube = excitation->tube;
    turn_to(&blow->from, tube, strike->bearing_deg);
    for (size_t i = 0; i < tube->n_partials; i++) {
        blow->shape_kg[i] = contact->shape[i] / tube->mass_kg;
    }
}

/* The same for one of the ways; a room hears both polarisations' whole power. */
static double share_at(const struct wp_excitation *excitation, const struct blow *blow, size_t way,
                       size_t m)
{
    const enum wp_pole pole = excitation->pole[m];
    const int order = excitation->tube->partials[excitation->source[m]].order;
    if (excitation->output[way] == excitation->n_ears) {
        return pole == WP_POLE_BOTH    ? 1.0
               : pole == WP_POLE_ALONG ? cosine_of(&blow->from, order)
                                       : sine_of(&blow->from, order);
    }
    return share(excitation, pole, order, &blow->from, &excitation->to_ear[way]);
}

/* The real blow: velocity rises as the force integrated, and the transfer turns each partial. */
static bool start_with_contact(const struct wp_excitation *excitation, const struct blow *blow,
                               double impulse_n_s, struct wp_struck *struck)
{
    struct wp_onset *onset = &struck->onset;
    struct wp_onset_tube tube = {.n_partials = excitation->n_partials,
                                 .log_re = excitation->log_re,
                                 .log_im = excitation->log_im,
                                 .n_ways = excitation->n_ways};
    for (size_t way = 0; way < excitation->n_ways; way++) {
        tube.start[way] = struck->start[way];
        tube.gain_re[way] = onset->re[way];
        tube.gain_im[way] = onset->im[way];
        for (size_t m = 0; m < excitation->n_partials; m++) {
            const size_t i = excitation->source[m];
            const double size = share_at(excitation, blow, way, m) * blow->shape_kg[i];
            /* The pressure is Re(transfer v), frames are Im(gain z): a quarter turn. */
            onset->re[way][m] = -size * excitation->transfer[way][m].im;
            onset->im[way][m] = size * excitation->transfer[way][m].re;
        }
    }
    return wp_onset_sound(onset, &tube, &struck->contact, impulse_n_s, excitation->rate_hz);
}

/* A way's transfer against the phase of the straight way to the same ear, or to the first. */
static struct wp_transfer without_direct_phase(const struct wp_excitation *excitation, size_t way,
                                               size_t m)
{
    const size_t output = excitation->output[way];
    const size_t ear = output < excitation->n_ears ? output : 0;
    const struct wp_transfer *transfer = &excitation->transfer[way][m];
    const struct wp_transfer *direct = &excitation->transfer[ear][m];
    const double size = hypot(direct->re, direct->im);
    if (way == ear || size == 0.0) {
        return (struct wp_transfer){hypot(transfer->re, transfer->im), 0.0};
    }
    return (struct wp_transfer){(transfer->re * direct->re + transfer->im * direct->im) / size,
                                (transfer->im * direct->re - transfer->re * direct->im) / size};
}

/* The ideal blow, or one too soft to have an onset: sines from the middle of the contact on. */
static void start_as_sines(const struct wp_excitation *excitation, const struct blow *blow,
                           double impulse_n_s, struct wp_struck *struck)
{
    const struct wp_contact *contact = &struck->contact;
    struct wp_onset *onset = &struck->onset;
    onset->n_frames = 0.5 * contact->duration_s * excitation->rate_hz;
    for (size_t way = 0; way < excitation->n_ways; way++) {
        onset->n_heard[way] = 0;
        for (size_t m = 0; m < excitation->n_partials; m++) {
            const size_t i = excitation->source[m];
            const struct wp_partial *partial = &excitation->tube->partials[i];
            const double velocity =
                blow->shape_kg[i] * impulse_n_s * wp_contact_spectrum(contact, partial->freq_hz);
            const double along =
                share(excitation, WP_POLE_BOTH, partial->order, &blow->from, &excitation->to_head);
            const struct wp_transfer turned = without_direct_phase(excitation, way, m);
            const double size =
                copysign(1.0, along) * share_at(excitation, blow, way, m) * fabs(velocity);
            onset->re[way][m] = size * turned.re;
            onset->im[way][m] = size * turned.im;
        }
    }
}

/* Part of a partial's motion, mean square, that is along the line of a contact. */
static double part_along(const struct wp_excitation *excitation, const struct wp_multiples *line,
                         size_t m)
{
    const int order = excitation->tube->partials[excitation->source[m]].order;
    switch ((enum wp_pole)excitation->pole[m]) {
    case WP_POLE_ALONG:
        return cosine_of(line, order) * cosine_of(line, order);
    case WP_POLE_ACROSS:
        return sine_of(line, order) * sine_of(line, order);
    case WP_POLE_BOTH:
        break;
    }
    return 1.0;
}

/* What the contact leaves of the amplitude of each partial that rings. */
static void mute(const struct wp_excitation *excitation, const struct wp_striker *striker,
                 double height_m, const struct wp_multiples *line, struct wp_struck *struck)
{
    double energy[WP_PARTIALS_MAX];
    wp_muting_blow(&struck->contact, striker, excitation->tube, height_m, &struck->work, energy);
    for (size_t m = 0; m < excitation->n_partials; m++) {
        const double lost = 1.0 - energy[excitation->source[m]];
        struck->kept[m] = sqrt(1.0 - part_along(excitation, line, m) * lost);
    }
}

/* When each way brings what happens at heard_at. */
static void arrive(const struct wp_excitation *excitation, double heard_at, double *start)
{
    for (size_t way = 0; way < excitation->n_ways; way++) {
        start[way] = heard_at + excitation->paths[way].lag_s * excitation->rate_hz;
    }
}

void wp_excitation_lean(const struct wp_excitation *excitation, const struct wp_striker *striker,
                        const struct wp_strike *strike, double heard_at, struct wp_leant *leant)
{
    double added[WP_PARTIALS_MAX] = {0.0};
    struct wp_multiples line;
    turn_to(&line, excitation->tube, strike->bearing_deg);
    if (strike->speed_m_s == 0.0) {
        wp_muting_rest(striker, excitation->tube, strike->height_m, wp_muting_force(striker),
                       added);
    }
    for (size_t m = 0; m < excitation->n_partials; m++) {
        leant->added_per_s[m] = part_along(excitation, &line, m) * added[excitation->source[m]];
    }
    arrive(excitation, heard_at, leant->start);
}

void wp_excitation_strike(const struct wp_excitation *excitation, const struct wp_striker *striker,
                          const struct wp_strike *strike, double heard_at, struct wp_struck *struck)
{
    struct wp_contact *contact = &struck->contact;
    struct blow blow;
    wp_contact_solve(contact, striker, excitation->tube, strike->height_m, strike->speed_m_s);
    const double impulse_n_s =
        isnan(strike->impulse_n_s) ? wp_figure_impulse(contact->impulse_n_s) : strike->impulse_n_s;
    blow_init(&blow, excitation, strike, contact);
    mute(excitation, striker, strike->height_m, &blow.from, struck);
    arrive(excitation, heard_at, struck->start);
    if (!start_with_contact(excitation, &blow, impulse_n_s, struck)) {
        start_as_sines(excitation, &blow, impulse_n_s, struck);
    }
}
