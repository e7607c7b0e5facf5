/* SPDX-License-Identifier: MIT */
#ifndef WINDPEAL_SYNTH_EXCITATION_H
#define WINDPEAL_SYNTH_EXCITATION_H

#include <stddef.h>
#include <stdint.h>

#include "windpeal/attributes.h"
#include "windpeal/contact.h"
#include "windpeal/strike.h"

#include "striker/muting.h"
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
 * A contact acts on what already rings along its own line only. A split partial is damped by the
 * cosine squared of the angle of its polarisation, so that all of them together lose what the
 * motion along the line loses; a partial that is not split is taken to ring along that line, since
 * the blow that made it mostly came from the same side.
 *
 * wp_tube_transfer also says by what phase a partial arrives, so that its sound begins with the
 * contact as that of a real tube does: see onset.h. An ideal contact has no length of its own to
 * begin in; after it, signs and phases are left out and every partial of a perfect tube starts, at
 * the middle of the head, as a sine that rises.
 */

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

/* Cosines and sines of an angle's multiples, as the partials' orders ask for them. */
enum { WP_EXCITATION_ORDERS = 6 };

struct wp_multiples {
    double angle;
    double cosine[WP_EXCITATION_ORDERS];
    double sine[WP_EXCITATION_ORDERS];
};

/* One tube as a listener hears it. */
struct wp_excitation {
    const struct wp_tube *tube;
    enum wp_hearer hearer;
    size_t n_ears;
    int rate_hz;
    struct wp_path head;
    struct wp_multiples to_head; /* its bearing from the tube's axis */
    /* Ways of the sound: straight to each ear; then those that surround.h adds. */
    size_t n_ways;
    size_t output[WP_BANK_WAYS_MAX]; /* of the bank: an ear, or behind them the room's feed */
    struct wp_path paths[WP_BANK_WAYS_MAX];
    struct wp_multiples to_ear[WP_BANK_WAYS_MAX]; /* the paths' bearings from the tube's axis */
    /* The voice of the bank: one partial for each polarisation, or for both where they agree. */
    size_t n_partials;
    struct wp_bank_partial partials[WP_BANK_PARTIALS_MAX];
    uint8_t source[WP_BANK_PARTIALS_MAX]; /* index in tube->partials */
    uint8_t pole[WP_BANK_PARTIALS_MAX];   /* enum wp_pole */
    double log_re[WP_BANK_PARTIALS_MAX];  /* -sigma + i omega of one frame */
    double log_im[WP_BANK_PARTIALS_MAX];
    /* Full scales of each way over the velocity of each partial. */
    struct wp_transfer transfer[WP_BANK_WAYS_MAX][WP_BANK_PARTIALS_MAX];
};

enum wp_pole { WP_POLE_ALONG, WP_POLE_ACROSS, WP_POLE_BOTH };

/* Partials from half the rate up are left out. */
void wp_excitation_init(struct wp_excitation *excitation, const struct wp_set *set,
                        const struct wp_tube *tube, const struct wp_layout *layout,
                        size_t tube_index, enum wp_hearer hearer, int rate_hz);

/* Finds what the tube sends along a way, as free air carries it: transfer from the way's path. */
void wp_excitation_hear(struct wp_excitation *excitation, size_t way);

/* What one blow sounds like: the frames of its contact, and what rings on from its end. */
struct wp_struck {
    double start[WP_BANK_WAYS_MAX];    /* of the contact as each way lets it be heard, in frames */
    double kept[WP_BANK_PARTIALS_MAX]; /* shares that the contact leaves of what rang before */
    struct wp_onset onset;
    struct wp_contact contact;
    struct wp_muting_work work;
};

/* Sounds a strike on the excitation's tube; heard_at is its time in frames. */
void wp_excitation_strike(const struct wp_excitation *excitation, const struct wp_striker *striker,
                          const struct wp_strike *strike, double heard_at,
                          struct wp_struck *struck) WP_REALTIME;

/* What a striker takes that comes to rest on a tube or leaves it. */
struct wp_leant {
    double start[WP_BANK_WAYS_MAX];           /* as each way lets it be heard, in frames */
    double added_per_s[WP_BANK_PARTIALS_MAX]; /* decay added from there on */
};

/* Hears a rest or a leave on the excitation's tube; heard_at is its time in frames. */
void wp_excitation_lean(const struct wp_excitation *excitation, const struct wp_striker *striker,
                        const struct wp_strike *strike, double heard_at,
                        struct wp_leant *leant) WP_REALTIME;

/* Modal velocity of a partial after a blow of impulse_n_s, height_m above the bottom end. */
double wp_struck_velocity(const struct wp_tube *tube, const struct wp_partial *partial,
                          const struct wp_contact *contact, double impulse_n_s, double height_m);

#endif
