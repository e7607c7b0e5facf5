/* SPDX-License-Identifier: MIT */
/* Partials in which the wall of a tube goes out of round. */
#include "tube/ovalling.h"

#include <math.h>
#include <stdbool.h>

#include "tube/root.h"
#include "tube/wave.h"

static double square(double x)
{
    return x * x;
}

/*
 * Per length and radial amplitude W, with v = W/m round the tube and u = R Psi / m^2 along it, the
 * energy is K Psi'^2 + S (W' - Psi)^2 + T Psi^2 + F W^2, the inertia mu W^2 + J Psi^2: stretching K
 * = E h R^2 / m^4, membrane shear S, twist T, bending round the tube F = D (m^2 - 1)^2 / R^4, mu =
 * rho h (1 + 1/m^2), J = rho h R^2 / m^4. With S = E h / (2 m^2), without Poisson's ratio, long
 * waves get the membrane energy of a plane stress function to second order in kR. T takes up the
 * product of both curvatures, less its value at the ends, where a zone of sqrt(R h) relaxes it.
 */
void wp_ovalling_init(struct wp_ovalling *ovalling, const struct wp_section *section,
                      double poisson_ratio, int order)
{
    const double R = 0.5 * (section->outer_radius_m + section->inner_radius_m);
    const double h = section->outer_radius_m - section->inner_radius_m;
    const double nu = poisson_ratio;
    const double m2 = (double)order * order;
    const double plate = h * h / (12.0 * (1.0 - nu * nu)); /* D / (E h) */
    const double shear = 1.0 / (2.0 * m2);                 /* S / (E h) */
    const double twist =
        plate * (m2 - 1.0) / square(R) * (2.0 * (1.0 - nu) * (m2 - 1.0) / m2 + 2.0 * nu);
    const double along = square(R) / (m2 * (m2 + 1.0)); /* J / mu */
    const double foundation = plate * square((m2 - 1.0) / square(R));
    ovalling->order = order;
    ovalling->radius_m = R;
    ovalling->wall_m = h;
    ovalling->length_m = section->length_m;
    ovalling->stretch_m2_s2 = section->young_modulus_pa / section->density_kg_m3;
    ovalling->plate_m4_s2 = plate * ovalling->stretch_m2_s2;
    ovalling->poisson_ratio = nu;
    ovalling->bending = square(R / (m2 * section->length_m)) / shear;
    ovalling->twist = (twist - along * foundation) / shear;
    ovalling->inertia = along / square(section->length_m);
}

/* The equivalent beam at one wave number. */
struct beam {
    double excess;  /* omega^2 less that of the foundation, mu L^2 / S times */
    double turning; /* what is left of shear and twist against inertia along the tube */
    double alpha2;  /* the other wave number, squared, of the part that decays from the ends */
};

/*
 * (beta^2 - a) (K beta^2 + 1 + t - j a) = beta^2 for waves cos(beta x), of which the lower branch
 * is the tube going out of round; alpha^2 beta^2 K = a (1 + t - j a).
 */
static void beam_init(struct beam *beam, const struct wp_ovalling *ovalling, double beta)
{
    const double beta2 = square(beta);
    const double stiff = ovalling->bending * beta2 + ovalling->twist;
    const double half = 0.5 * (ovalling->inertia * beta2 + stiff + 1.0);
    const double root = sqrt(square(half) - ovalling->inertia * beta2 * stiff);
    beam->excess = beta2 * stiff / (half + root);
    beam->turning = 1.0 + ovalling->twist - ovalling->inertia * beam->excess;
    beam->alpha2 = beam->excess * beam->turning / (ovalling->bending * beta2);
}

struct equation {
    const struct wp_ovalling *ovalling;
    bool is_odd;
};

