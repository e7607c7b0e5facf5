/* SPDX-License-Identifier: MIT */
#ifndef WINDPEAL_TUBE_H
#define WINDPEAL_TUBE_H

#include <stdbool.h>
#include <stddef.h>

#include "windpeal/attributes.h"
#include "windpeal/set.h"
#include "windpeal/status.h"

/* One tube or rod as a vibrating body: partials, their decay, shape and radiated pressure. */

/* Ovalling partials of a wide thin tube lie closer than the ear can tell apart long before there
 * are 64 of them, and the lowest are the strongest. */
enum {
    WP_BENDING_MAX = 64,
    WP_OVALLING_MAX = 64,
    WP_PARTIALS_MAX = WP_BENDING_MAX + WP_OVALLING_MAX,
};

/**
 * Everything that decides how a tube sounds. Plain values, owns nothing. What a material leaves
 * out (NAN): Poisson's ratio 0.33, loss factor 2e-4, no expansion, constant stiffness, no
 * thermoelastic loss.
 */
struct wp_tube_spec {
    struct wp_material material;
    double outer_diameter_m;
    double wall_m; /**< outer_diameter_m / 2 for a rod */
    double length_m;
    double end_mass_kg;   /**< at the top end */
    double plug_length_m; /**< of the end mass as a plug that fills the bore; 0: a point */
    double ovality_01;
    double bore_offset_01;
    double temperature_c; /**< sounding; dimensions and stiffness are given at 20 C */
    bool is_supported_at_node;
    double support_m;             /**< from each end, without is_supported_at_node */
    double cord_kg_m;             /**< mass per length of the support cord */
    bool is_held_rigid;           /**< by two mounts at the support points instead of the cord */
    double mount_resistance_kg_s; /**< of each mount */
    bool without_air_mass;        /**< frequencies only; losses keep the air */
};

/** Damping of one partial as loss factors (1/Q); they add. */
struct wp_losses {
    double material;
    double thermoelastic;
    double viscous;
    double radiation;
    double support;
};

/**
 * Shape of one partial along the tube: deflection W(xi), of an ovalling one at an antinode of its
 * circumference; xi = 0 is the top end, 1 the bottom. With
 * eta = xi - 1/2, W = factor[0] cosh(root[0] eta) + factor[1] cos(root[1] eta) +
 * factor[2] sinh(root[0] eta) + factor[3] sin(root[1] eta), where cosh and sinh carry a factor
 * exp(-root[0]/2) and become cos and sin past the cut-off.
 */
struct wp_shape {
    double root[2];      /**< the two wave numbers times length */
    double factor[4];    /**< normalised: modal mass = mass_kg of the tube; W(1) > 0 */
    bool is_past_cutoff; /**< above the cut-off frequency of shear waves */
};

enum wp_family { WP_BENDING, WP_OVALLING };

struct wp_partial {
    enum wp_family family;
    int order;          /**< waves round the circumference: 1 in bending, 2 and more in ovalling */
    int n;              /**< bending: 1 = lowest; ovalling: circles at rest along the tube, 0 up */
    double freq_hz;     /**< mean of the two polarisations */
    double split_cents; /**< distance of the two */
    double polarised_hz[2]; /**< along and across axis_deg, lower first; equal without flaws and in
                                 ovalling, whose pair turns to the blow */
    double t60_s;
    struct wp_losses losses;
    struct wp_shape shape;
};

/** From which partials a pitch is heard. */
enum wp_heard_from { WP_HEARD_FIRST, WP_HEARD_HALF_FOURTH, WP_HEARD_FITTED };

/** A pitch that a listener may name. WP_HEARD_FITTED: partials 4, 5, 6 fitted as 2:3:4. */
struct wp_heard_candidate {
    double hz;
    double uncertainty_cents; /**< +-, of the ear; what the tube's stiffness adds is not in it */
    enum wp_heard_from from;
};

enum { WP_HEARD_MAX = 3 };

/** A solved tube. Plain values, owns nothing. */
struct wp_tube {
    struct wp_tube_spec spec;
    double mass_kg;            /**< end mass included */
    double bare_mass_kg;       /**< without end mass */
    double axis_deg;           /**< horizontal bearing of polarised_hz[0]; a chime's tubes differ */
    double support_m[2];       /**< from the top end */
    double heard_hz;           /**< heard pitch */
    bool is_heard_from_fourth; /**< half of partial 4 rather than partial 1 */
    size_t n_heard;            /**< at least 1 */
    struct wp_heard_candidate heard[WP_HEARD_MAX]; /**< likeliest first; heard_hz is heard[0].hz */
    double ovalling_from_hz; /**< ring estimate of the lowest ovalling partial; NAN for a rod */
    size_t n_bending;        /**< the first so many partials, in ascending order */
    size_t n_partials;       /**< the ovalling ones follow, in ascending order */
    struct wp_partial partials[WP_PARTIALS_MAX];
};

