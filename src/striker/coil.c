/* SPDX-License-Identifier: MIT */
/* Force, current and heat of a coil below the striker. */
#include "striker/coil.h"

#include <math.h>

#include "base/exact.h"

/* Copper: change of resistance for each kelvin, at 20 C (IEC 60028:1925). */
static const double copper_per_k = 0.00393;

/*
 * Dipoles of moment m1, m2 against each other, axes parallel, z apart along them and x beside:
 * U = k (2 z^2 - x^2) / r^5, k = mu0 m1 m2 / (4 pi) (J. D. Jackson, "Classical Electrodynamics",
 * 3rd ed., section 5.7), whose slopes are
 *
 *     F_z = 3 k z (2 z^2 - 3 x^2) / r^7,   F_x = 3 k x (4 z^2 - x^2) / r^7.
 */
struct wp_coil_force wp_coil_force_at(const struct wp_coil *coil, double offset_m, double current_a)
{
    const double share = current_a / coil->current_a;
    const double reach2 = coil->reach_m * coil->reach_m;
    const double k = coil->force_n * share * share * reach2 * reach2 / 6.0;
    const double z = coil->gap_m + coil->reach_m;
    const double x = offset_m;
    const double r2 = z * z + x * x;
    const double r7 = r2 * r2 * r2 * sqrt(r2);
    const double sign = coil->is_on_steel ? -1.0 : 1.0;
    return (struct wp_coil_force){
        .axial_n = sign * 3.0 * k * z * (2.0 * z * z - 3.0 * x * x) / r7,
        .lateral_n = sign * 3.0 * k * x * (4.0 * z * z - x * x) / r7,
    };
}

double wp_coil_ohm(const struct wp_coil *coil, double temperature_c)
{
    return coil->ohm_20c * (1.0 + copper_per_k * (temperature_c - 20.0));
}

double wp_coil_current(const struct wp_coil *coil, const struct wp_pulse *pulse, double t_s)
{
    if (!(t_s > 0.0)) {
        return 0.0;
    }
    const double ohm = wp_coil_ohm(coil, pulse->temperature_c);
    const double rate_per_s = ohm / coil->inductance_h;
    const double full_a = coil->supply_v * pulse->duty_01 / ohm;
    const double off_s = t_s - pulse->length_s;
    const double on_s = off_s > 0.0 ? pulse->length_s : t_s;
    const double risen_a = full_a * (1.0 - wp_exact_exp(-rate_per_s * on_s));
    return off_s > 0.0 ? risen_a * wp_exact_exp(-rate_per_s * off_s) : risen_a;
}

/* R times the integral of i^2: with tau = L / R and e = exp(-length / tau), the rise gives
 * length - 2 tau (1 - e) + tau / 2 (1 - e^2) and the fall tau / 2 (1 - e)^2, times i_full^2: in
 * all length - tau (1 - e). */
double wp_coil_heat_j(const struct wp_coil *coil, const struct wp_pulse *pulse)
{
    const double ohm = wp_coil_ohm(coil, pulse->temperature_c);
    const double tau_s = coil->inductance_h / ohm;
    const double full_a = coil->supply_v * pulse->duty_01 / ohm;
    const double rising_01 = 1.0 - wp_exact_exp(-pulse->length_s / tau_s);
    return ohm * full_a * full_a * (pulse->length_s - tau_s * rising_01);
}
