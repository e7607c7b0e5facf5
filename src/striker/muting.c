/* SPDX-License-Identifier: MIT */
/* What a blow and a resting striker take away from partials that ring. */
#include "striker/muting.h"

#include <complex.h>
#include <math.h>
#include <stdbool.h>
#include <stddef.h>
#include <string.h>

#include "base/clones.h"
#include "base/quad.h"
#include "base/series.h"
#include "striker/mobility.h"
#include "striker/wall.h"

static const double pi = 0x1.921fb54442d18p+1;
static const double gravity_m_s2 = 9.80665;

enum { LANES = WP_MUTING_LANES, QUADS = LANES / 4, ROW_MAX = WP_MUTING_ROW_MAX, ROUNDS = 16 };
enum { CELLS_MAX = WP_MUTING_CELLS_MAX };
_Static_assert(CELLS_MAX % 4 == 0, "cells come in fours");

/* Partials up to so many cycles in a contact are followed through it; a cell is an eighth of the
 * fastest one's cycle. For faster ones the contact is a slow change of what they work against. */
static const double cycles_max = 4.0;

static const double typical_weights = 0.3;

/* A contact about its present depth, as spring and damper; k = dF/dd, c = dF/dd'. */
struct grip {
    double stiffness_n_m;
    double loss_kg_s;
};

/* The law F = hertz d^exponent (1 + loss d') read back from a contact that was solved by it. */
struct law {
    double hertz;
    double exponent;
    double loss_s_m;
};

/* The largest depth's sample tells it best. */
static struct law law_of(const struct wp_contact *contact, const struct wp_striker *striker)
{
    struct law law = {0.0, 1.5 + striker->stiffening, striker->loss_s_m};
    size_t deepest = 0;
    for (size_t i = 1; i < contact->n_forces; i++) {
        deepest = contact->depth_m[i] > contact->depth_m[deepest] ? i : deepest;
    }
    const double depth_m = contact->depth_m[deepest];
    const double before_m = deepest > 0 ? contact->depth_m[deepest - 1] : 0.0;
    const double gain = 1.0 + law.loss_s_m * (depth_m - before_m) / contact->step_s;
    law.hertz = contact->force_n[deepest] / (gain * pow(depth_m, law.exponent));
    return law;
}

/* The contact in cells of equal length, each with the mean of its steps. */
struct course {
    size_t n_cells;
    double cell_s;
    double first_s;                  /* from the touch to the middle of the first cell */
    double compliance;               /* of the wall, m/N */
    double mobility_kg;              /* of striker and rigid tube against each other, 1/kg */
    double stiffness_n_m[CELLS_MAX]; /* the grip of each cell; 0 past the last */
    double loss_kg_s[CELLS_MAX];
};

static void course_init(struct course *course, const struct wp_contact *contact,
                        const struct wp_striker *striker, const struct wp_tube *tube,
                        double height_m)
{
    const struct law law = law_of(contact, striker);
    const size_t n_steps = (contact->n_forces + CELLS_MAX - 1) / CELLS_MAX;
    *course = (struct course){
        .n_cells = (contact->n_forces + n_steps - 1) / n_steps,
        .cell_s = (double)n_steps * contact->step_s,
        .first_s = 0.5 * (double)(n_steps + 1) * contact->step_s,
        .compliance = wp_wall_compliance(&tube->spec, height_m),
        .mobility_kg = 1.0 / striker->mass_kg + wp_tube_mobility(tube, height_m),
    };
    for (size_t cell = 0; cell < course->n_cells; cell++) {
        const size_t first = cell * n_steps;
        const size_t end =
            first + n_steps < contact->n_forces ? first + n_steps : contact->n_forces;
        double stiffness = 0.0;
        double depth_m = 0.0;
        for (size_t i = first; i < end; i++) {
            stiffness += contact->force_n[i] / contact->depth_m[i];
            depth_m += contact->depth_m[i];
        }
        depth_m /= (double)n_steps;
        const double further = law.exponent > 1.5 ? pow(depth_m, law.exponent - 1.5) : 1.0;
        course->stiffness_n_m[cell] = law.exponent * stiffness / (double)n_steps;
        course->loss_kg_s[cell] = law.loss_s_m * law.hertz * depth_m * sqrt(depth_m) * further;
    }
}

/*
 * Sum over the cells of the resistance against which a partial of frequency omega works: the real
 * part of the impedance of contact, wall and striker's mass, one behind the other. 1/Z = i omega (C
 * + 1/(k + i omega c)) + 1/(i omega m), here times |k + i omega c|^2.
 */
