/* SPDX-License-Identifier: MIT */
/* Sound that leaves a tube that bends or goes out of round. */
#include "tube/radiation.h"

#include <complex.h>
#include <math.h>
#include <stdbool.h>

#include "base/clones.h"
#include "base/series.h"
#include "tube/cylinder.h"
#include "tube/wave.h"

/* Gauss-Legendre rule of twelve points on (-1, 1), positive half (Abramowitz & Stegun, table 25.4).
 */
enum { N_HALF = 6 };
static const double node[N_HALF] = {0.125233408511468916, 0.367831498998180194,
                                    0.587317954286617447, 0.769902674194304687,
                                    0.904117256370474857, 0.981560634246719251};
static const double weight[N_HALF] = {0.249147045813402785, 0.233492536538354809,
                                      0.203167426723065923, 0.160078328543346226,
                                      0.106939325995318431, 0.047175336386511827};

/*
 * A line of multipoles of order m: rho c (ka)^(m+1) / (m! 2^m) pascal at 1 m/s, times its shape
 * integrated, the sine to the power of m and 1/r.
 */
static double multipole_pa(const struct wp_air *air, int order, double ka)
{
    double size = air->density_kg_m3 * air->sound_speed_m_s * ka;
    for (int m = 1; m <= order; m++) {
        size *= ka / (2.0 * m);
    }
    return size;
}

static double power_of(double x, int exponent)
{
    double power = 1.0;
    for (int i = 0; i < exponent; i++) {
        power *= x;
    }
    return power;
}

double wp_far_pressure(const struct wp_section *section, const struct wp_air *air,
                       const struct wp_partial *partial, double cos_polar)
{
    const double k = 2.0 * M_PI * partial->freq_hz / air->sound_speed_m_s;
    const double ka = k * section->outer_radius_m;
    const double sin_polar = sqrt(fmax(1.0 - cos_polar * cos_polar, 0.0));
    struct wp_spectrum spectrum;
    wp_spectrum_init(&spectrum, &partial->shape);
    const double shape_m =
        section->length_m * sqrt(wp_spectrum_at(&spectrum, k * section->length_m * cos_polar));
    return multipole_pa(air, partial->order, ka) * power_of(sin_polar, partial->order) * shape_m *
           cabs(wp_cylinder_factor(partial->order, ka * sin_polar));
}

/* Directions of one partial, ready for integration over the sphere. */
struct sphere {
    struct wp_spectrum spectrum;
    struct wp_cylinder_table table;
    int order;
    double ka;
    double kl;
};

/* Squared transform of the shape times what the cylinder makes of it, at u = cos(polar angle). */
static double power_density(const struct sphere *sphere, double u)
{
    const double sine = sqrt(1.0 - u * u);
    const double complex factor = wp_cylinder_table_at(&sphere->table, sphere->ka * sine);
    const double angle = power_of(sine, sphere->order);
    return wp_spectrum_at(&sphere->spectrum, sphere->kl * u) * angle * angle *
           (creal(factor) * creal(factor) + cimag(factor) * cimag(factor));
}

/*
 * P = pi / (2 rho c) int p^2 d(cos of the polar angle), p the far pressure at 1 m, cos^2 round the
 * axis. p^2 is even in u = cos and swings no faster than once in kL u = 2 pi, so twelve points for
 * three swings are plenty.
 */
double wp_radiated_power(const struct wp_section *section, const struct wp_air *air,
                         const struct wp_shape *shape, int order, double freq_hz)
{
    const double k = 2.0 * M_PI * freq_hz / air->sound_speed_m_s;
    struct sphere sphere = {
        .order = order, .ka = k * section->outer_radius_m, .kl = k * section->length_m};
    wp_spectrum_init(&sphere.spectrum, shape);
    wp_cylinder_table_init(&sphere.table, order, 0.0, sphere.ka);

    const int n_panels = 2 + (int)ceil(sphere.kl / (6.0 * M_PI));
    const double half = 0.5 / n_panels;
    double sum = 0.0;
    for (int panel = 0; panel < n_panels; panel++) {
        const double middle = (2 * panel + 1) * half;
        for (int i = 0; i < N_HALF; i++) {
            sum += weight[i] * (power_density(&sphere, middle - half * node[i]) +
                                power_density(&sphere, middle + half * node[i]));
        }
    }
    const double pa_m = multipole_pa(air, order, sphere.ka) * section->length_m;
    return M_PI / (air->density_kg_m3 * air->sound_speed_m_s) * sum * half * pa_m * pa_m;
}

