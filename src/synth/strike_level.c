/* SPDX-License-Identifier: MIT */
/* Levels of a strike's partials at the listener. */

#include <math.h>

#include "windpeal/level.h"

#include "synth/excitation.h"
#include "synth/path.h"

/* IEC 61672-1:2013, reference sound pressure. */
static const double REFERENCE_PA = 20e-6;

/* Modal velocities of a tube's partials just after a blow. */
static void strike(const struct wp_strike_context *context, size_t tube, double speed_m_s,
                   double *velocity_m_s)
{
    const struct wp_tube *struck = &context->chime->tubes[tube];
    const double height_m = context->layout->strike_height_m[tube];
    struct wp_contact contact;
    wp_contact_solve(&contact, context->striker, struck, height_m, speed_m_s);
    for (size_t i = 0; i < struck->n_partials; i++) {
        velocity_m_s[i] = wp_struck_velocity(struck, &struck->partials[i], &contact,
                                             contact.impulse_n_s, height_m);
    }
}

void wp_strike_levels(const struct wp_strike_context *context, size_t tube, double speed_m_s,
                      double *level_db)
{
    const struct wp_tube *struck = &context->chime->tubes[tube];
    double velocity[WP_PARTIALS_MAX];
    struct wp_path path;
    wp_path_init(&path, context->set, context->layout, tube, 0.0);
    strike(context, tube, speed_m_s, velocity);
    for (size_t i = 0; i < struck->n_partials; i++) {
        const struct wp_partial *partial = &struck->partials[i];
        const double pa =
            fabs(velocity[i] * wp_tube_pressure(struck, partial, path.ear)) / sqrt(2.0);
        level_db[i] = pa > 0.0 ? 20.0 * log10(pa / REFERENCE_PA) : -(double)INFINITY;
    }
}

void wp_strike_powers(const struct wp_strike_context *context, size_t tube, double speed_m_s,
                      double *power_w)
{
    const struct wp_tube *struck = &context->chime->tubes[tube];
    double velocity[WP_PARTIALS_MAX];
    strike(context, tube, speed_m_s, velocity);
    for (size_t i = 0; i < struck->n_partials; i++) {
        const struct wp_partial *partial = &struck->partials[i];
        /* The power behind the loss factor: eta omega times the largest kinetic energy. */
        power_w[i] = M_PI * partial->freq_hz * partial->losses.radiation * struck->mass_kg *
                     velocity[i] * velocity[i];
    }
}
