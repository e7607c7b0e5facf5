/* SPDX-License-Identifier: MIT */
/* Bending of a free beam with shear and rotary inertia, exact. */
#include "tube/beam.h"

#include <math.h>
#include <stdbool.h>

#include "tube/root.h"
#include "tube/wave.h"

enum parity { EVEN, ODD };

/*
 * A beam at one value of b. With p = b^2 s^2 the rotation that belongs to the deflection
 * cosh(alpha eta) is (alpha^2 + p) sinh(alpha eta)/alpha, to cos(beta eta)
 * -(beta^2 - p) sin(beta eta)/beta.
 */
struct state {
    struct wp_wave wave;
    double first;  /* alpha^2 + p */
    double second; /* beta^2 - p */
};

/* Weights of the two even or the two odd solutions. */
struct pair {
    double first;
    double second;
};

static void state_init(struct state *state, const struct wp_beam *beam, double b)
{
    /*
     * Huang's alpha^2, -beta^2 = b^2/2 (-(r^2+s^2) +- sqrt((r^2-s^2)^2 + 4/b^2)), rearranged so
     * that nothing cancels: s^2 > r^2 in every solid, and alpha^2 beta^2 = b^2 (1 - b^2 r^2 s^2).
     */
    const double r2 = beam->rotary;
    const double s2 = beam->shear;
    const double b2 = b * b;
    const double spread = sqrt((s2 - r2) * (s2 - r2) + 4.0 / b2);
    const double beta2 = 0.5 * b2 * (r2 + s2 + spread);
    const double alpha2 = b2 * (1.0 - b2 * r2 * s2) / beta2;
    wp_wave_init(&state->wave, alpha2, sqrt(beta2));
    state->first = 0.5 * b2 * (s2 - r2 + spread);
    state->second = 2.0 / (s2 - r2 + spread);
}

/*
 * Solutions without bending moment at the ends: even, h cosh(alpha eta) + t cos(beta eta); odd,
 * h alpha sinh(alpha eta) + t sin(beta eta)/beta.
 */
static struct pair moment_free(const struct state *st, enum parity parity)
{
    const struct wp_wave *w = &st->wave;
    if (parity == EVEN) {
        return (struct pair){st->second * w->cos_e, st->first * w->cosh_e};
    }
    return (struct pair){st->second * w->sinc_e, w->alpha2 * st->first * w->sinhc_e};
}

/* Shear force of that solution at the end, up to a factor that has no zero. */
static double end_shear(const struct state *st, enum parity parity)
{
    const struct wp_wave *w = &st->wave;
    const struct pair weights = moment_free(st, parity);
    if (parity == EVEN) {
        return weights.first * w->sinhc_e + weights.second * w->sinc_e;
    }
    return weights.first * w->cosh_e - weights.second * w->cos_e / (w->beta * w->beta);
}

struct equation {
    const struct wp_beam *beam;
    enum parity parity;
};

/* Frequency determinant of the free beam in one parity. */
static double free_determinant(double b, const void *context)
{
    const struct equation *equation = context;
    struct state st;
    state_init(&st, equation->beam, b);
    return end_shear(&st, equation->parity);
}

/* Two rows of weights of the pair of solutions of one parity. */
struct matrix {
    double a[2][2];
};

/* What the two solutions of one parity are at the lower end. Shear forces are over b^2. */
struct ends {
    struct matrix moved;  /* deflection, rotation */
    struct matrix loaded; /* bending moment, shear force */
};

static struct ends end_values(const struct state *st, enum parity parity)
{
    const struct wp_wave *w = &st->wave;
    const double beta2 = w->beta * w->beta;
    if (parity == EVEN) {
        return (struct ends){
            .moved = {{{w->cosh_e, w->cos_e}, {st->first * w->sinhc_e, -st->second * w->sinc_e}}},
            .loaded = {
                {{st->first * w->cosh_e, -st->second * w->cos_e}, {-w->sinhc_e, -w->sinc_e}}}};
    }
    return (struct ends){.moved = {{{w->alpha2 * w->sinhc_e, w->sinc_e},
                                    {st->first * w->cosh_e, st->second * w->cos_e / beta2}}},
                         .loaded = {{{st->first * w->alpha2 * w->sinhc_e, -st->second * w->sinc_e},
                                     {-w->cosh_e, w->cos_e / beta2}}}};
}

static double determinant(const struct matrix *m)
{
    return m->a[0][0] * m->a[1][1] - m->a[0][1] * m->a[1][0];
}

static struct matrix product(const struct matrix *m, const struct matrix *n)
{
    struct matrix p;
    for (int i = 0; i < 2; i++) {
        for (int j = 0; j < 2; j++) {
            p.a[i][j] = m->a[i][0] * n->a[0][j] + m->a[i][1] * n->a[1][j];
        }
    }
    return p;
}

