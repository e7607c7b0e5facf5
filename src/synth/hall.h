/* SPDX-License-Identifier: MIT */
#ifndef WINDPEAL_SYNTH_HALL_H
#define WINDPEAL_SYNTH_HALL_H

#include <stddef.h>

#include "windpeal/chime.h"
#include "windpeal/impulse.h"
#include "windpeal/layout.h"
#include "windpeal/set.h"
#include "windpeal/status.h"
#include "windpeal/tube.h"

#include "synth/bank.h"
#include "synth/convolver.h"

/*
 * The room round set and listener: what it adds to the direct sound. It is fed with the power of
 * each partial, as the pressure that a source of this power would have at 1 m, sending to all sides
 * alike.
 */

struct wp_hall;

struct wp_hall_config {
    const struct wp_set *set;         /* a room of a size or recorded */
    const struct wp_impulse *impulse; /* of a recorded room, else NULL; read, not kept */
    int rate_hz;
    size_t n_ears;
};

/* Looks whether the set fits into its room and whether walls can make the decay; for any kind of
 * room. WP_E_CONFLICT or WP_E_RANGE with a finding. */
enum wp_status wp_hall_check(const struct wp_set *set, const struct wp_chime *chime,
                             const struct wp_layout *layout, struct wp_diags *diags);

/* config  of a set that wp_hall_check finds good. WP_OK or WP_E_NO_MEMORY. */
enum wp_status wp_hall_create(struct wp_hall **out, const struct wp_hall_config *config);

/* Frees a hall; NULL is allowed. */
void wp_hall_destroy(struct wp_hall *hall);

/* A convolver for one feed, in blocks. WP_OK or WP_E_NO_MEMORY. */
enum wp_status wp_hall_convolver(const struct wp_hall *hall, size_t block,
                                 struct wp_convolver **out);

/* Frames of the responses. */
size_t wp_hall_count(const struct wp_hall *hall);

/*
 * Factor of a partial's feed. A recorded room answers as it does: 1. By statistical acoustics the
 * energies of direct and diffuse sound add up, whatever the frequency; one response cannot do that,
 * it has hills and valleys of some 5 dB. So the factor levels them where the partial is (by 6 dB
 * upwards at most), and turns the phase so that the sums of both ears' energies add up.
 *
 * direct  the partial at each ear, of waves exp(i omega t)
 */
struct wp_transfer wp_hall_feed(const struct wp_hall *hall, const struct wp_bank_partial *partial,
                                const struct wp_transfer *direct);

/* Seconds in which the answer falls by drop_db at most. */
double wp_hall_ring_out_s(const struct wp_hall *hall, double drop_db);

#endif
