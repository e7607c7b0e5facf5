/* SPDX-License-Identifier: MIT */
/* What a blow and a resting striker take away from partials that ring. */
#include "striker/muting.h"

#include <complex.h>
#include <math.h>
#include <stdbool.h>
#include <stddef.h>
#include <string.h>

#include "base/clones.h"
#include "striker/mobility.h"
#include "striker/wall.h"

static const double pi = 0x1.921fb54442d18p+1;
static const double gravity_m_s2 = 9.80665;

enum { LANES = WP_MUTING_LANES, ROW_MAX = WP_MUTING_ROW_MAX, ROUNDS = 16 };

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
    double first_s;     /* from the touch to the middle of the first cell */
    double compliance;  /* of the wall, m/N */
    double mobility_kg; /* of striker and rigid tube against each other, 1/kg */
    struct grip cells[WP_MUTING_CELLS_MAX];
};

static void course_init(struct course *course, const struct wp_contact *contact,
                        const struct wp_striker *striker, const struct wp_tube *tube,
                        double height_m)
{
    const struct law law = law_of(contact, striker);
    const size_t n_steps = (contact->n_forces + WP_MUTING_CELLS_MAX - 1) / WP_MUTING_CELLS_MAX;
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
        course->cells[cell].stiffness_n_m = law.exponent * stiffness / (double)n_steps;
        course->cells[cell].loss_kg_s =
            law.loss_s_m * law.hertz * depth_m * sqrt(depth_m) * further;
    }
}

/*
 * Resistance against which a partial of frequency omega works: the real part of the impedance of
 * contact, wall and striker's mass, one behind the other. 1/Z = i omega (C + 1/(k + i omega c)) +
 * 1/(i omega m).
 */