/* The inverse times the determinant. */
static struct matrix adjugate(const struct matrix *m)
{
    return (struct matrix){{{m->a[1][1], -m->a[0][1]}, {-m->a[1][0], m->a[0][0]}}};
}

/*
 * A beam with a rigid body at its top end at one value of b. Half of the moment and the shear force
 * there, t = (M, V)/2, loads the beam evenly, half oddly, so that the lower end stays free: the
 * even weights are loaded_e^-1 t, the odd ones -loaded_o^-1 t. The end then moves by W = R t (first
 * row) and turns by -R t (second row), R = moved_e loaded_e^-1 + moved_o loaded_o^-1. A body of
 * mass m, its centre c below the end, J about its centre, answers with V = -omega^2 m (W + c Psi)
 * and M = -omega^2 (m c (W + c Psi) + J Psi): 2 t = K R t.
 */
struct loaded {
    struct ends even;
    struct ends odd;
    double even_det; /* of the free beam, up to a factor */
    double odd_det;
    struct matrix body;     /* K */
    struct matrix even_way; /* moved_e adj(loaded_e) */
    struct matrix odd_way;
};

static void loaded_init(struct loaded *ld, const struct wp_beam *beam, const struct state *st,
                        double b)
{
    const double mass = beam->end_mass;
    const double c = beam->end_depth;
    const double turning = b * b * mass;
    ld->even = end_values(st, EVEN);
    ld->odd = end_values(st, ODD);
    ld->even_det = determinant(&ld->even.loaded);
    ld->odd_det = determinant(&ld->odd.loaded);
    ld->body =
        (struct matrix){{{-turning * c, turning * (c * c + beam->end_rotary)}, {mass, -mass * c}}};
    const struct matrix even = adjugate(&ld->even.loaded);
    const struct matrix odd = adjugate(&ld->odd.loaded);
    ld->even_way = product(&ld->even.moved, &even);
    ld->odd_way = product(&ld->odd.moved, &odd);
}

/* even_det odd_det K R. */
static struct matrix answer(const struct loaded *ld)
{
    struct matrix way;
    for (int i = 0; i < 2; i++) {
        for (int j = 0; j < 2; j++) {
            way.a[i][j] = ld->even_way.a[i][j] * ld->odd_det + ld->odd_way.a[i][j] * ld->even_det;
        }
    }
    return product(&ld->body, &way);
}

/* det(2 - K R), multiplied by even_det odd_det, which takes its poles away. */
static double loaded_determinant(double b, const void *context)
{
    const struct equation *equation = context;
    struct state st;
    struct loaded ld;
    state_init(&st, equation->beam, b);
    loaded_init(&ld, equation->beam, &st, b);
    const struct matrix turned = answer(&ld);
    const struct matrix *even = &ld.even_way;
    const struct matrix *odd = &ld.odd_way;
    const double mixed = even->a[0][0] * odd->a[1][1] + odd->a[0][0] * even->a[1][1] -
                         even->a[0][1] * odd->a[1][0] - odd->a[0][1] * even->a[1][0];
    return 4.0 * ld.even_det * ld.odd_det - 2.0 * (turned.a[0][0] + turned.a[1][1]) +
           determinant(&ld.body) * (determinant(&ld.even.moved) * ld.odd_det +
                                    determinant(&ld.odd.moved) * ld.even_det + mixed);
}

/*
 * Roots of one parity in turn. Holding both ends of a free beam still in deflection (a simply
 * supported beam) adds one constraint in each parity, so by Rayleigh's theorem exactly one root
 * lies between neighbouring roots of the supported beam. Those have beta or, past the cut-off,
 * |alpha| equal to an odd (even parity) or even multiple of pi: closed forms, nothing to miss.
 */
struct ladder {
    const struct wp_beam *beam;
    enum parity parity;
    int lower; /* next multiple of pi of the beta branch */
    int upper; /* next multiple of pi of the alpha branch */
    double rung;
};

/* b at which a wave number of the supported beam is multiple * pi. */
static double supported_root(const struct wp_beam *beam, int multiple, bool is_upper)
{
    const double k2 = M_PI * M_PI * multiple * multiple;
    const double rs = beam->rotary * beam->shear;
    const double q = 1.0 + (beam->rotary + beam->shear) * k2;
    const double sum = q + sqrt(q * q - 4.0 * rs * k2 * k2);
    return is_upper ? sqrt(sum / (2.0 * rs)) : k2 * sqrt(2.0 / sum);
}

static void ladder_climb(struct ladder *ladder)
{
    const double lower = supported_root(ladder->beam, ladder->lower, false);
    const double upper = supported_root(ladder->beam, ladder->upper, true);
    if (lower < upper) {
        ladder->rung = lower;
        ladder->lower += 2;
    } else {
        ladder->rung = upper;
        ladder->upper += 2;
    }
}

