/* SPDX-License-Identifier: MIT */
#ifndef WINDPEAL_TUBE_BEAM_H
#define WINDPEAL_TUBE_BEAM_H

#include <stdbool.h>
#include <stddef.h>

#include "tube/section.h"
#include "windpeal/tube.h"

/*
 * Bending of a beam with shear and rotary inertia, free at the bottom end, with a rigid body or
 * nothing at the top end: Timoshenko, Phil. Mag. 41 (1921) 744; Huang, J. Appl. Mech. 28 (1961)
 * 579. Lengths are counted in lengths of the beam.
 */

/** A beam in Huang's dimensionless terms. Plain values. */
struct wp_beam {
    double rotary;     /**< r^2 = I / (A L^2) */
    double shear;      /**< s^2 = E I / (k G A L^2) */
    double end_mass;   /**< at the top end, in masses of the beam */
    double end_depth;  /**< of its centre below the top end; 0 for a point mass */
    double end_rotary; /**< its squared radius of gyration about a diameter through its centre */
    double unit_hz;    /**< frequency in Hz of a root of 1: sqrt(E I / (rho A)) / (2 pi L^2) */
};

/** One solution of the frequency equation. */
struct wp_beam_root {
    double b;     /**< Huang's b; frequency = b * unit_hz */
    bool is_even; /**< shape even about the middle; no meaning with an end mass */
};

/** The shape that goes with a root. */
struct wp_beam_mode {
    struct wp_shape shape;    /**< deflection, scaled to a modal mass of the beam with end mass */
    double turn[4];           /**< weights of the rotation of the section, see wp_beam_turn_at */
    double translation_share; /**< part of the modal mass that is deflection of the bare beam */
};

void wp_beam_init(struct wp_beam *beam, const struct wp_section *section, double end_mass_kg);

/**
 * Makes the end mass a plug that fills the bore from the top end to length_m below it: a rigid
 * cylinder that turns with the end. That it stiffens the wall around it is left out.
 */
void wp_beam_set_plug(struct wp_beam *beam, const struct wp_section *section, double length_m);

/** The n_roots lowest roots above zero, in ascending order. */
void wp_beam_roots(const struct wp_beam *beam, struct wp_beam_root *roots, size_t n_roots);

/**
 * The mode of a root, scaled so that int(rho A W^2 + rho I Psi^2) dx + twice the end mass's kinetic
 * energy = mass of beam and end mass, with W > 0 at the bottom end.
 */
void wp_beam_mode_init(struct wp_beam_mode *mode, const struct wp_beam *beam,
                       struct wp_beam_root root);

/** Rotation of the section at xi (0 top to 1 bottom) times the length, in the scale of the shape.
 */
double wp_beam_turn_at(const struct wp_beam_mode *mode, double xi);

#endif
