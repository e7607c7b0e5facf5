/* SPDX-License-Identifier: MIT */
/* A tube solved: partials with their frequencies, losses and shapes. */
#include "windpeal/tube.h"

#include <math.h>

#include "tube/air.h"
#include "tube/beam.h"
#include "tube/cylinder.h"
#include "tube/damping.h"
#include "tube/material.h"
#include "tube/ovalling.h"
#include "tube/pitch.h"
#include "tube/radiation.h"
#include "tube/section.h"
#include "tube/split.h"
#include "tube/support.h"

enum { N_LEAST = 12 }; /* partials solved in any case */

/* 60 dB of amplitude in natural logarithm: T60 = LN_1000 / sigma, sigma = pi f eta. */
static const double LN_1000 = 6.907755278982137;

/* Everything that the partials of one tube share. */
struct body {
    struct wp_tube_spec spec; /* completed */
    struct wp_section section;
    struct wp_air air;
    struct wp_beam beam;
};

static enum wp_status body_init(struct body *body, const struct wp_tube_spec *spec)
{
    body->spec = *spec;
    wp_material_complete(&body->spec.material);
    if (wp_spec_fault(&body->spec)) {
        return WP_E_RANGE;
    }
    wp_section_init(&body->section, &body->spec);
    wp_air_init(&body->air, body->spec.temperature_c);
    wp_beam_init(&body->beam, &body->section, body->spec.end_mass_kg);
    if (body->spec.plug_length_m > 0.0) {
        wp_beam_set_plug(&body->beam, &body->section, body->spec.plug_length_m);
    }
    return WP_OK;
}

/*
 * Mass of air per length that moves along with a bending wave: outside, that of the exact cylinder
 * with the wave's wave number along the axis, enlarged by viscosity; inside an open tube, a plug.
 */
static double air_kg_m(const struct body *body, double vacuum_hz, double beta)
{
    const double ao = body->section.outer_radius_m;
    const double ai = body->section.inner_radius_m;
    const double omega = 2.0 * M_PI * vacuum_hz;
    const double k = omega / body->air.sound_speed_m_s;
    const double along = beta / body->section.length_m;
    const double reynolds = omega * ao * ao / body->air.viscosity_m2_s;
    const double outside = wp_added_mass_outside((k * k - along * along) * ao * ao) +
                           wp_viscous_drag(reynolds).mass - 1.0;
    return body->air.density_kg_m3 * M_PI * (ao * ao * outside + ai * ai);
}

/* First order in the air's mass: its second is below 0.01 cents for any metal tube. */
static double loaded_hz(const struct body *body, double vacuum_hz, const struct wp_beam_mode *mode)
{
    if (body->spec.without_air_mass) {
        return vacuum_hz;
    }
    const double ratio = air_kg_m(body, vacuum_hz, mode->shape.root[1]) / body->section.mass_kg_m;
    return vacuum_hz / sqrt(1.0 + ratio * mode->translation_share);
}

enum wp_status wp_tube_frequencies(const struct wp_tube_spec *spec, double *freqs_hz,
                                   size_t n_freqs)
{
    struct body body;
    struct wp_beam_root roots[WP_BENDING_MAX];
    if (n_freqs < 1 || n_freqs > WP_BENDING_MAX || body_init(&body, spec)) {
        return WP_E_RANGE;
    }
    wp_beam_roots(&body.beam, roots, n_freqs);
    for (size_t i = 0; i < n_freqs; i++) {
        struct wp_beam_mode mode;
        wp_beam_mode_init(&mode, &body.beam, roots[i]);
        freqs_hz[i] = loaded_hz(&body, roots[i].b * body.beam.unit_hz, &mode);
    }
    return WP_OK;
}

static void solve_losses(struct wp_losses *losses, const struct body *body,
                         const struct wp_beam_mode *mode, const double support_01[2],
                         double freq_hz)
{
    const double modal_kg = body->section.bare_mass_kg + body->spec.end_mass_kg;
    const double omega = 2.0 * M_PI * freq_hz;
    losses->material = body->spec.material.loss_factor;
    losses->thermoelastic = wp_thermoelastic_loss(&body->section, &body->spec.material,
                                                  body->spec.temperature_c, freq_hz);
    losses->viscous = wp_viscous_loss(&body->section, &body->air, mode->translation_share, freq_hz);
    losses->radiation = wp_radiated_power(&body->section, &body->air, &mode->shape, 1, freq_hz) /
                        (0.5 * omega * modal_kg);
    losses->support = wp_support_loss(mode, &body->section, &body->spec, support_01, freq_hz);
}

