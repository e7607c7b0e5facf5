/* SPDX-License-Identifier: MIT */
/* Turns strikes into amplitudes of partials at the listener's ears. */

#include "synth/excitation.h"

#include <assert.h>
#include <math.h>
#include <stdbool.h>

#include "striker/blow.h"
#include "windpeal/level.h"

static const double RADIAN = M_PI / 180.0;

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
    excitation->source[m] = (uint8_t)source;
    excitation->pole[m] = (uint8_t)pole;
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

void wp_excitation_init(struct wp_excitation *excitation, const struct wp_set *set,
                        const struct wp_tube *tube, const struct wp_layout *layout,
                        size_t tube_index, enum wp_hearer hearer, int rate_hz)
{
    excitation->tube = tube;
    excitation->hearer = hearer;
    excitation->n_ears = hearer == WP_HEARER_EARS ? 2 : 1;
    excitation->n_partials = 0;
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
    for (size_t ear = 0; ear < excitation->n_ears; ear++) {
        struct wp_path *path = &excitation->paths[ear];
        find_path(path, set, layout, tube_index, hearer, ear);
        for (size_t i = 0; i < tube->n_partials; i++) {
            excitation->pressure[ear][i] =
                wp_tube_pressure(tube, &tube->partials[i], path->ear) / WP_FULL_SCALE_PA;
        }
    }
}

double wp_struck_velocity(const struct wp_tube *tube, const struct wp_partial *partial,
                          const struct wp_contact *contact, double impulse_n_s, double height_m)
{
    const double xi = 1.0 - height_m / tube->spec.length_m;
    return wp_shape_at(&partial->shape, xi) * impulse_n_s *
           wp_contact_spectrum(contact, partial->freq_hz) / tube->mass_kg;
}

/*
 * Share of a blow in one polarisation of a partial as an ear hears it; angles from the axis. A
 * loudspeaker has no place round the tube: it gets the mean over all, along the blow.
 */
static double share(const struct wp_excitation *excitation, enum wp_pole pole, int order,
                    double blow, double ear)
{
    const bool is_around = excitation->hearer == WP_HEARER_LOUDSPEAKER;
    const double size = is_around ? M_SQRT1_2 : 1.0;
    const double at = is_around ? blow : ear;
    switch (pole) {
    case WP_POLE_ALONG:
        return size * cos(order * blow) * cos(order * at);
    case WP_POLE_ACROSS:
        return size * sin(order * blow) * sin(order * at);
    case WP_POLE_BOTH:
        break;
    }
    return size * cos(order * (blow - at));
}

void wp_excitation_strike(const struct wp_excitation *excitation, const struct wp_striker *striker,
                          const struct wp_strike *strike, struct wp_struck *struck)
{
    const struct wp_tube *tube = excitation->tube;
    struct wp_contact contact;
    double velocity[WP_PARTIALS_MAX];
    wp_contact_solve(&contact, striker, tube, strike->height_m, strike->speed_m_s);
    const double impulse_n_s =
        isnan(strike->impulse_n_s) ? wp_figure_impulse(contact.impulse_n_s) : strike->impulse_n_s;
    wp_onset_init(&struck->onset, &contact);
    for (size_t i = 0; i < tube->n_partials; i++) {
        velocity[i] = fabs(
            wp_struck_velocity(tube, &tube->partials[i], &contact, impulse_n_s, strike->height_m));
    }
    const double blow = (strike->bearing_deg - tube->axis_deg) * RADIAN;
    const double head = (excitation->head.bearing_deg - tube->axis_deg) * RADIAN;
    for (size_t ear = 0; ear < excitation->n_ears; ear++) {
        struck->lag_s[ear] = excitation->paths[ear].lag_s;
        struck->kink_per_s[ear] = 0.0;
        const double at = (excitation->paths[ear].bearing_deg - tube->axis_deg) * RADIAN;
        for (size_t m = 0; m < excitation->n_partials; m++) {
            const size_t i = excitation->source[m];
            const int order = tube->partials[i].order;
            const double polarity = share(WP_POLE_BOTH, order, blow, head) < 0.0 ? -1.0 : 1.0;
            const enum wp_pole pole = excitation->pole[m];
            const double amplitude = polarity * share(pole, order, blow, at) *
                                     excitation->pressure[ear][i] * velocity[i];
            struck->amplitude[ear][m] = amplitude;
            const double freq_hz = excitation->partials[m].freq_hz;
            if (freq_hz * contact.duration_s < WP_KINK_PERIODS) {
                struck->kink_per_s[ear] += amplitude * 2.0 * M_PI * freq_hz;
            }
        }
    }
}