WP_CLONED
static double resistance(const struct course *course, double compliance, double mass_kg,
                         double omega)
{
    static const double nothing = 1e-300; /* keeps cells without a grip from 0 / 0 */
    wp_quad sum = {0.0};
    for (size_t i = 0; i < CELLS_MAX; i += 4) {
        const wp_quad k = *wp_quad_of(&course->stiffness_n_m[i]);
        const wp_quad loss = omega * *wp_quad_of(&course->loss_kg_s[i]);
        const wp_quad square = k * k + loss * loss;
        const wp_quad real = omega * loss;
        const wp_quad imaginary =
            omega * (compliance * square + k) - square * (1.0 / (omega * mass_kg));
        sum += real * square / (real * real + imaginary * imaginary + nothing);
    }
    return (sum[0] + sum[1]) + (sum[2] + sum[3]);
}

/* A partial that has this shape at the contact. */
static struct wp_ringing ringing_of(const struct wp_tube *tube, size_t index, double shape)
{
    return (struct wp_ringing){index, 2.0 * pi * tube->partials[index].freq_hz,
                               shape * shape / tube->mass_kg};
}

/* An ovalling partial is a part of what the wall gives way: the rest of that. */
static double compliance_beside(const struct wp_tube *tube, const struct wp_ringing *partial,
                                double compliance)
{
    const bool is_wall = tube->partials[partial->index].family == WP_OVALLING;
    const double own = partial->mobility_kg / (partial->omega * partial->omega);
    return is_wall ? fmax(compliance - own, 0.0) : compliance;
}

WP_CLONED
static void turn_all(double *restrict cosines, double *restrict sines, const double *restrict omega,
                     double t_s, size_t n)
{
    for (size_t p = 0; p < n; p++) {
        wp_series_circle(omega[p] * t_s, &cosines[p], &sines[p]);
    }
}

static void follow(struct wp_muting_work *followed, struct course *course,
                   const struct wp_tube *tube, const double *shape)
{
    const double max_hz = cycles_max / ((double)course->n_cells * course->cell_s);
    double omega[ROW_MAX];
    followed->n_real = 0;
    for (size_t i = 0; i < tube->n_partials; i++) {
        if (tube->partials[i].freq_hz <= max_hz) {
            const struct wp_ringing partial = ringing_of(tube, i, shape[i]);
            const size_t p = followed->n_real++;
            course->compliance = compliance_beside(tube, &partial, course->compliance);
            followed->partials[p] = partial;
            followed->gives_s_kg[p] = partial.mobility_kg / partial.omega;
            omega[p] = partial.omega;
        }
    }
    followed->n = (followed->n_real + LANES - 1) / LANES * LANES;
    for (size_t p = followed->n_real; p < followed->n; p++) {
        followed->gives_s_kg[p] = 0.0;
        omega[p] = 0.0;
    }
    turn_all(followed->cos_cell, followed->sin_cell, omega, course->cell_s, followed->n);
    turn_all(followed->cos_touch, followed->sin_touch, omega, -course->first_s, followed->n);
}

/* Displacement by an impulse of 1 N s, so many cells after it: of the rigid bodies and of all
 * partials, whose sines go on by 2 cos_cell times the last less the one before. */
WP_CLONED
static void respond(double *restrict response, const struct wp_muting_work *restrict followed,
                    const struct course *restrict course)
{
    wp_quad sums[CELLS_MAX] = {{0.0}};
    for (size_t p = 0; p < followed->n; p += 4) {
        const wp_quad twice = 2.0 * *wp_quad_of(&followed->cos_cell[p]);
        wp_quad now = {0.0};
        wp_quad before =
            -*wp_quad_of(&followed->gives_s_kg[p]) * *wp_quad_of(&followed->sin_cell[p]);
        for (size_t cell = 0; cell < course->n_cells; cell++) {
            const wp_quad next = twice * now - before;
            sums[cell] += now;
            before = now;
            now = next;
        }
    }
    for (size_t cell = 0; cell < course->n_cells; cell++) {
        const wp_quad *sum = &sums[cell];
        response[cell] = (double)cell * course->cell_s * course->mobility_kg +
                         ((*sum)[0] + (*sum)[1]) + ((*sum)[2] + (*sum)[3]);
    }
}

/* The force of a cell by how far contact and wall are pressed in it, less by the depth in the cell
 * before, and by that in the one before this. */
struct answer {
    double pressed;
    double before;
    double earlier;
};

/* f = k d + c d', the contact's depth d being what is pressed less C f; d' by differences
 * backwards, of second order from the third cell on. */