/* T60 from the losses, and the two frequencies from the split. */
static void finish_partial(struct wp_partial *partial, double split_cents)
{
    const struct wp_losses *l = &partial->losses;
    const double total = l->material + l->thermoelastic + l->viscous + l->radiation + l->support;
    partial->t60_s = LN_1000 / (M_PI * partial->freq_hz * total);
    partial->split_cents = split_cents;
    partial->polarised_hz[0] = partial->freq_hz * exp2(-split_cents / 2400.0);
    partial->polarised_hz[1] = partial->freq_hz * exp2(split_cents / 2400.0);
}

/* The bending partials; support points come with the first of them. */
static void solve_bending(struct wp_tube *tube, const struct body *body, double support_01[2],
                          double max_hz)
{
    struct wp_beam_root roots[WP_BENDING_MAX];
    wp_beam_roots(&body->beam, roots, WP_BENDING_MAX);
    const double split_cents = wp_split_cents(&body->spec);
    tube->n_bending = 0;
    for (size_t i = 0; i < WP_BENDING_MAX; i++) {
        struct wp_partial *partial = &tube->partials[i];
        struct wp_beam_mode mode;
        wp_beam_mode_init(&mode, &body->beam, roots[i]);
        if (i == 0) {
            wp_support_points(support_01, &mode.shape, &body->spec);
        }
        const double freq_hz = loaded_hz(body, roots[i].b * body->beam.unit_hz, &mode);
        if (i >= N_LEAST && freq_hz > max_hz) {
            break;
        }
        *partial = (struct wp_partial){.family = WP_BENDING,
                                       .order = 1,
                                       .n = (int)i + 1,
                                       .freq_hz = freq_hz,
                                       .shape = mode.shape};
        solve_losses(&partial->losses, body, &mode, support_01, freq_hz);
        finish_partial(partial, split_cents);
        tube->n_bending++;
    }
}

/* The next partial of one circumferential order. */
struct candidate {
    struct wp_ovalling ovalling;
    struct wp_ovalling_wave wave;
    double root;
    double freq_hz; /* in air; INFINITY when there is none below max_hz */
    int n;
};

/*
 * In air, a wall that goes out of round moves rho a / m of it per area outside, and as much inside
 * (the potentials r^-m and r^m). Sound that is not long against the diameter moves less outside,
 * and resonances across the bore come and go: up to 0.3 % of a light tube's frequency is not known.
 */
static void candidate_find(struct candidate *next, const struct body *body, double max_hz)
{
    next->freq_hz = INFINITY;
    next->root = wp_ovalling_root(&next->ovalling, next->n);
    if (isnan(next->root)) {
        return;
    }
    struct wp_ovalling_wave *wave = &next->wave;
    wp_ovalling_wave_init(wave, &next->ovalling, next->root);
    const double air_kg_m2 = body->air.density_kg_m3 *
                             (body->section.outer_radius_m + body->section.inner_radius_m) /
                             next->ovalling.order;
    const double wall_kg_m2 = body->section.density_kg_m3 * next->ovalling.wall_m *
                              (1.0 + wave->along * wave->along + wave->around * wave->around);
    const double air = body->spec.without_air_mass ? 0.0 : air_kg_m2 / wall_kg_m2;
    const double freq_hz = wave->freq_hz / sqrt(1.0 + air);
    if (freq_hz <= max_hz) {
        next->freq_hz = freq_hz;
    }
}