static void ladder_init(struct ladder *ladder, const struct wp_beam *beam, enum parity parity)
{
    ladder->beam = beam;
    ladder->parity = parity;
    ladder->lower = parity == EVEN ? 1 : 2;
    ladder->upper = parity == EVEN ? 1 : 0;
    ladder_climb(ladder);
}

static double ladder_next(struct ladder *ladder)
{
    const struct equation equation = {ladder->beam, ladder->parity};
    const double low = ladder->rung;
    ladder_climb(ladder);
    return wp_root_find(free_determinant, &equation, low, ladder->rung);
}

static void free_roots(const struct wp_beam *beam, struct wp_beam_root *roots, size_t n_roots)
{
    struct ladder even, odd;
    ladder_init(&even, beam, EVEN);
    ladder_init(&odd, beam, ODD);
    double next_even = ladder_next(&even);
    double next_odd = ladder_next(&odd);
    for (size_t i = 0; i < n_roots; i++) {
        if (next_even < next_odd) {
            roots[i] = (struct wp_beam_root){next_even, true};
            next_even = ladder_next(&even);
        } else {
            roots[i] = (struct wp_beam_root){next_odd, false};
            next_odd = ladder_next(&odd);
        }
    }
}

void wp_beam_init(struct wp_beam *beam, const struct wp_section *section, double end_mass_kg)
{
    const double length2 = section->length_m * section->length_m;
    const double bending = section->young_modulus_pa * section->second_moment_m4;
    const double shearing =
        section->shear_coefficient * section->shear_modulus_pa * section->area_m2;
    beam->rotary = section->second_moment_m4 / (section->area_m2 * length2);
    beam->shear = bending / (shearing * length2);
    beam->end_mass = end_mass_kg / section->bare_mass_kg;
    beam->end_depth = 0.0;
    beam->end_rotary = 0.0;
    beam->unit_hz = sqrt(bending / section->mass_kg_m) / (2.0 * M_PI * length2);
}

void wp_beam_set_plug(struct wp_beam *beam, const struct wp_section *section, double length_m)
{
    const double radius = section->inner_radius_m / section->length_m;
    const double length = length_m / section->length_m;
    beam->end_depth = 0.5 * length;
    beam->end_rotary = 0.25 * radius * radius + length * length / 12.0;
}

/*
 * Roots with a body at the end, from those without it or with less of it. A mass, or a moment of
 * inertia, adds one square to the kinetic energy: by Rayleigh's theorem every root falls, but not
 * past the next lower one. Even an endless one of both takes the first no lower than a cantilever,
 * to 0.157 of it.
 */
static void lower_roots(const struct wp_beam *beam, struct wp_beam_root *roots, size_t n_roots)
{
    const struct equation equation = {beam, EVEN};
    double low = 0.1 * roots[0].b;
    for (size_t i = 0; i < n_roots; i++) {
        const double high = roots[i].b;
        roots[i].b = wp_root_find(loaded_determinant, &equation, low, high);
        low = high;
    }
}

void wp_beam_roots(const struct wp_beam *beam, struct wp_beam_root *roots, size_t n_roots)
{
    free_roots(beam, roots, n_roots);
    if (beam->end_mass <= 0.0) {
        return;
    }
    struct wp_beam without_rotary = *beam;
    without_rotary.end_rotary = 0.0;
    lower_roots(&without_rotary, roots, n_roots);
    if (beam->end_rotary > 0.0) {
        lower_roots(beam, roots, n_roots);
    }
}

static struct pair weighted(const struct matrix *m, struct pair v)
{
    return (struct pair){m->a[0][0] * v.first + m->a[0][1] * v.second,
                         m->a[1][0] * v.first + m->a[1][1] * v.second};
}

/* Weights of the even and the odd solutions of a mode, up to a factor. */
static void mode_weights(const struct wp_beam *beam, const struct state *st,
                         struct wp_beam_root root, struct pair *even, struct pair *odd)
{
    const struct pair none = {0.0, 0.0};
    if (beam->end_mass <= 0.0) {
        *even = root.is_even ? moment_free(st, EVEN) : none;
        *odd = root.is_even ? none : moment_free(st, ODD);
        return;
    }
    struct loaded ld;
    loaded_init(&ld, beam, st, root.b);
    const struct matrix turned = answer(&ld);
    const double poles = 2.0 * ld.even_det * ld.odd_det;
    /* t is what 2 - K R takes to nothing: across its rows, which say the same; the larger counts.
     */
    const struct pair rows[2] = {{turned.a[0][1], poles - turned.a[0][0]},
                                 {poles - turned.a[1][1], turned.a[1][0]}};
    const double sizes[2] = {fabs(rows[0].first) + fabs(rows[0].second),
                             fabs(rows[1].first) + fabs(rows[1].second)};
    const struct pair t = rows[sizes[1] > sizes[0]];
    const struct matrix to_even = adjugate(&ld.even.loaded);
    const struct matrix to_odd = adjugate(&ld.odd.loaded);
    *even = weighted(&to_even, t);
    *odd = weighted(&to_odd, t);
    even->first *= ld.odd_det;
    even->second *= ld.odd_det;
    odd->first *= -ld.even_det;
    odd->second *= -ld.even_det;
}

