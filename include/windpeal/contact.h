/* SPDX-License-Identifier: MIT */
#ifndef WINDPEAL_CONTACT_H
#define WINDPEAL_CONTACT_H

#include <stddef.h>

#include "windpeal/attributes.h"
#include "windpeal/set.h"
#include "windpeal/status.h"
#include "windpeal/tube.h"

/* The blow: what striker and tube do to each other while they touch. */

/** A striker with its material looked up. */
struct wp_striker {
    struct wp_material material;
    double diameter_m;
    double mass_kg;
    int is_ideal; /**< contact without duration */
};

/** One contact. */
struct wp_contact {
    double impulse_n_s; /**< momentum handed over */
    double duration_s;  /**< 0 for an ideal contact */
    double peak_n;      /**< largest force without losses; INFINITY for an ideal contact */
    double exponent;    /**< effective power law of the contact, 1 (wall) to 1.5 (Hertz) */
};

/** A named striker material, or NULL. */
WP_API const struct wp_material *wp_striker_material_find(const char *name);

/** Name of entry index of that table, or NULL past its end. */
WP_API const char *wp_striker_material_name(size_t index);

/**
 * Looks up the set's striker material, or takes its values: young_modulus and poisson_ratio are
 * needed, restitution is 0.55 when left out.
 *
 * @param striker  out; untouched on failure
 * @return WP_OK, or WP_E_UNKNOWN_NAME / WP_E_MISSING / WP_E_RANGE with the place in diags
 */
WP_API enum wp_status wp_striker_init(struct wp_striker *striker, const struct wp_set *set,
                                      struct wp_diags *diags);

/**
 * Contact at closing speed speed_m_s > 0, at strike_height_m above the tube's bottom end: a round
 * striker against the side of a free tube, the wall giving way behind it.
 *
 * Real time: yes. Threads: any. Model: DEVELOPERS.md, "Striker".
 */
WP_API void wp_contact_solve(struct wp_contact *contact, const struct wp_striker *striker,
                             const struct wp_tube *tube, double strike_height_m,
                             double speed_m_s) WP_REALTIME;

/** Force spectrum of the pulse at freq_hz over its value at 0; 1 for an ideal contact, signed. */
WP_API double wp_contact_spectrum(const struct wp_contact *contact, double freq_hz) WP_REALTIME;

/**
 * Frequency above which the pulse hardly excites anything: there its spectrum has fallen by 10 dB
 * for the first time. INFINITY for an ideal contact.
 */
WP_API double wp_contact_cutoff_hz(const struct wp_contact *contact);

#endif
