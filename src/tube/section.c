/* SPDX-License-Identifier: MIT */
/* The cross-section of a tube or rod at the temperature at which it sounds. */
#include "tube/section.h"

#include <math.h>
#include <stdbool.h>
#include <stddef.h>

/* Dimensions and stiffness of a spec are given at this temperature, in C. */
static const double GIVEN_AT_C = 20.0;

/* Rounding in a unit change must not make a rod's wall "thicker than its radius". */
static const double ROUNDING = 1.0 + 1e-9;

const char *wp_material_fault(const struct wp_material *m)
{
    if (!(m->young_modulus_pa > 0.0) || !isfinite(m->young_modulus_pa)) {
        return "Young's modulus is not above 0";
    }
    if (!(m->density_kg_m3 > 0.0) || !isfinite(m->density_kg_m3)) {
        return "the density is not above 0";
    }
    if (m->poisson_ratio < 0.0 || m->poisson_ratio > 0.5) {
        return "Poisson's ratio is not between 0 and 0.5";
    }
    if (m->loss_factor < 0.0 || m->loss_factor > 0.1) {
        return "the loss factor is not between 0 and 0.1";
    }
    return NULL;
}

static const char *shape_fault(const struct wp_tube_spec *s)
{
    if (!(s->outer_diameter_m > 0.0) || !isfinite(s->outer_diameter_m)) {
        return "the outer diameter is not above 0";
    }
    if (!(s->wall_m > 0.0) || s->wall_m > s->outer_diameter_m / 2.0 * ROUNDING) {
        return "the wall is not between 0 and half the outer diameter";
    }
    if (!(s->length_m * ROUNDING >= WP_LENGTH_MIN_DIAMETERS * s->outer_diameter_m) ||
        !(s->length_m <= WP_LENGTH_MAX_M * ROUNDING)) {
        return "the length is not between 3 outer diameters and 12 m";
    }
    return NULL;
}

static double cold_mass(const struct wp_tube_spec *s)
{
    const double inner_diameter = fmax(s->outer_diameter_m - 2.0 * s->wall_m, 0.0);
    const double outer = s->outer_diameter_m * s->outer_diameter_m;
    const double area = M_PI / 4.0 * (outer - inner_diameter * inner_diameter);
    return s->material.density_kg_m3 * area * s->length_m;
}

/* A plug is a mass in the bore. */
static const char *plug_fault(const struct wp_tube_spec *s)
{
    if (s->plug_length_m == 0.0) {
        return NULL;
    }
    if (!(s->plug_length_m > 0.0 && s->plug_length_m <= 0.5 * s->length_m)) {
        return "the plug's length is not between 0 and half of the tube";
    }
    if (!(s->end_mass_kg > 0.0)) {
        return "a plug without an end mass; expected its mass as end_mass";
    }
    if (s->wall_m * ROUNDING >= 0.5 * s->outer_diameter_m) {
        return "a rod has no bore for a plug; expected an end mass without plug_length";
    }
    return NULL;
}

const char *wp_spec_fault_at(const struct wp_tube_spec *spec, enum wp_part *part)
{
    *part = WP_PART_TUBE;
    const char *fault = wp_material_fault(&spec->material);
    if (!fault) {
        fault = shape_fault(spec);
    }
    if (fault) {
        return fault;
    }
    if (!(spec->end_mass_kg >= 0.0 && spec->end_mass_kg <= cold_mass(spec))) {
        *part = WP_PART_END_MASS;
        return "the end mass is not between 0 and the mass of the tube";
    }
    fault = plug_fault(spec);
    if (fault) {
        *part = WP_PART_PLUG;
        return fault;
    }
    if (!(spec->ovality_01 >= 0.0 && spec->ovality_01 <= 0.2)) {
        return "the ovality is not between 0 and 20 %";
    }
    if (!(spec->bore_offset_01 >= 0.0 && spec->bore_offset_01 < 1.0)) {
        return "the bore offset is not between 0 and the wall";
    }
    if (!(spec->temperature_c >= -60.0 && spec->temperature_c <= 120.0)) {
        return "the temperature is not between -60 C and 120 C";
    }
    return NULL;
}

const char *wp_spec_fault(const struct wp_tube_spec *spec)
{
    enum wp_part part;
    return wp_spec_fault_at(spec, &part);
}

const char *wp_support_fault(const struct wp_tube_spec *spec)
{
    const bool is_inside = spec->support_m >= 0.0 && spec->support_m <= 0.5 * spec->length_m;
    if (!spec->is_supported_at_node && !is_inside) {
        return "the support point is not between the end and the middle of the tube";
    }
    if (!(spec->cord_kg_m >= 0.0 && spec->cord_kg_m <= 1.0)) {
        return "the mass of the cord is not between 0 and 1 kg/m";
    }
    return NULL;
}

double wp_shear_coefficient(double radius_ratio, double poisson_ratio)
{
    const double m2 = radius_ratio * radius_ratio;
    const double m4 = m2 * m2;
    const double nu = poisson_ratio;
    const double over = 6.0 * (1.0 + m2) * (1.0 + m2) * (1.0 + nu) * (1.0 + nu);
    return over / (7.0 + 34.0 * m2 + 7.0 * m4 + nu * (12.0 + 48.0 * m2 + 12.0 * m4) +
                   nu * nu * (4.0 + 16.0 * m2 + 4.0 * m4));
}

void wp_section_init(struct wp_section *section, const struct wp_tube_spec *spec)
{
    const struct wp_material *m = &spec->material;
    const double warmer_k = spec->temperature_c - GIVEN_AT_C;
    const double growth = 1.0 + m->thermal_expansion_per_k * warmer_k;
    const double ao = growth * spec->outer_diameter_m / 2.0;
    const double ai = fmax(ao - growth * spec->wall_m, 0.0);

    section->outer_radius_m = ao;
    section->inner_radius_m = ai < 1e-9 * ao ? 0.0 : ai;
    section->length_m = growth * spec->length_m;
    section->area_m2 = M_PI * (ao * ao - ai * ai);
    section->second_moment_m4 = M_PI / 4.0 * (ao * ao * ao * ao - ai * ai * ai * ai);
    section->young_modulus_pa = m->young_modulus_pa * (1.0 + m->stiffness_per_k * warmer_k);
    section->shear_modulus_pa = section->young_modulus_pa / (2.0 * (1.0 + m->poisson_ratio));
    section->density_kg_m3 = m->density_kg_m3 / (growth * growth * growth);
    section->shear_coefficient = wp_shear_coefficient(ai / ao, m->poisson_ratio);
    section->mass_kg_m = section->density_kg_m3 * section->area_m2;
    section->bare_mass_kg = cold_mass(spec);
}