/* An ear and a tube, ready for integration along the tube. */
struct scene {
    const struct wp_shape *shape;
    int order;
    double k;
    double radius_m;
    double length_m;
    double across_m; /* from the axis */
    double foot_m;   /* along the tube from its top end to the point level with the ear */
    struct wp_cylinder_table table;
};

/* Tables the cylinder's factor over the angles at which the ear sees the tube. */
static void scene_tabulate(struct scene *scene)
{
    const double foot = scene->foot_m;
    const double beyond = fmax(fmax(-foot, foot - scene->length_m), 0.0);
    const double farthest = fmax(fabs(foot), fabs(scene->length_m - foot));
    const double x = scene->k * scene->radius_m * scene->across_m;
    wp_cylinder_table_init(&scene->table, scene->order, x / hypot(scene->across_m, farthest),
                           x / hypot(scene->across_m, beyond));
}

/* Points along the tube, worked out many at once. */
enum { POINTS_MAX = 10 * 2 * N_HALF };
struct points {
    size_t n;
    double x[POINTS_MAX]; /* from the top end */
    double weight_m[POINTS_MAX];
    double xi[POINTS_MAX];    /* x, of the tube's length */
    double per_m[POINTS_MAX]; /* 1/r to the ear */
    double kr[POINTS_MAX];
    double shape[POINTS_MAX];
    double re[POINTS_MAX]; /* pressure of a unit length, up to a common factor */
    double im[POINTS_MAX];
};

WP_CLONED
static void lay_out(struct points *restrict points, const struct scene *restrict scene)
{
    for (size_t i = 0; i < points->n; i++) {
        const double along = points->x[i] - scene->foot_m;
        const double r = sqrt(scene->across_m * scene->across_m + along * along);
        points->xi[i] = points->x[i] / scene->length_m;
        points->per_m[i] = 1.0 / r;
        points->kr[i] = scene->k * r;
    }
}

/*
 * h_m(kr) exp(ikr) kr / i of the outgoing spherical Hankel function: 1, then i + 1/(kr), upwards by
 * (2m+1) / (kr) c(m) - c(m-1).
 */
WP_CLONED
static void go_out(struct points *restrict points, int order)
{
    double below_re[POINTS_MAX];
    double below_im[POINTS_MAX];
    for (size_t i = 0; i < points->n; i++) {
        below_re[i] = 1.0;
        below_im[i] = 0.0;
        points->re[i] = 1.0 / points->kr[i];
        points->im[i] = 1.0;
    }
    for (int m = 1; m < order; m++) {
        for (size_t i = 0; i < points->n; i++) {
            const double by = (2 * m + 1) / points->kr[i];
            const double next_re = by * points->re[i] - below_re[i];
            const double next_im = by * points->im[i] - below_im[i];
            below_re[i] = points->re[i];
            below_im[i] = points->im[i];
            points->re[i] = next_re;
            points->im[i] = next_im;
        }
    }
}

/* A multipole of order m is (sine times k)^m / r of that, turned by the way. */
WP_CLONED
static void arrive(struct points *restrict points, const struct scene *restrict scene)
{
    for (size_t i = 0; i < points->n; i++) {
        double cosine;
        double sine;
        wp_series_circle(points->kr[i], &cosine, &sine);
        const double size = points->shape[i] * points->per_m[i];
        const double re = points->re[i];
        const double im = points->im[i];
        points->re[i] = size * (re * cosine + im * sine);
        points->im[i] = size * (im * cosine - re * sine);
    }
    for (int m = 0; m < scene->order; m++) {
        for (size_t i = 0; i < points->n; i++) {
            points->re[i] *= scene->across_m * points->per_m[i];
            points->im[i] *= scene->across_m * points->per_m[i];
        }
    }
}

