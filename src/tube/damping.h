/* SPDX-License-Identifier: MIT */
#ifndef WINDPEAL_TUBE_DAMPING_H
#define WINDPEAL_TUBE_DAMPING_H

#include "tube/air.h"
#include "tube/section.h"
#include "windpeal/tube.h"

/* Losses inside the metal and in the skin of air around it, as loss factors (1/Q). */

/**
 * Heat that bending pumps across the section: Zener, Phys. Rev. 52 (1937) 230, relaxation strength
 * E alpha^2 T / (rho c_p). A rod relaxes with a^2 / (1.8412^2 D). In a tube heat runs round the
 * circumference, R^2 / D, and, for the small part h^2 / (12 R^2) of the strain energy that varies
 * through the wall, h^2 / (pi^2 D); R mean radius, h wall, D thermal diffusivity.
 *
 * @return 0 when a constant of the material is not known
 */
double wp_thermoelastic_loss(const struct wp_section *section, const struct wp_material *material,
                             double temperature_c, double freq_hz);

/**
 * The same where all of the strain varies through the wall, as in a plate that bends: relaxation
 * time h^2 / (pi^2 D).
 */
double wp_wall_thermoelastic_loss(const struct wp_section *section,
                                  const struct wp_material *material, double temperature_c,
                                  double freq_hz);

/**
 * Viscous drag of the outside air (Stokes, Trans. Camb. Phil. Soc. 9 (1851)); the air in an open
 * tube moves along as a plug and does not rub.
 *
 * @param translation_share  part of the modal mass that is deflection of the tube
 */
double wp_viscous_loss(const struct wp_section *section, const struct wp_air *air,
                       double translation_share, double freq_hz);

/**
 * The same for a wall that moves as w cos(m theta) and w/m sin(m theta): inside and outside, the
 * skin of air takes up the slip between the wall's motion round the tube and that of the air beyond
 * (potential flow), (1 + 1/m) w outside and (1 - 1/m) w inside.
 *
 * @param mean_square_per_kg  mean square of w along the tube over the modal mass
 */
double wp_ovalling_viscous_loss(const struct wp_section *section, const struct wp_air *air,
                                int order, double mean_square_per_kg, double freq_hz);

#endif
