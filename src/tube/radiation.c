/* SPDX-License-Identifier: MIT */
/* Sound that leaves a bending tube. */
#include "tube/radiation.h"

#include <complex.h>
#include <math.h>
#include <stdbool.h>

#include "tube/cylinder.h"
#include "tube/wave.h"

/* Gauss-Legendre rule of six points on (-1, 1), positive half (Abramowitz & Stegun, table 25.4). */
enum { N_HALF = 3 };
static const double node[N_HALF] = {0.238619186083196909, 0.661209386466264514,
                                    0.932469514203152028};
static const double weight[N_HALF] = {0.467913934572691047, 0.360761573048138608,
                                      0.171324492379170345};

double wp_far_pressure(const struct wp_section *section, const struct wp_air *air,
                       const struct wp_partial *partial, double cos_polar)
{
    const double k = 2.0 * M_PI * partial->freq_hz / air->sound_speed_m_s;
    const double a = section->outer_radius_m;
    const double sin_polar = sqrt(fmax(1.0 - cos_polar * cos_polar, 0.0));
    struct wp_spectrum spectrum;
    wp_spectrum_init(&spectrum, &partial->shape);
    const double shape_m =
        section->length_m * sqrt(wp_spectrum_at(&spectrum, k * section->length_m * cos_polar));
    return 0.5 * air->density_kg_m3 * air->sound_speed_m_s * k * k * a * a * sin_polar * shape_m *
           wp_cylinder_factor(k * a * sin_polar);
}

/* Squared transform of the shape times what the cylinder makes of it, at u = cos(polar angle). */
static double power_density(const struct wp_spectrum *spectrum, double ka, double kl, double u)
{
    const double x2 = ka * ka * (1.0 - u * u);
    return wp_spectrum_at(spectrum, kl * u) / (x2 * wp_hankel_slope_squared(sqrt(x2)));
}

/*
 * P = rho c / (2 pi) int |I|^2 / (sin |H1'(k a sin)|^2) d(polar angle). |I|^2 is even in u = cos
 * and swings no faster than once in kL u = 2 pi, so six points a swing are plenty.
 */
double wp_radiated_power(const struct wp_section *section, const struct wp_air *air,
                         const struct wp_shape *shape, double freq_hz)
{
    const double k = 2.0 * M_PI * freq_hz / air->sound_speed_m_s;
    const double ka = k * section->outer_radius_m;
    const double kl = k * section->length_m;
    struct wp_spectrum spectrum;
    wp_spectrum_init(&spectrum, shape);

    const int n_panels = 2 + (int)ceil(kl / (2.0 * M_PI));
    const double half = 0.5 / n_panels;
    double sum = 0.0;
    for (int panel = 0; panel < n_panels; panel++) {
        const double middle = (2 * panel + 1) * half;
        for (int i = 0; i < N_HALF; i++) {
            sum += weight[i] * (power_density(&spectrum, ka, kl, middle - half * node[i]) +
                                power_density(&spectrum, ka, kl, middle + half * node[i]));
        }
    }
    const double over_half_sphere = sum * half * ka * ka * section->length_m * section->length_m;
    return air->density_kg_m3 * air->sound_speed_m_s / M_PI * over_half_sphere;
}

/* An ear and a tube, ready for integration along the tube. */
struct scene {
    const struct wp_shape *shape;
    double k;
    double radius_m;
    double length_m;
    double across_m; /* from the axis */
    double foot_m;   /* along the tube from its top end to the point level with the ear */
};

/* Pressure of a unit length at x, up to a common factor. */
static double complex dipole(const struct scene *scene, double x)
{
    const double along = x - scene->foot_m;
    const double r = sqrt(scene->across_m * scene->across_m + along * along);
    const double sine = scene->across_m / r;
    const double size = wp_shape_at(scene->shape, x / scene->length_m) * sine / r *
                        wp_cylinder_factor(scene->k * scene->radius_m * sine);
    /* (1/r + ik) exp(-ikr) */
    const double c = cos(scene->k * r);
    const double s = sin(scene->k * r);
    return size * (c / r + scene->k * s + (double complex)I * (scene->k * c - s / r));
}

/* Longest piece that six points resolve: half a wave of bending or sound, half the distance. */
static double longest_piece(const struct scene *scene, double x)
{
    const double wave_number =
        scene->k + fmax(scene->shape->root[0], scene->shape->root[1]) / scene->length_m;
    const double along = x - scene->foot_m;
    const double r = sqrt(scene->across_m * scene->across_m + along * along);
    return fmin(M_PI / wave_number, 0.5 * r);
}

static double complex integrate(const struct scene *scene)
{
    double complex sum = 0.0;
    double start = 0.0;
    while (start < scene->length_m) {
        double piece = longest_piece(scene, start);
        piece = fmin(piece, longest_piece(scene, start + piece));
        const double end = fmin(start + piece, scene->length_m);
        const double half = 0.5 * (end - start);
        const double middle = start + half;
        for (int i = 0; i < N_HALF; i++) {
            sum +=
                half * weight[i] *
                (dipole(scene, middle - half * node[i]) + dipole(scene, middle + half * node[i]));
        }
        start = end;
    }
    return sum;
}

double wp_tube_pressure(const struct wp_tube *tube, const struct wp_partial *partial,
                        struct wp_ear ear)
{
    struct wp_section section;
    struct wp_air air;
    wp_section_init(&section, &tube->spec);
    wp_air_init(&air, tube->spec.temperature_c);
    const double omega = 2.0 * M_PI * partial->freq_hz;
    const double a = section.outer_radius_m;
    /* Beside the tube an ear is at least outside of the metal; on its axis nothing is heard. */
    const bool is_beside = fabs(ear.height_m) < 0.5 * section.length_m + a;
    const struct scene scene = {.shape = &partial->shape,
                                .k = omega / air.sound_speed_m_s,
                                .radius_m = a,
                                .length_m = section.length_m,
                                .across_m = is_beside ? fmax(ear.distance_m, a) : ear.distance_m,
                                .foot_m = 0.5 * section.length_m - ear.height_m};
    return 0.5 * air.density_kg_m3 * omega * a * a * cabs(integrate(&scene));
}

double wp_tube_power(const struct wp_tube *tube, const struct wp_partial *partial)
{
    struct wp_section section;
    struct wp_air air;
    wp_section_init(&section, &tube->spec);
    wp_air_init(&air, tube->spec.temperature_c);
    return wp_radiated_power(&section, &air, &partial->shape, partial->freq_hz);
}
