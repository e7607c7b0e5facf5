/* SPDX-License-Identifier: MIT */
#ifndef WINDPEAL_CONTACT_H
#define WINDPEAL_CONTACT_H

#include <stddef.h>

#include "windpeal/attributes.h"
#include "windpeal/set.h"
#include "windpeal/status.h"
#include "windpeal/tube.h"

/* The blow: what striker and tube do to each other while they touch. */

/** A striker with its material looked up. Its contact: F ~ d^(1.5 + stiffening) (1 + loss_s_m d').
 */
struct wp_striker {
    struct wp_material material;
    double diameter_m;
    double mass_kg;
    double stiffening; /**< exponent of the contact past Hertz's 1.5; felt and rubber have some */
    double loss_s_m;   /**< Hunt and Crossley's mu; 0: no loss */
    int is_ideal;      /**< contact without duration */
};

enum { WP_CONTACT_STEPS_MAX = 400 };

/** One contact. Plain values. */
struct wp_contact {
    double impulse_n_s; /**< momentum handed over */
    double duration_s;  /**< 0 for an ideal contact */
    double peak_n;      /**< largest force; INFINITY for an ideal contact */
    double spread_s;    /**< standard deviation of the force in time: 0.218 durations for a half
                             sine, 0.194 for Hertz's contact without loss */
    double step_s;      /**< the force's samples lie so far apart, the first one step_s after 0 */
    size_t n_forces;    /**< 0 for an ideal contact */
    double force_n[WP_CONTACT_STEPS_MAX];
    double depth_m[WP_CONTACT_STEPS_MAX]; /**< of the contact alone, without wall */
    double shape[WP_PARTIALS_MAX];        /**< of each of the tube's partials where it was struck */
};

/** A named striker material, or NULL. Its restitution is the one at WP_RESTITUTION_SPEED_M_S. */
WP_API const struct wp_material *wp_striker_material_find(const char *name);

/** Name of entry index of that table, or NULL past its end. */
WP_API const char *wp_striker_material_name(size_t index);

/** Closing speed at which a striker's restitution is given, against a heavy block of metal. */
#define WP_RESTITUTION_SPEED_M_S 1.0

/**
 * Looks up the set's striker material, or takes its values: young_modulus and poisson_ratio are
 * needed, restitution is 0.65 when left out.
 *
 * @param striker  out; untouched on failure
 * @return WP_OK, or WP_E_UNKNOWN_NAME / WP_E_MISSING / WP_E_RANGE with the place in diags
 */
WP_API enum wp_status wp_striker_init(struct wp_striker *striker, const struct wp_set *set,
                                      struct wp_diags *diags);

/**
 * Restitution of a striker at a closing speed, against something so heavy and stiff that it does
 * not move: 1 at no speed, falling by the law of Hunt and Crossley.
 */
WP_API double wp_striker_restitution(const struct wp_striker *striker,
                                     double speed_m_s) WP_REALTIME;

/**
 * Contact at closing speed speed_m_s > 0, at strike_height_m above the tube's bottom end: a round
 * striker against the side of a tube whose wall gives way and whose bending partials move away
 * during the blow. A tube without partials is taken as rigid. Only the first touch counts.
 *
 * Real time: yes, some 10 us. Threads: any. Model: DEVELOPERS.md, "Striker".
 */
WP_API void wp_contact_solve(struct wp_contact *contact, const struct wp_striker *striker,
                             const struct wp_tube *tube, double strike_height_m,
                             double speed_m_s) WP_REALTIME;

/** Size of the force's spectrum at freq_hz over its value at 0; 1 for an ideal contact. */
WP_API double wp_contact_spectrum(const struct wp_contact *contact, double freq_hz) WP_REALTIME;

/**
 * Frequency above which the pulse hardly excites anything: there its spectrum has fallen by 10 dB
 * for the first time. INFINITY for an ideal contact.
 */
WP_API double wp_contact_cutoff_hz(const struct wp_contact *contact);

#endif
