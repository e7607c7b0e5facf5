/* SPDX-License-Identifier: MIT */
/* The blow of a round striker on the side of a tube: impulse, duration, force and spectrum. */
#include "windpeal/contact.h"

#include <assert.h>
#include <math.h>
#include <stdbool.h>

#include "base/exact.h"
#include "striker/pulse.h"
#include "striker/wall.h"

static double plane_strain_modulus(const struct wp_material *material)
{
    const double nu = material->poisson_ratio;
    return material->young_modulus_pa / (1.0 - nu * nu);
}

/*
 * K of F = K d^1.5 for a sphere on a cylinder (K. L. Johnson, "Contact Mechanics", 1985, sections
 * 4.1 and 4.2): 4/3 E* sqrt(R_e) for a circle of contact, 1/E* = (1-nu1^2)/E1 + (1-nu2^2)/E2, R_e
 * the geometric mean of the relative radii along and across the tube. The contact is an ellipse,
 * which makes it stiffer by a function of the ratio of the two radii; its series in the logarithm
 * of that ratio was fitted to the elliptic integrals and keeps within 0.003 % up to a ratio of 10.
 */
static double hertz_stiffness(const struct wp_striker *striker, const struct wp_tube_spec *spec)
{
    const double e1 = plane_strain_modulus(&striker->material);
    const double e2 = plane_strain_modulus(&spec->material);
    const double e = e1 * e2 / (e1 + e2);
    const double along = 0.5 * striker->diameter_m;
    const double across = 1.0 / (1.0 / along + 2.0 / spec->outer_diameter_m);
    const double log_ratio = wp_exact_log(along / across);
    const double square = log_ratio * log_ratio;
    const double ellipse = 1.0 + square * (0.0207904 - 4.29e-5 * square);
    return 4.0 / 3.0 * e * sqrt(sqrt(along * across)) * ellipse;
}

/*
 * Mass that a free rigid tube opposes to a sideways blow: 1/m = 1/M + d^2/I, d from the centre of
 * mass; a point mass at the top end moves that centre.
 */
static double tube_mass(const struct wp_tube *tube, double height_m)
{
    const double length_m = tube->spec.length_m;
    const double end_kg = tube->mass_kg - tube->bare_mass_kg;
    const double centre_m =
        (tube->bare_mass_kg * 0.5 * length_m + end_kg * length_m) / tube->mass_kg;
    const double outer_m = 0.5 * tube->spec.outer_diameter_m;
    const double inner_m = outer_m - tube->spec.wall_m;
    const double bare_lever_m = centre_m - 0.5 * length_m;
    const double end_lever_m = length_m - centre_m;
    const double inertia =
        tube->bare_mass_kg * (3.0 * (outer_m * outer_m + inner_m * inner_m) + length_m * length_m) /
            12.0 +
        tube->bare_mass_kg * bare_lever_m * bare_lever_m + end_kg * end_lever_m * end_lever_m;
    const double lever_m = height_m - centre_m;
    return 1.0 / (1.0 / tube->mass_kg + lever_m * lever_m / inertia);
}

/*
 * Force at which Hertz's spring K and the wall's compliance c, one behind the other, hold the
 * energy: 2/5 F^(5/3) / K^(2/3) + c F^2 / 2 = energy. Newton's method from the smaller of the two
 * forces that either spring alone would reach: the sum is convex, so every step comes down towards
 * the root and none passes it.
 */
static double peak_force(double hertz, double compliance, double energy_j)
{
    const double a = 0.4 / wp_exact_pow(hertz, 2.0 / 3.0);
    const double b = 0.5 * compliance;
    double force = wp_exact_pow(energy_j / a, 0.6);
    if (b > 0.0) {
        force = fmin(force, sqrt(energy_j / b));
    }
    for (int round = 0; round < 40; round++) {
        const double root = wp_exact_pow(force, 2.0 / 3.0);
        const double excess = force * (a * root + b * force) - energy_j;
        const double step = excess / (5.0 / 3.0 * a * root + 2.0 * b * force);
        force -= step;
        if (!(step > 1e-14 * force)) {
            break;
        }
    }
    return force;
}

/*
 * The two springs together act nearly as one of force ~ d^exponent. Its energy F d / (exponent+1)
 * and its deflection d at the peak are matched, which puts the exponent between 1 (all energy in
 * the wall) and 1.5 (all in the contact). Losses take the rebound's share of the impulse but are
 * left out of duration and shape, which they lengthen by a few percent.
 */
void wp_contact_solve(struct wp_contact *contact, const struct wp_striker *striker,
                      const struct wp_tube *tube, double strike_height_m, double speed_m_s)
{
    assert(speed_m_s > 0.0);
    const double hit_kg = tube_mass(tube, strike_height_m);
    const double mass_kg = striker->mass_kg * hit_kg / (striker->mass_kg + hit_kg);
    contact->impulse_n_s = (1.0 + striker->material.restitution) * mass_kg * speed_m_s;
    if (striker->is_ideal) {
        contact->duration_s = 0.0;
        contact->peak_n = INFINITY;
        contact->exponent = 1.0;
        return;
    }
    const double hertz = hertz_stiffness(striker, &tube->spec);
    const double compliance = wp_wall_compliance(&tube->spec, strike_height_m);
    const double energy_j = 0.5 * mass_kg * speed_m_s * speed_m_s;
    const double force = peak_force(hertz, compliance, energy_j);
    const double depth_m = wp_exact_pow(force / hertz, 2.0 / 3.0) + compliance * force;
    contact->peak_n = force;
    contact->exponent = fmin(fmax(force * depth_m / energy_j - 1.0, 1.0), 1.5);
    contact->duration_s = wp_pulse_duration(contact->exponent) * depth_m / speed_m_s;
}

double wp_contact_spectrum(const struct wp_contact *contact, double freq_hz)
{
    if (!(contact->duration_s > 0.0)) {
        return 1.0;
    }
    return wp_pulse_spectrum(contact->exponent, freq_hz * contact->duration_s);
}

double wp_contact_cutoff_hz(const struct wp_contact *contact)
{
    static const double tenth_of_power = 0.31622776601683794;
    if (!(contact->duration_s > 0.0)) {
        return INFINITY;
    }
    double low = 0.0;
    double high = 1.5; /* in cycles a contact: before the first null of every exponent */
    for (int halving = 0; halving < 40; halving++) {
        const double middle = 0.5 * (low + high);
        const bool is_above = wp_pulse_spectrum(contact->exponent, middle) > tenth_of_power;
        low = is_above ? middle : low;
        high = is_above ? high : middle;
    }
    return low / contact->duration_s;
}