static void take_candidate(struct wp_partial *partial, const struct candidate *next,
                           const struct body *body, const double support_01[2])
{
    const struct wp_ovalling_wave *wave = &next->wave;
    const double modal_kg = body->section.bare_mass_kg + body->spec.end_mass_kg;
    const double hz = next->freq_hz;
    const int order = next->ovalling.order;
    /* Half of the squares round the circumference; an end mass counts as a point, held by none. */
    const double mean_square = 2.0 * modal_kg / body->section.bare_mass_kg /
                               (1.0 + wave->along * wave->along + wave->around * wave->around);
    *partial =
        (struct wp_partial){.family = WP_OVALLING, .order = order, .n = next->n, .freq_hz = hz};
    wp_ovalling_shape(&partial->shape, &next->ovalling, next->n, next->root, mean_square);
    struct wp_losses *losses = &partial->losses;
    losses->material = body->spec.material.loss_factor;
    losses->thermoelastic =
        wave->bent_01 * wp_wall_thermoelastic_loss(&body->section, &body->spec.material,
                                                   body->spec.temperature_c, hz);
    losses->viscous =
        wp_ovalling_viscous_loss(&body->section, &body->air, order, mean_square / modal_kg, hz);
    losses->radiation = wp_radiated_power(&body->section, &body->air, &partial->shape, order, hz) /
                        (M_PI * hz * modal_kg);
    losses->support =
        wp_ovalling_support_loss(&partial->shape, wave, &body->spec, support_01, modal_kg, hz);
    /* What is oval has two waves round, an offset bore one: a pair of order m needs 2m to split. */
    finish_partial(partial, 0.0);
}

/* The lowest ovalling partials of all orders. */
static void solve_ovalling(struct wp_tube *tube, const struct body *body,
                           const double support_01[2], double max_hz)
{
    enum { LOWEST = 2, N_ORDERS = 11 };
    struct candidate next[N_ORDERS];
    if (body->section.inner_radius_m <= 0.0) {
        return;
    }
    for (int i = 0; i < N_ORDERS; i++) {
        wp_ovalling_init(&next[i].ovalling, &body->section, body->spec.material.poisson_ratio,
                         LOWEST + i);
        next[i].n = 0;
        candidate_find(&next[i], body, max_hz);
    }
    while (tube->n_partials < tube->n_bending + WP_OVALLING_MAX) {
        struct candidate *lowest = &next[0];
        for (int i = 1; i < N_ORDERS; i++) {
            lowest = next[i].freq_hz < lowest->freq_hz ? &next[i] : lowest;
        }
        if (isinf(lowest->freq_hz)) {
            return;
        }
        take_candidate(&tube->partials[tube->n_partials++], lowest, body, support_01);
        lowest->n++;
        candidate_find(lowest, body, max_hz);
    }
}

/* Everything about the tube but its partials. */
static void describe(struct wp_tube *tube, const struct body *body)
{
    tube->spec = body->spec;
    tube->bare_mass_kg = body->section.bare_mass_kg;
    tube->mass_kg = tube->bare_mass_kg + body->spec.end_mass_kg;
    tube->axis_deg = 0.0;
    tube->ovalling_from_hz = wp_ovalling_onset(&body->section, body->spec.material.poisson_ratio);
}

/* Candidates are taken from the bending partials, which come first. */
static void describe_pitch(struct wp_tube *tube)
{
    double first_six_hz[6];
    for (size_t i = 0; i < 6; i++) {
        first_six_hz[i] = tube->partials[i].freq_hz;
    }
    tube->n_heard = wp_heard_candidates(first_six_hz, tube->heard);
    tube->heard_hz = tube->heard[0].hz;
    tube->is_heard_from_fourth = tube->heard[0].from == WP_HEARD_HALF_FOURTH;
}

enum wp_status wp_tube_solve(struct wp_tube *tube, const struct wp_tube_spec *spec, double max_hz)
{
    struct body body;
    double support_01[2] = {0.0, 1.0};
    if (body_init(&body, spec) || wp_support_fault(spec)) {
        return WP_E_RANGE;
    }
    describe(tube, &body);
    solve_bending(tube, &body, support_01, max_hz);
    tube->n_partials = tube->n_bending;
    solve_ovalling(tube, &body, support_01, max_hz);
    describe_pitch(tube);
    tube->support_m[0] = support_01[0] * spec->length_m;
    tube->support_m[1] = support_01[1] * spec->length_m;
    return WP_OK;
}