static double resistance(const struct grip *grip, double compliance, double mass_kg, double omega)
{
    const double k = grip->stiffness_n_m;
    const double loss = grip->loss_kg_s * omega;
    const double square = k * k + loss * loss;
    if (!(square > 0.0)) {
        return 0.0;
    }
    const double real = omega * loss / square;
    const double imaginary = omega * (compliance + k / square) - 1.0 / (omega * mass_kg);
    return real / (real * real + imaginary * imaginary);
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

/* Cosines and sines of omega t up to some 1.5 by their series, to 1e-9: many at once. */
WP_CLONED
static void turn_all(double *restrict cosines, double *restrict sines, const double *restrict omega,
                     double t_s, size_t n)
{
    for (size_t p = 0; p < n; p++) {
        const double x = omega[p] * t_s;
        const double y = x * x;
        double c = 1.0;
        double s = 1.0;
        for (int k = 7; k > 0; k--) {
            c = 1.0 - c * y / (double)((2 * k - 1) * 2 * k);
            s = 1.0 - s * y / (double)(2 * k * (2 * k + 1));
        }
        cosines[p] = c;
        sines[p] = x * s;
    }
}

static void follow(struct wp_muting_work *followed, struct course *course,
                   const struct wp_tube *tube, const double *shape)
{
    const double max_hz = cycles_max / ((double)course->n_cells * course->cell_s);
    memset(followed, 0, offsetof(struct wp_muting_work, force));
    for (size_t i = 0; i < tube->n_partials; i++) {
        if (tube->partials[i].freq_hz <= max_hz) {
            const struct wp_ringing partial = ringing_of(tube, i, shape[i]);
            course->compliance = compliance_beside(tube, &partial, course->compliance);
            followed->partials[followed->n_real++] = partial;
        }
    }
    const size_t n = (followed->n_real + LANES - 1) / LANES * LANES;
    followed->n = n;
    memset(followed->force, 0, (course->n_cells + LANES) * 2 * n * sizeof followed->force[0]);
    double omega[ROW_MAX] = {0.0};
    for (size_t p = 0; p < followed->n_real; p++) {
        omega[p] = followed->partials[p].omega;
        followed->gives_s_kg[p] = followed->partials[p].mobility_kg / omega[p];
        followed->z[p] = 1.0;
    }
    turn_all(followed->cos_cell, followed->sin_cell, omega, course->cell_s, n);
    turn_all(&followed->at_touch[0], &followed->at_touch[n], omega, -course->first_s, n);
    for (size_t p = followed->n_real; p < n; p++) {
        followed->at_touch[p] = 0.0;
    }
}

WP_CLONED
static void turn(double *restrict z, const struct wp_muting_work *restrict followed)
{
    const size_t n = followed->n;
    for (size_t p = 0; p < n; p++) {
        const double re = z[p];
        const double im = z[n + p];
        z[p] = re * followed->cos_cell[p] - im * followed->sin_cell[p];
        z[n + p] = im * followed->cos_cell[p] + re * followed->sin_cell[p];
    }
}

static double respond(const struct wp_muting_work *followed, const struct course *course,
                      size_t cell)
{
    double sums[LANES] = {0.0};
    for (size_t p = 0; p < followed->n; p += LANES) {
        for (size_t lane = 0; lane < LANES; lane++) {
            sums[lane] += followed->gives_s_kg[p + lane] * followed->z[followed->n + p + lane];
        }
    }
    return (double)cell * course->cell_s * course->mobility_kg + (sums[0] + sums[1]) +
           (sums[2] + sums[3]);
}

/* sum -= gives[0] force + gives[1] (force of the next row) + ... of LANES rows of n. */
WP_CLONED
static void give_way(double *restrict sum, const double *restrict force,
                     const double *restrict gives, size_t n)
{
    for (size_t q = 0; q < n; q++) {
        sum[q] -= (gives[0] * force[q] + gives[1] * force[n + q]) +
                  (gives[2] * force[2 * n + q] + gives[3] * force[3 * n + q]);
    }
}

/* How far contact and wall are pressed in a cell, by the ringing and by all forces before, which
 * are 0 from this cell on. */
static void press(double *restrict pressed, const struct wp_muting_work *followed,
                  const struct course *course, size_t cell)
{
    const size_t n_row = 2 * followed->n;
    for (size_t q = 0; q < n_row; q++) {
        pressed[q] = followed->at_touch[q] - followed->z[q];
    }
    for (size_t j = 0; j < cell; j += LANES) {
        double gives[LANES];
        for (size_t lane = 0; lane < LANES; lane++) {
            const size_t since = j + lane < cell ? cell - j - lane : 0;
            gives[lane] = since > 0 ? course->cell_s * followed->response[since] : 0.0;
        }
        give_way(pressed, &followed->force[j * n_row], gives, n_row);
    }
}

/* f = k d + c d', the contact's depth d being what is pressed less C f; d' by differences
 * backwards, of second order from the third cell on. */
WP_CLONED
static void answer(struct wp_muting_work *restrict followed, const double *restrict pressed,
                   const struct course *restrict course, size_t cell)
{
    const struct grip *grip = &course->cells[cell];
    const double loss = grip->loss_kg_s / (cell > 0 ? course->cell_s : course->first_s);
    const double now = cell > 1 ? 1.5 : 1.0;
    const double earlier = cell > 1 ? 0.5 : 0.0;
    const double slope = grip->stiffness_n_m + now * loss;
    const double scale = 1.0 / (1.0 + course->compliance * slope);
    double *restrict row = &followed->force[cell * 2 * followed->n];
    for (size_t q = 0; q < 2 * followed->n; q++) {
        const double before = followed->depth[0][q];
        const double was = (now + earlier) * before - earlier * followed->depth[1][q];
        const double force = scale * (slope * pressed[q] - loss * was);
        followed->depth[1][q] = before;
        followed->depth[0][q] = pressed[q] - course->compliance * force;
        row[q] = force;
    }
}

WP_CLONED
static void gather(struct wp_muting_work *restrict followed, size_t cell)
{
    const size_t n = followed->n;
    const double *restrict row = &followed->force[cell * 2 * n];
    for (size_t p = 0; p < n; p++) {
        const double c = followed->z[p];
        const double s = followed->z[n + p];
        followed->straight[p] += row[p] * c + row[n + p] * s;
        followed->straight[n + p] += row[n + p] * c - row[p] * s;
        followed->turned[p] += row[p] * c - row[n + p] * s;
        followed->turned[n + p] -= row[n + p] * c + row[p] * s;
    }
}

/* A linear equation of Volterra for each partial, cell by cell. */
static void pass_through(struct wp_muting_work *followed, const struct course *course)
{
    double pressed[2 * ROW_MAX];
    for (size_t cell = 0; cell < course->n_cells; cell++) {
        followed->response[cell] = respond(followed, course, cell);
        press(pressed, followed, course, cell);
        answer(followed, pressed, course, cell);
        gather(followed, cell);
        turn(followed->z, followed);
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
    const double re = x * followed->straight[p];
    const double im = 1.0 + x * followed->straight[followed->n + p];
    const double turned_re = x * followed->turned[p];
    const double turned_im = x * followed->turned[followed->n + p];
    return fmin(re * re + im * im + turned_re * turned_re + turned_im * turned_im, 1.0);
}

/* A partial that is fast against the contact loses by the resistance of each cell in turn. */
static double energy_of_fast(const struct course *course, double compliance, double mass_kg,
                             const struct wp_ringing *partial)
{
    double sum = 0.0;
    for (size_t i = 0; i < course->n_cells; i++) {
        sum += resistance(&course->cells[i], compliance, mass_kg, partial->omega);
    }
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
    pass_through(followed, &course);
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