static struct pair scaled(struct pair weights, double scale)
{
    return (struct pair){weights.first * scale, weights.second * scale};
}

static double square(double x)
{
    return x * x;
}

/* Adds the shape's weights, and the rotation's, of the even and the odd part of a mode. */
static void set_weights(struct wp_beam_mode *mode, const struct state *st, struct pair even,
                        struct pair odd)
{
    const struct wp_wave *w = &st->wave;
    const double alpha = fmax(w->alpha, 1e-9); /* exactly at the cut-off: a limit */
    struct wp_shape *shape = &mode->shape;
    shape->root[0] = alpha;
    shape->root[1] = w->beta;
    shape->is_past_cutoff = w->alpha2 <= 0.0;
    shape->factor[0] = even.first;
    shape->factor[1] = even.second;
    shape->factor[2] = shape->is_past_cutoff ? -odd.first * alpha : odd.first * alpha;
    shape->factor[3] = odd.second / w->beta;
    mode->turn[0] = odd.first * st->first;
    mode->turn[1] = odd.second * st->second / square(w->beta);
    mode->turn[2] = even.first * st->first / alpha;
    mode->turn[3] = -even.second * st->second / w->beta;
}

/* Integral of (first u + second v)^2 from the integrals of uu, uv and vv. */
static double square_integral(struct pair weights, double uu, double uv, double vv)
{
    return square(weights.first) * uu + 2.0 * weights.first * weights.second * uv +
           square(weights.second) * vv;
}

/* Integrals over the beam of the squares of deflection and rotation. */
static struct pair mode_integrals(const struct state *st, struct pair even, struct pair odd)
{
    const struct wp_wave *w = &st->wave;
    struct wp_wave_products p;
    wp_wave_products_init(&p, w);
    const struct pair odd_deflection = {odd.first * w->alpha2, odd.second};
    const struct pair even_turn = {even.first * st->first, -even.second * st->second};
    const struct pair odd_turn = {odd.first * st->first, odd.second * st->second / square(w->beta)};
    return (struct pair){
        square_integral(even, p.cosh_cosh, p.cosh_cos, p.cos_cos) +
            square_integral(odd_deflection, p.sinhc_sinhc, p.sinhc_sinc, p.sinc_sinc),
        square_integral(odd_turn, p.cosh_cosh, p.cosh_cos, p.cos_cos) +
            square_integral(even_turn, p.sinhc_sinhc, p.sinhc_sinc, p.sinc_sinc)};
}

/* Twice the kinetic energy of the body at the top end, in masses of the beam. */
static double end_energy(const struct wp_beam *beam, const struct ends *even_ends,
                         const struct ends *odd_ends, struct pair even, struct pair odd)
{
    const struct pair symmetric = weighted(&even_ends->moved, even);
    const struct pair skew = weighted(&odd_ends->moved, odd);
    const double deflection = symmetric.first - skew.first;
    const double turn = skew.second - symmetric.second;
    return beam->end_mass *
           (square(deflection + beam->end_depth * turn) + beam->end_rotary * square(turn));
}

void wp_beam_mode_init(struct wp_beam_mode *mode, const struct wp_beam *beam,
                       struct wp_beam_root root)
{
    struct state st;
    struct pair even, odd;
    state_init(&st, beam, root.b);
    mode_weights(beam, &st, root, &even, &odd);
    const struct ends even_ends = end_values(&st, EVEN);
    const struct ends odd_ends = end_values(&st, ODD);
    const double bottom =
        weighted(&even_ends.moved, even).first + weighted(&odd_ends.moved, odd).first;
    const struct pair squares = mode_integrals(&st, even, odd);
    const double whole = squares.first + beam->rotary * squares.second +
                         end_energy(beam, &even_ends, &odd_ends, even, odd);
    const double scale = copysign(sqrt((1.0 + beam->end_mass) / whole), bottom);
    set_weights(mode, &st, scaled(even, scale), scaled(odd, scale));
    mode->translation_share = squares.first / whole;
}

double wp_beam_turn_at(const struct wp_beam_mode *mode, double xi)
{
    double functions[4];
    wp_wave_functions(&mode->shape, xi, functions);
    return mode->turn[0] * functions[0] + mode->turn[1] * functions[1] +
           mode->turn[2] * functions[2] + mode->turn[3] * functions[3];
}