/**
 * A named material of the built-in table, or NULL. Case and repeated blanks do not matter; common
 * other spellings ("aluminum", "steel", "6061-T6") are known.
 */
WP_API const struct wp_material *wp_material_find(const char *name);

/** How far a named material may be from its entry: from batch to batch and from book to book. */
struct wp_material_uncertainty {
    double stiffness_01; /**< +- of Young's modulus */
    double density_01;   /**< +- of the density */
    double loss_times;   /**< the loss factor may be this many times larger or smaller */
    const char *source;  /**< of the stiffness's figure, or "estimate"; static text */
};

/** The uncertainty of a named material, found as by wp_material_find; or NULL. */
WP_API const struct wp_material_uncertainty *wp_material_uncertainty(const char *name);

/** Name of entry index of the built-in table, or NULL past its end. */
WP_API const char *wp_material_name(size_t index);

/**
 * Solves a tube: every bending partial up to max_hz, but at least 12 and at most WP_BENDING_MAX,
 * and the ovalling ones up to max_hz, the lowest WP_OVALLING_MAX.
 *
 * @param tube  out; untouched on failure
 * @return WP_OK, or WP_E_RANGE when spec is no possible tube: length outside 3 diameters to 12 m,
 *         wall above half the diameter, end mass above the tube's own, a plug
 *         in a rod, longer than half the tube or without mass, support point below the
 *         middle, temperature outside -60 C to 120 C
 *
 * Real time: no. Threads: any. Model: DEVELOPERS.md, "Tube".
 */
WP_API enum wp_status wp_tube_solve(struct wp_tube *tube, const struct wp_tube_spec *spec,
                                    double max_hz);

/**
 * Natural frequencies of bending only, lowest first: the cheap part of wp_tube_solve.
 *
 * @param freqs_hz  out: n_freqs values, 1 to WP_BENDING_MAX; untouched on failure
 * @return WP_OK or WP_E_RANGE, as wp_tube_solve
 */
WP_API enum wp_status wp_tube_frequencies(const struct wp_tube_spec *spec, double *freqs_hz,
                                          size_t n_freqs);

/** Deflection of a partial at xi (0 top end to 1 bottom end); +-2 at the ends of a slender tube. */
WP_API double wp_shape_at(const struct wp_shape *shape, double xi) WP_REALTIME;

/**
 * Length at which partial 1 (or the heard pitch) of spec comes to target_hz at its temperature, to
 * 10 nm; spec->length_m is ignored. Where a heard pitch can be had from the fourth partial of a
 * long tube and from the first of a short one, this is the long one.
 *
 * @return WP_OK, or WP_E_RANGE when no length between 3 diameters and 12 m does it
 */
WP_API enum wp_status wp_tube_length_for(const struct wp_tube_spec *spec, enum wp_tuned_to tuned_to,
                                         double target_hz, double *length_m);

/** A point relative to the middle of a tube: horizontal distance from its axis, and height. */
struct wp_ear {
    double distance_m;
    double height_m;
};

/** Complex factor of waves exp(i omega t). */
struct wp_transfer {
    double re;
    double im;
};

/**
 * Pressure at a point in free air over a partial's modal velocity, vibrating in the vertical plane
 * through the point: dipoles (in ovalling, multipoles) integrated along the tube at true distances.
 * The angle counts from the arrival of sound from the tube's middle. Positive velocity moves the
 * bottom end towards the point.
 *
 * @return pascal per (m/s); in bending, direction costs a further cos of the angle to that plane
 */
WP_API struct wp_transfer wp_tube_transfer(const struct wp_tube *tube,
                                           const struct wp_partial *partial, struct wp_ear ear);

/** Size of wp_tube_transfer: pascal for one metre a second of modal velocity. */
WP_API double wp_tube_pressure(const struct wp_tube *tube, const struct wp_partial *partial,
                               struct wp_ear ear);

/** Power radiated in free air at one metre a second of modal velocity amplitude, in watt. */
WP_API double wp_tube_power(const struct wp_tube *tube, const struct wp_partial *partial);

#endif