static struct answer answer_of(const struct course *course, size_t cell)
{
    const double loss = course->loss_kg_s[cell] / (cell > 0 ? course->cell_s : course->first_s);
    const double now = cell > 1 ? 1.5 : 1.0;
    const double earlier = cell > 1 ? 0.5 : 0.0;
    const double slope = course->stiffness_n_m[cell] + now * loss;
    const double scale = 1.0 / (1.0 + course->compliance * slope);
    return (struct answer){scale * slope, scale * loss * (now + earlier), scale * loss * earlier};
}

/* The course as a linear equation of Volterra, the same for every partial. */
struct equation {
    size_t n_cells;
    double compliance;
    double gives[CELLS_MAX]; /* displacement by a force of 1 N in a cell so many cells before */
    struct answer answers[CELLS_MAX];
};

static void equation_init(struct equation *equation, const struct wp_muting_work *followed,
                          const struct course *course)
{
    double response[CELLS_MAX];
    respond(response, followed, course);
    equation->n_cells = course->n_cells;
    equation->compliance = course->compliance;
    for (size_t cell = 0; cell < course->n_cells; cell++) {
        equation->gives[cell] = course->cell_s * response[cell];
        equation->answers[cell] = answer_of(course, cell);
    }
}

/* Solves it cell by cell for the partials from p on in all lanes, each ringing with z = 1 and, in
 * the second half of the rows, with z = i; sums up what the force does to them. */
WP_CLONED
static void pass_through(struct wp_muting_work *restrict followed,
                         const struct equation *restrict equation, size_t p)
{
    enum { ROW = 2 * QUADS };
    wp_quad z[ROW];
    wp_quad touch[ROW];
    wp_quad force[CELLS_MAX][ROW];
    wp_quad depth[2][ROW] = {{{0.0}}};
    wp_quad straight[ROW] = {{0.0}};
    wp_quad turned[ROW] = {{0.0}};
    for (size_t q = 0; q < QUADS; q++) {
        z[q] = (wp_quad){1.0, 1.0, 1.0, 1.0};
        z[QUADS + q] = (wp_quad){0.0};
        touch[q] = *wp_quad_of(&followed->cos_touch[p + 4 * q]);
        touch[QUADS + q] = *wp_quad_of(&followed->sin_touch[p + 4 * q]);
    }
    for (size_t cell = 0; cell < equation->n_cells; cell++) {
        const struct answer *answer = &equation->answers[cell];
        wp_quad pressed[ROW];
        for (size_t q = 0; q < ROW; q++) {
            pressed[q] = touch[q] - z[q];
        }
        for (size_t j = 0; j < cell; j++) {
            for (size_t q = 0; q < ROW; q++) {
                pressed[q] -= equation->gives[cell - j] * force[j][q];
            }
        }
        for (size_t q = 0; q < ROW; q++) {
            const wp_quad f = answer->pressed * pressed[q] - answer->before * depth[0][q] +
                              answer->earlier * depth[1][q];
            depth[1][q] = depth[0][q];
            depth[0][q] = pressed[q] - equation->compliance * f;
            force[cell][q] = f;
        }
        for (size_t q = 0; q < QUADS; q++) {
            const wp_quad re = z[q];
            const wp_quad im = z[QUADS + q];
            const wp_quad by_re = force[cell][q];
            const wp_quad by_im = force[cell][QUADS + q];
            const wp_quad c = *wp_quad_of(&followed->cos_cell[p + 4 * q]);
            const wp_quad s = *wp_quad_of(&followed->sin_cell[p + 4 * q]);
            straight[q] += by_re * re + by_im * im;
            straight[QUADS + q] += by_im * re - by_re * im;
            turned[q] += by_re * re - by_im * im;
            turned[QUADS + q] -= by_im * re + by_re * im;
            z[q] = re * c - im * s;
            z[QUADS + q] = im * c + re * s;
        }
    }
    for (size_t q = 0; q < QUADS; q++) {
        *wp_quad_at(&followed->straight_re[p + 4 * q]) = straight[q];
        *wp_quad_at(&followed->straight_im[p + 4 * q]) = straight[QUADS + q];
        *wp_quad_at(&followed->turned_re[p + 4 * q]) = turned[q];
        *wp_quad_at(&followed->turned_im[p + 4 * q]) = turned[QUADS + q];
    }
}

/*
 * Energy of a partial after the contact over that before. With z the phasor of its displacement the
 * force is Re(z f), and the contact leaves A z + B z* of it: A = 1 + b / (2 i omega) int f
 * exp(-i omega t) dt, B the same with f* and without the 1. The mean over the phase of z is |A|^2 +
 * |B|^2. A contact whose stiffness comes and goes can also give energy to a partial; no more than
 * all is kept.
 */