/* No moment and no shear at the ends, for shapes even or odd about the middle. */
static double free_determinant(double beta, const void *context)
{
    const struct equation *equation = context;
    struct beam beam;
    struct wp_wave w;
    beam_init(&beam, equation->ovalling, beta);
    wp_wave_init(&w, beam.alpha2, beta);
    const double rising = beam.alpha2 + beam.excess;
    const double swinging = square(beta) - beam.excess;
    if (equation->is_odd) {
        return rising * beam.alpha2 * w.sinhc_e * w.cos_e -
               swinging * square(beta) * w.sinc_e * w.cosh_e;
    }
    return rising * w.cosh_e * w.sinc_e + swinging * w.cos_e * w.sinhc_e;
}

/*
 * Held ends, W = 0, are one constraint more for even and for odd shapes, and their roots are
 * multiples of pi; by Rayleigh's theorem there is one free root between two of the same kind.
 */
double wp_ovalling_root(const struct wp_ovalling *ovalling, int n)
{
    if (n == 0) {
        return 0.0;
    }
    const struct equation equation = {ovalling, n % 2 != 0};
    const double low = n == 1 ? 1e-3 : (n - 1) * M_PI;
    const double high = (n + 1) * M_PI;
    struct beam beam;
    beam_init(&beam, ovalling, high);
    if (!(beam.turning > 0.0)) {
        return NAN;
    }
    return wp_root_find(free_determinant, &equation, low, high);
}

void wp_ovalling_wave_init(struct wp_ovalling_wave *wave, const struct wp_ovalling *ovalling,
                           double root)
{
    const double R = ovalling->radius_m;
    const double nu = ovalling->poisson_ratio;
    const double m = ovalling->order;
    const double k = root / ovalling->length_m;
    const double q = square(k * R);
    const double both = square(q + m * m);
    wave->around = m * (m * m + (2.0 + nu) * q) / both;
    wave->along = k * R * (m * m - nu * q) / both;
    const double curved_along = k * k;
    const double curved_around = m * (m - wave->around) / square(R);
    const double twisted = k * (m - wave->around) / R;
    const double bent = ovalling->plate_m4_s2 * (square(curved_along) + square(curved_around) +
                                                 2.0 * nu * curved_along * curved_around +
                                                 2.0 * (1.0 - nu) * square(twisted));
    const double stretched = ovalling->stretch_m2_s2 * q * q / (both * square(R));
    const double inertia = 1.0 + square(wave->along) + square(wave->around);
    wave->freq_hz = sqrt((bent + stretched) / inertia) / (2.0 * M_PI);
    wave->bent_01 = bent / (bent + stretched);
}

void wp_ovalling_shape(struct wp_shape *shape, const struct wp_ovalling *ovalling, int n,
                       double root, double mean_square)
{
    struct beam beam;
    struct wp_wave w;
    struct wp_wave_products p;
    *shape = (struct wp_shape){.root = {1.0, root}};
    if (n == 0) {
        shape->factor[1] = sqrt(mean_square);
        return;
    }
    beam_init(&beam, ovalling, root);
    wp_wave_init(&w, beam.alpha2, root);
    wp_wave_products_init(&p, &w);
    shape->root[0] = w.alpha;
    double sum;
    if (n % 2 == 0) {
        shape->factor[0] = w.sinc_e;
        shape->factor[1] = -w.sinhc_e;
        sum = square(w.sinc_e) * p.cosh_cosh - 2.0 * w.sinc_e * w.sinhc_e * p.cosh_cos +
              square(w.sinhc_e) * p.cos_cos;
    } else {
        const double first = w.alpha2 * w.cos_e;
        const double second = square(root) * w.cosh_e;
        shape->factor[2] = w.alpha * w.cos_e;
        shape->factor[3] = root * w.cosh_e;
        sum = square(first) * p.sinhc_sinhc + 2.0 * first * second * p.sinhc_sinc +
              square(second) * p.sinc_sinc;
    }
    const double scale = copysign(sqrt(mean_square / sum), wp_shape_at(shape, 1.0));
    for (int i = 0; i < 4; i++) {
        shape->factor[i] *= scale;
    }
}
