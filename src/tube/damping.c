/* SPDX-License-Identifier: MIT */
/* Losses inside the metal and in the skin of air around it, as loss factors (1/Q). */
#include "tube/damping.h"

#include <math.h>

#include "tube/cylinder.h"

/* Debye peak: 1/2 at omega tau = 1. */
static double relaxation(double omega_tau)
{
    return omega_tau / (1.0 + omega_tau * omega_tau);
}

static double tube_relaxation(const struct wp_section *section, double omega, double diffusivity)
{
    const double wall = section->outer_radius_m - section->inner_radius_m;
    const double mean = 0.5 * (section->outer_radius_m + section->inner_radius_m);
    const double through_share = wall * wall / (12.0 * mean * mean);
    const double around = omega * mean * mean / diffusivity;
    const double through = omega * wall * wall / (M_PI * M_PI * diffusivity);
    return (1.0 - through_share) * relaxation(around) + through_share * relaxation(through);
}

static double rod_relaxation(const struct wp_section *section, double omega, double diffusivity)
{
    const double slope_zero = 1.8411837813; /* first zero of J1' */
    const double reach = section->outer_radius_m / slope_zero;
    return relaxation(omega * reach * reach / diffusivity);
}

/* Relaxation strength and thermal diffusivity; both 0 when a constant is not known. */
struct heat {
    double strength;
    double diffusivity_m2_s;
};

static struct heat heat_of(const struct wp_section *section, const struct wp_material *material,
                           double temperature_c)
{
    const double heat_j_m3k = section->density_kg_m3 * material->specific_heat_j_kgk;
    const double alpha = material->thermal_expansion_per_k;
    const double strength =
        section->young_modulus_pa * alpha * alpha * (temperature_c + 273.15) / heat_j_m3k;
    const double diffusivity = material->conductivity_w_mk / heat_j_m3k;
    if (!(strength > 0.0) || !(diffusivity > 0.0) || !isfinite(strength)) {
        return (struct heat){0.0, 0.0};
    }
    return (struct heat){strength, diffusivity};
}

double wp_thermoelastic_loss(const struct wp_section *section, const struct wp_material *material,
                             double temperature_c, double freq_hz)
{
    const struct heat heat = heat_of(section, material, temperature_c);
    if (heat.strength <= 0.0) {
        return 0.0;
    }
    const double omega = 2.0 * M_PI * freq_hz;
    return heat.strength * (section->inner_radius_m > 0.0
                                ? tube_relaxation(section, omega, heat.diffusivity_m2_s)
                                : rod_relaxation(section, omega, heat.diffusivity_m2_s));
}

double wp_wall_thermoelastic_loss(const struct wp_section *section,
                                  const struct wp_material *material, double temperature_c,
                                  double freq_hz)
{
    const struct heat heat = heat_of(section, material, temperature_c);
    if (heat.strength <= 0.0) {
        return 0.0;
    }
    const double reach = (section->outer_radius_m - section->inner_radius_m) / M_PI;
    return heat.strength * relaxation(2.0 * M_PI * freq_hz * reach * reach / heat.diffusivity_m2_s);
}

double wp_viscous_loss(const struct wp_section *section, const struct wp_air *air,
                       double translation_share, double freq_hz)
{
    const double a = section->outer_radius_m;
    const double reynolds = 2.0 * M_PI * freq_hz * a * a / air->viscosity_m2_s;
    const double displaced_kg_m = air->density_kg_m3 * M_PI * a * a;
    return translation_share * displaced_kg_m / section->mass_kg_m *
           wp_viscous_drag(reynolds).resistance;
}

double wp_ovalling_viscous_loss(const struct wp_section *section, const struct wp_air *air,
                                int order, double mean_square_per_kg, double freq_hz)
{
    const double omega = 2.0 * M_PI * freq_hz;
    const double skin_m = sqrt(2.0 * air->viscosity_m2_s / omega);
    const double outside = 1.0 + 1.0 / order;
    const double inside = 1.0 - 1.0 / order;
    const double slip2_m =
        outside * outside * section->outer_radius_m + inside * inside * section->inner_radius_m;
    /* Per area rho omega skin/2 times the squared slip, half of it round the circumference. */
    return 0.5 * M_PI * air->density_kg_m3 * skin_m * slip2_m * section->length_m *
           mean_square_per_kg;
}
