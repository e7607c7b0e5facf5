/* SPDX-License-Identifier: MIT */
#ifndef WINDPEAL_TUBE_AIR_H
#define WINDPEAL_TUBE_AIR_H

/* The air in and around a tube. */

/** Dry air at one standard atmosphere (101325 Pa). */
struct wp_air {
    double density_kg_m3;
    double sound_speed_m_s;
    double viscosity_m2_s; /**< kinematic */
};

/**
 * Air at a temperature: ideal gas with R = 287.05287 J/(kg K) and ratio of heats 1.4, viscosity by
 * Sutherland's formula, all with the constants of ISO 2533:1975.
 */
void wp_air_init(struct wp_air *air, double temperature_c);

#endif
