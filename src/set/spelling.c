/* SPDX-License-Identifier: MIT */
/* How a set calls its black keys. */
#include "windpeal/set.h"

enum wp_spelling wp_set_spelling(const struct wp_set *set, size_t tube)
{
    const int own = wp_note_accidental(set->tubes[tube].note);
    int n_flats = 0; /* less the sharps */
    for (size_t i = 0; i < set->n_tubes; i++) {
        const int sign = wp_note_accidental(set->tubes[i].note);
        n_flats += (sign < 0) - (sign > 0);
    }
    const bool is_flat = own != 0 ? own < 0 : n_flats > 0;
    return is_flat ? WP_SPELLING_FLATS : WP_SPELLING_SHARPS;
}
