/* SPDX-License-Identifier: MIT */
#ifndef WINDPEAL_SYNTH_EXCITATION_H
#define WINDPEAL_SYNTH_EXCITATION_H

#include <stddef.h>
#include <stdint.h>

#include "windpeal/strike.h"

#include "synth/bank.h"
#include "synth/onset.h"
#include "synth/path.h"

/*
 * What a blow makes of a tube. An impulse J at xi gives partial n the modal velocity
 * W_n(xi) J G(f_n) / M, where W is normalised to the tube's mass M and G is the spectrum of the
 * blow's force; the velocity times wp_tube_pressure is the sound pressure. A blow from bearing s
 * splits into the two polarisations, and each radiates as the cosine of the angle to the ear:
 * cos(s - axis) cos(l - axis) and sin(s - axis) sin(l - axis), l being the bearing of the ear. An
 * ovalling partial of order m has the angles m times: it turns to the blow and is silent at
 * 90/m degrees from it.
 *
 * The path along the tube turns each partial by another phase, which is left out; so the signs of
 * W_n(xi), of G and of the direction mean nothing between partials. They are left out as well: at
 * the middle of the head every partial of a perfect tube starts as a sine that rises.
 */

/*
 * The onset makes up for the kinks of partials with fewer periods than this in the contact. What
 * the others do during the contact is small; the curve for their kinks, all of one sign, is not: it
 * would add up to a thump louder than the tone.
 */
static const double WP_KINK_PERIODS = 1.0;

/*
 * For whom a tube sounds. A loudspeaker in the tube's place sends about the same to all sides,
 * where the tube sends most along its vibration and nothing across it. So it gets the pressure in
 * the direction of the blow, at the listener's distance and height, 3 dB lower: the mean square of
 * a cosine is one half, and the root mean square over all bearings keeps the power.
 */
enum wp_hearer {
    WP_HEARER_HEAD,        /* the middle of the head */
    WP_HEARER_EARS,        /* left and right */
    WP_HEARER_LOUDSPEAKER, /* one for this tube alone */
};

/* One tube as a listener hears it. */
struct wp_excitation {
    const struct wp_tube *tube;
    enum wp_hearer hearer;
    size_t n_ears;
    struct wp_path head;
    struct wp_path paths[WP_BANK_EARS_MAX];
    /* The voice of the bank: one partial for each polarisation, or for both where they agree. */
    size_t n_partials;
    struct wp_bank_partial partials[WP_BANK_PARTIALS_MAX];
    uint8_t source[WP_BANK_PARTIALS_MAX]; /* index in tube->partials */
    uint8_t pole[WP_BANK_PARTIALS_MAX];   /* enum wp_pole */
    /* Full scales of each ear for 1 m/s of each of the tube's partials. */
    double pressure[WP_BANK_EARS_MAX][WP_PARTIALS_MAX];
};

enum wp_pole { WP_POLE_ALONG, WP_POLE_ACROSS, WP_POLE_BOTH };

/* Partials from half the rate up are left out. */
void wp_excitation_init(struct wp_excitation *excitation, const struct wp_set *set,
                        const struct wp_tube *tube, const struct wp_layout *layout,
                        size_t tube_index, enum wp_hearer hearer, int rate_hz);

/* What one blow sounds like. */
struct wp_struck {
    double amplitude[WP_BANK_EARS_MAX][WP_BANK_PARTIALS_MAX];
    double lag_s[WP_BANK_EARS_MAX];      /* start of the sound at the ears against the strike */
    struct wp_onset onset;               /* the contact; its sine starts are onset.middle_s later */
    double kink_per_s[WP_BANK_EARS_MAX]; /* slope at which all partials together start */
};

/* Amplitudes of a strike on the excitation's tube. */
void wp_excitation_strike(const struct wp_excitation *excitation, const struct wp_striker *striker,
                          const struct wp_strike *strike, struct wp_struck *struck);

/* Modal velocity of a partial after a blow of impulse_n_s, height_m above the bottom end. */
double wp_struck_velocity(const struct wp_tube *tube, const struct wp_partial *partial,
                          const struct wp_contact *contact, double impulse_n_s, double height_m);

#endif
