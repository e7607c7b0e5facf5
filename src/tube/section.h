/* SPDX-License-Identifier: MIT */
#ifndef WINDPEAL_TUBE_SECTION_H
#define WINDPEAL_TUBE_SECTION_H

#include "windpeal/tube.h"

/* The cross-section of a tube or rod at the temperature at which it sounds. */

/** Limits of the length: below, beam theory fails; above, nothing hangs. */
static const double WP_LENGTH_MIN_DIAMETERS = 3.0;
static const double WP_LENGTH_MAX_M = 12.0;

/** Values at the sounding temperature. Plain values. */
struct wp_section {
    double outer_radius_m;
    double inner_radius_m; /**< 0 for a rod */
    double length_m;
    double area_m2;
    double second_moment_m4;
    double young_modulus_pa;
    double shear_modulus_pa;
    double density_kg_m3;
    double shear_coefficient; /**< Hutchinson, J. Appl. Mech. 68 (2001) 87 */
    double mass_kg_m;
    double bare_mass_kg; /**< of the whole length; does not depend on temperature */
};

/**
 * What is wrong with a spec, as one phrase for the user that says what was expected, or NULL.
 * Limits: length 3 diameters to 12 m, wall up to the radius, end mass up to the tube's own mass,
 * -60 C to 120 C.
 */
const char *wp_spec_fault(const struct wp_tube_spec *spec);

/** What a fault lies in. */
enum wp_part { WP_PART_TUBE, WP_PART_END_MASS, WP_PART_PLUG };

/** The same, and with a fault also what it lies in. */
const char *wp_spec_fault_at(const struct wp_tube_spec *spec, enum wp_part *part);

/** The same for the material alone. */
const char *wp_material_fault(const struct wp_material *material);

/** The same for the support point, which must lie in the upper half; NULL when it does. */
const char *wp_support_fault(const struct wp_tube_spec *spec);

/**
 * Computes the section of a faultless spec. Dimensions of the spec hold at 20 C: they grow with
 * thermal expansion, and Young's modulus follows stiffness_per_k.
 */
void wp_section_init(struct wp_section *section, const struct wp_tube_spec *spec);

/**
 * Shear coefficient of a round section: Hutchinson, J. Appl. Mech. 68 (2001) 87, for radius
 * ratio m = inner/outer (0 for a rod) and Poisson's ratio.
 */
double wp_shear_coefficient(double radius_ratio, double poisson_ratio);

#endif
