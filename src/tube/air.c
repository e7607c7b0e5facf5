/* SPDX-License-Identifier: MIT */
/* The air in and around a tube. */
#include "tube/air.h"

#include <math.h>

void wp_air_init(struct wp_air *air, double temperature_c)
{
    /* ISO 2533:1975, Standard atmosphere. */
    const double pressure_pa = 101325.0;
    const double gas_constant = 287.05287; /* J/(kg K) */
    const double heat_ratio = 1.4;
    const double sutherland_beta = 1.458e-6; /* kg/(m s sqrt(K)) */
    const double sutherland_k = 110.4;

    const double t = temperature_c + 273.15;
    const double dynamic_viscosity = sutherland_beta * t * sqrt(t) / (t + sutherland_k);
    air->density_kg_m3 = pressure_pa / (gas_constant * t);
    air->sound_speed_m_s = sqrt(heat_ratio * gas_constant * t);
    air->viscosity_m2_s = dynamic_viscosity / air->density_kg_m3;
}
