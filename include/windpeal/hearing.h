/* SPDX-License-Identifier: MIT */
#ifndef WINDPEAL_HEARING_H
#define WINDPEAL_HEARING_H

#include <stddef.h>

#include "windpeal/attributes.h"
#include "windpeal/chime.h"
#include "windpeal/set.h"
#include "windpeal/tube.h"

/* How tones sound together: roughness, and the intervals of a set with smoother ones near them. */

/** A decaying sine. */
struct wp_tone {
    double freq_hz;
    double amplitude; /**< any unit that all tones share; 0 is silent */
    double t60_s;     /**< time to fall by 60 dB; INFINITY: does not decay */
};

/**
 * Roughness of tones that sound at once: sum over pairs of a_i a_j g(y), over the sum of a_i^2,
 * with y = |f_i - f_j| / (1.72 ((f_i + f_j) / 2)^0.65) and g(y) = (4 y exp(1 - 4 y))^2 below 1.2.
 *
 * The sum is that of Hutchinson & Knopoff (Interface 7 (1978) 1), who read g from a graph of Plomp
 * & Levelt (J. Acoust. Soc. Am. 38 (1965) 548); this g is the usual formula for that graph
 * (Mashinter, Empirical Musicology Review 1 (2006) 65). Without dimension; all amplitudes times a
 * constant change nothing. Eleven harmonics of amplitude 1/k make 0.12 of a C major triad and 0.20
 * of a diminished one. Beats slower than some 10 Hz are heard as fluctuation, not as roughness,
 * and weigh little here; give a split partial as one tone, for a fast doublet would count.
 *
 * @return 0 for silence or one tone
 *
 * Real time: no. Threads: any.
 */
WP_API double wp_roughness(const struct wp_tone *tones, size_t n_tones);

/**
 * A second opinion: dissonance by Sethares (J. Acoust. Soc. Am. 94 (1993) 1218), sum over pairs of
 * a_i a_j (exp(-3.5 s d) - exp(-5.75 s d)), d = |f_i - f_j|, s = 0.24 / (0.0207 min(f_i, f_j) +
 * 18.96). Divided by the sum of a_i^2, which the paper does not do, so that loudness drops out.
 * Two equal tones reach at most 0.0904, a quarter of a critical band apart.
 */
WP_API double wp_dissonance(const struct wp_tone *tones, size_t n_tones);

/** What is left of tones after after_s seconds. */
WP_API void wp_tones_decay(struct wp_tone *tones, size_t n_tones, double after_s);

/** The tones of one tube just after a blow; a split partial is one tone at its mean. */
struct wp_voice {
    size_t n_tones;
    struct wp_tone tones[WP_PARTIALS_MAX];
};

/** A place near an interval where the two tubes are smoother. */
struct wp_smoother {
    double cents;      /**< the interval there */
    double move_cents; /**< by how much the upper tube's pitch goes up (or down) for it */
    double roughness;  /**< of the two tubes there, at once */
    double length_m;   /**< of the upper tube retuned; NAN: out of reach */
};

enum { WP_SMOOTHER_MAX = 3, WP_SMOOTHER_WITHIN_CENTS = 60 };

/** Two tubes that are neighbours in pitch. */
struct wp_interval {
    size_t lower; /**< index of the tube of lower pitch */
    size_t upper;
    double cents;
    double roughness;  /**< both struck together, at once */
    double later;      /**< the same after WP_ROUGH_LATER_S */
    double dissonance; /**< wp_dissonance, at once */
    size_t n_smoother;
    struct wp_smoother smoother[WP_SMOOTHER_MAX]; /**< smoothest first; all below roughness */
};

/** Time after which roughness is told a second time. */
static const double WP_ROUGH_LATER_S = 0.5;

/** Intervals of a set. */
struct wp_interval_table {
    size_t n_intervals; /**< tubes less one */
    struct wp_interval intervals[WP_TUBES_MAX];
    double roughness;  /**< all tubes struck together, at once */
    double later;      /**< the same after WP_ROUGH_LATER_S */
    double dissonance; /**< wp_dissonance of all, at once */
};

/**
 * The intervals between tubes next to each other in pitch, by the pitch that tuned_to names.
 *
 * Smoother places are the local minima of the pair's roughness while the upper tube is retuned by
 * up to WP_SMOOTHER_WITHIN_CENTS either way; those that gain less than 5 % or 0.002 are left out,
 * and of two within 5 cents the rougher. Each of its bending partials moves as far as cutting the
 * tube for the pitch moves it, its other partials stay, and all keep their levels.
 *
 * @param table   out
 * @param chime   at least one tube
 * @param voices  one for each tube of chime; tone i is that of its partial i, further partials may
 *                be left out
 *
 * Real time: no. Threads: any. Model: DEVELOPERS.md, "Roughness".
 */
WP_API void wp_interval_table_init(struct wp_interval_table *table, const struct wp_chime *chime,
                                   enum wp_tuned_to tuned_to, const struct wp_voice *voices);

#endif