/* Their part of the integral; none are left. */
static double complex sum_up(struct points *points, const struct scene *scene)
{
    double complex sum = 0.0;
    lay_out(points, scene);
    wp_shape_each(scene->shape, points->xi, points->shape, points->n);
    go_out(points, scene->order);
    arrive(points, scene);
    for (size_t i = 0; i < points->n; i++) {
        const double sine = scene->across_m * points->per_m[i];
        const double complex factor =
            wp_cylinder_table_at(&scene->table, scene->k * scene->radius_m * sine);
        sum += points->weight_m[i] * factor * (points->re[i] + (double complex)I * points->im[i]);
    }
    points->n = 0;
    return sum;
}

/* Longest piece that twelve points resolve to 1e-6: three waves of tube and sound together, half
 * the distance. */
static double longest_piece(const struct scene *scene, double x)
{
    const double wave_number =
        scene->k + fmax(scene->shape->root[0], scene->shape->root[1]) / scene->length_m;
    const double along = x - scene->foot_m;
    const double r = sqrt(scene->across_m * scene->across_m + along * along);
    return fmin(6.0 * M_PI / wave_number, 0.5 * r);
}

static void add_point(struct points *points, double x, double weight_m)
{
    points->x[points->n] = x;
    points->weight_m[points->n++] = weight_m;
}

/* The integral along the tube from x, distance by distance, away from the ear. */
static double complex integrate_away(const struct scene *scene, double x, double end)
{
    const double sign = end < x ? -1.0 : 1.0;
    struct points points;
    double complex sum = 0.0;
    points.n = 0;
    while (sign * (end - x) > 0.0) {
        double piece = longest_piece(scene, x);
        piece = fmin(piece, longest_piece(scene, x + sign * piece));
        const double half = 0.5 * fmin(piece, sign * (end - x));
        const double middle = x + sign * half;
        for (int i = 0; i < N_HALF; i++) {
            add_point(&points, middle - sign * half * node[i], half * weight[i]);
            add_point(&points, middle + sign * half * node[i], half * weight[i]);
        }
        if (points.n == POINTS_MAX) {
            sum += sum_up(&points, scene);
        }
        x = piece < sign * (end - x) ? x + sign * piece : end;
    }
    return sum + sum_up(&points, scene);
}

/* Level with the middle both halves are cut alike, so that even partials cancel to the last bits.
 */
static double complex integrate(const struct scene *scene)
{
    const double foot = fmin(fmax(scene->foot_m, 0.0), scene->length_m);
    return integrate_away(scene, foot, 0.0) + integrate_away(scene, foot, scene->length_m);
}

struct wp_transfer wp_tube_transfer(const struct wp_tube *tube, const struct wp_partial *partial,
                                    struct wp_ear ear)
{
    struct wp_section section;
    struct wp_air air;
    wp_section_init(&section, &tube->spec);
    wp_air_init(&air, tube->spec.temperature_c);
    const double k = 2.0 * M_PI * partial->freq_hz / air.sound_speed_m_s;
    const double a = section.outer_radius_m;
    /* Beside the tube an ear is at least outside of the metal; on its axis nothing is heard. */
    const bool is_beside = fabs(ear.height_m) < 0.5 * section.length_m + a;
    struct scene scene = {.shape = &partial->shape,
                          .order = partial->order,
                          .k = k,
                          .radius_m = a,
                          .length_m = section.length_m,
                          .across_m = is_beside ? fmax(ear.distance_m, a) : ear.distance_m,
                          .foot_m = 0.5 * section.length_m - ear.height_m};
    scene_tabulate(&scene);
    /* The air is moved by acceleration, a quarter turn ahead of the velocity. */
    const double complex pa =
        (double complex)I * multipole_pa(&air, partial->order, k * a) * integrate(&scene);
    const double way = k * hypot(ear.distance_m, ear.height_m);
    const double complex here = pa * (cos(way) + (double complex)I * sin(way));
    return (struct wp_transfer){creal(here), cimag(here)};
}

double wp_tube_pressure(const struct wp_tube *tube, const struct wp_partial *partial,
                        struct wp_ear ear)
{
    const struct wp_transfer transfer = wp_tube_transfer(tube, partial, ear);
    return hypot(transfer.re, transfer.im);
}

double wp_tube_power(const struct wp_tube *tube, const struct wp_partial *partial)
{
    struct wp_section section;
    struct wp_air air;
    wp_section_init(&section, &tube->spec);
    wp_air_init(&air, tube->spec.temperature_c);
    return wp_radiated_power(&section, &air, &partial->shape, partial->order, partial->freq_hz);
}
