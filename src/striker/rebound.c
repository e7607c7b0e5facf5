/* SPDX-License-Identifier: MIT */
/* How much of its speed a striker keeps when a tube takes its share as vibration. */
#include "striker/rebound.h"

#include <math.h>

#include "base/exact.h"

/* The row of speeds: each is so many times the one before. */
static const double first_m_s = 0.005;
static const double ratio = 2.0;

/* The last bits of a tube's partials differ from compiler to compiler; strikes must not. */
static const double rounded_to = 0x1p-20;

/*
 * The restitution that hands over the contact's impulse between bodies that give way like this,
 * 1 + e = impulse / speed * (1/m_striker + 1/m_tube), over the material's. A tube without partials
 * keeps nothing as vibration. Below 0 the tube bends away as fast as the striker comes on, and they
 * touch again at once: the pair stays together.
 */
static double solve(const struct wp_strike_context *context, const struct wp_striker *striker,
                    size_t tube, double speed_m_s, double per_kg)
{
    const struct wp_tube *body = &context->chime->tubes[tube];
    struct wp_contact contact;
    if (body->n_partials == 0) {
        return 1.0;
    }
    wp_contact_solve(&contact, striker, body, context->layout->strike_height_m[tube], speed_m_s);
    const double restitution = contact.impulse_n_s * per_kg / speed_m_s - 1.0;
    const double kept = restitution / wp_striker_restitution(striker, speed_m_s);
    return floor(fmin(fmax(kept, 0.0), 1.0) / rounded_to + 0.5) * rounded_to;
}

void wp_rebound_init(struct wp_rebound *rebound, const struct wp_strike_context *context,
                     double striker_per_kg, const double *tubes_per_kg)
{
    struct wp_striker striker = *context->striker;
    rebound->striker = context->striker;
    striker.mass_kg = 1.0 / striker_per_kg;
    for (size_t i = 0; i < context->chime->n_tubes; i++) {
        double speed_m_s = first_m_s;
        for (size_t k = 0; k < WP_REBOUND_SPEEDS; k++) {
            rebound->kept_01[i][k] =
                solve(context, &striker, i, speed_m_s, striker_per_kg + tubes_per_kg[i]);
            speed_m_s *= ratio;
        }
    }
}

double wp_rebound_at(const struct wp_rebound *rebound, size_t tube, double speed_m_s)
{
    const double *row = rebound->kept_01[tube];
    double below_m_s = first_m_s;
    size_t k = 0;
    while (k + 2 < WP_REBOUND_SPEEDS && speed_m_s > ratio * below_m_s) {
        below_m_s *= ratio;
        k++;
    }
    const double share = (speed_m_s / below_m_s - 1.0) / (ratio - 1.0);
    const double kept_01 = row[k] + fmin(fmax(share, 0.0), 1.0) * (row[k + 1] - row[k]);
    return kept_01 * wp_striker_restitution(rebound->striker, speed_m_s);
}