static double energy_kept(const struct wp_muting_work *followed, const struct course *course,
                          size_t p)
{
    const double x = 0.5 * followed->gives_s_kg[p] * course->cell_s;
    const double re = x * followed->straight_re[p];
    const double im = 1.0 + x * followed->straight_im[p];
    const double turned_re = x * followed->turned_re[p];
    const double turned_im = x * followed->turned_im[p];
    return fmin(re * re + im * im + turned_re * turned_re + turned_im * turned_im, 1.0);
}

/* A partial that is fast against the contact loses by the resistance of each cell in turn. */
static double energy_of_fast(const struct course *course, double compliance, double mass_kg,
                             const struct wp_ringing *partial)
{
    const double sum = resistance(course, compliance, mass_kg, partial->omega);
    return exp(-partial->mobility_kg * course->cell_s * sum);
}

void wp_muting_blow(const struct wp_contact *contact, const struct wp_striker *striker,
                    const struct wp_tube *tube, double height_m, struct wp_muting_work *followed,
                    double *kept)
{
    struct course course;
    for (size_t i = 0; i < tube->n_partials; i++) {
        kept[i] = 1.0;
    }
    if (contact->n_forces == 0) {
        return;
    }
    course_init(&course, contact, striker, tube, height_m);
    follow(followed, &course, tube, contact->shape);
    struct equation equation;
    equation_init(&equation, followed, &course);
    for (size_t p = 0; p < followed->n; p += LANES) {
        pass_through(followed, &equation, p);
    }
    size_t p = 0;
    for (size_t i = 0; i < tube->n_partials; i++) {
        if (p < followed->n_real && followed->partials[p].index == i) {
            kept[i] = energy_kept(followed, &course, p++);
            continue;
        }
        const struct wp_ringing fast = ringing_of(tube, i, contact->shape[i]);
        const double compliance = compliance_beside(tube, &fast, course.compliance);
        kept[i] = energy_of_fast(&course, compliance, striker->mass_kg, &fast);
    }
}

double wp_muting_force(const struct wp_striker *striker)
{
    return typical_weights * striker->mass_kg * gravity_m_s2;
}

/* Contact and striker under a partial, with the wall between them. */
struct load {
    struct grip grip;
    double mass_kg;
};

/*
 * Decay of a partial that carries the load, by Newton's method on (s^2 + omega^2) + b s Z(s) = 0,
 * in which Z(s) is written as m s (k + c s) / P(s), from s = i omega on. Far from the striker's own
 * resonance on its contact this is b Re Z / 2; near it the two share their decay, and what the
 * partial loses is bounded by what the striker can lose.
 */
static double loaded_decay(const struct load *load, double compliance,
                           const struct wp_ringing *partial)
{
    const double omega = partial->omega;
    const double b = partial->mobility_kg;
    const double k = load->grip.stiffness_n_m;
    const double c = load->grip.loss_kg_s;
    const double m = load->mass_kg;
    double complex s = omega * (double complex)I; /* clang 14 has no CMPLX with glibc */
    for (int round = 0; round < ROUNDS; round++) {
        const double complex contact = k + c * s;
        const double complex gives = compliance * contact + 1.0;
        const double complex p = m * s * s * gives + contact;
        const double complex p_slope = 2.0 * m * s * gives + m * s * s * compliance * c + c;
        const double complex alone = s * s + omega * omega;
        const double complex value = alone * p + b * m * s * s * contact;
        const double complex slope =
            2.0 * s * p + alone * p_slope + b * m * s * (2.0 * k + 3.0 * c * s);
        const double complex step = value / slope;
        s -= step;
        if (cabs(step) < 1e-9 * omega) {
            break;
        }
    }
    return fmin(fmax(-creal(s), 0.0), omega);
}

void wp_muting_rest(const struct wp_striker *striker, const struct wp_tube *tube, double height_m,
                    double force_n, double *added_per_s)
{
    static const double any_speed_m_s = 0.3; /* only the law is read from this contact */
    struct wp_contact contact;
    wp_contact_solve(&contact, striker, tube, height_m, any_speed_m_s);
    if (contact.n_forces == 0) {
        memset(added_per_s, 0, tube->n_partials * sizeof *added_per_s);
        return;
    }
    const struct law law = law_of(&contact, striker);
    const double depth_m = pow(force_n / law.hertz, 1.0 / law.exponent);
    const struct load load = {
        .grip = {law.exponent * force_n / depth_m, law.loss_s_m * force_n},
        .mass_kg = striker->mass_kg,
    };
    const double wall = wp_wall_compliance(&tube->spec, height_m);
    for (size_t i = 0; i < tube->n_partials; i++) {
        const struct wp_ringing partial = ringing_of(tube, i, contact.shape[i]);
        added_per_s[i] = loaded_decay(&load, compliance_beside(tube, &partial, wall), &partial);
    }
}
