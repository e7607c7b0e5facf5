/* SPDX-License-Identifier: MIT */
/* What a blow and a resting striker take away from partials that ring. */
#include "striker/muting.h"

#include <complex.h>
#include <math.h>
#include <stddef.h>
#include <string.h>

#include "striker/mobility.h"
#include "striker/wall.h"

static const double pi = 0x1.921fb54442d18p+1;
static const double gravity_m_s2 = 9.80665;

enum {
    CELLS_MAX = 32, /* of a contact; twice as many change a partial's energy by less than 2 % */
    COLUMNS_MAX = 2 * WP_PARTIALS_MAX,
    LANES = 4,
    ROUNDS = 16,
};

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
    struct grip cells[CELLS_MAX];
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
    double depth_m[CELLS_MAX] = {0.0};
    for (size_t i = 0; i < contact->n_forces; i++) {
        const double slope = law.exponent * contact->force_n[i] / contact->depth_m[i];
        course->cells[i / n_steps].stiffness_n_m += slope / (double)n_steps;
        depth_m[i / n_steps] += contact->depth_m[i] / (double)n_steps;
    }
    for (size_t i = 0; i < course->n_cells; i++) {
        course->cells[i].loss_kg_s = law.loss_s_m * law.hertz * pow(depth_m[i], law.exponent);
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

/* A partial in the contact; mobility is W^2 / M at the struck point. */
struct ringing {
    size_t index;
    double omega;
    double mobility_kg;
};

/*
 * Partials that are followed, and how all of them and the bodies together give way: displacement
 * j cells after an impulse of 1 N s. Ovalling partials are part of the wall's compliance unless
 * they are followed one by one.
 */
struct system {
    size_t n_followed;
    struct ringing followed[WP_PARTIALS_MAX];
    double response[CELLS_MAX];
};

static void add_response(struct system *system, const struct ringing *partial,
                         const struct course *course)
{
    const double c = cos(partial->omega * course->cell_s);
    const double s = sin(partial->omega * course->cell_s);
    double re = partial->mobility_kg / partial->omega;
    double im = 0.0;
    for (size_t j = 0; j < course->n_cells; j++) {
        const double before = re;
        system->response[j] += im;
        re = re * c - im * s;
        im = im * c + before * s;
    }
}

static void system_init(struct system *system, struct course *course, const struct wp_tube *tube,
                        double height_m)
{
    const double xi = 1.0 - height_m / tube->spec.length_m;
    const double max_hz = cycles_max / ((double)course->n_cells * course->cell_s);
    system->n_followed = 0;
    for (size_t j = 0; j < course->n_cells; j++) {
        system->response[j] = (double)j * course->cell_s * course->mobility_kg;
    }
    for (size_t i = 0; i < tube->n_partials; i++) {
        if (tube->partials[i].freq_hz > max_hz) {
            continue;
        }
        const double shape = wp_shape_at(&tube->partials[i].shape, xi);
        struct ringing *partial = &system->followed[system->n_followed++];
        *partial = (struct ringing){i, 2.0 * pi * tube->partials[i].freq_hz,
                                    shape * shape / tube->mass_kg};
        add_response(system, partial, course);
        if (tube->partials[i].family != WP_BENDING) {
            const double own = partial->mobility_kg / (partial->omega * partial->omega);
            course->compliance = fmax(course->compliance - own, 0.0);
        }
    }
}

/*
 * Change of the force by partials that ring with amplitude 1: columns cos and sin of each. The blow
 * begins where the striker meets the tube's surface, so only what that moves from there on counts;
 * that it meets a tube which rings a little earlier or later is nobody's loss.
 */
struct answer {
    size_t n_columns;
    double at_touch[COLUMNS_MAX];
    double ringing[CELLS_MAX][COLUMNS_MAX];
    double force[CELLS_MAX][COLUMNS_MAX];
};

static void ring(struct answer *answer, const struct system *system, const struct course *course)
{
    answer->n_columns = (2 * system->n_followed + LANES - 1) / LANES * LANES;
    memset(answer->at_touch, 0, sizeof answer->at_touch);
    memset(answer->ringing, 0, course->n_cells * sizeof answer->ringing[0]);
    for (size_t p = 0; p < system->n_followed; p++) {
        const double omega = system->followed[p].omega;
        const double c = cos(omega * course->cell_s);
        const double s = sin(omega * course->cell_s);
        answer->at_touch[2 * p] = cos(omega * course->first_s);
        answer->at_touch[2 * p + 1] = -sin(omega * course->first_s);
        double re = 1.0;
        double im = 0.0;
        for (size_t i = 0; i < course->n_cells; i++) {
            const double before = re;
            answer->ringing[i][2 * p] = re;
            answer->ringing[i][2 * p + 1] = im;
            re = re * c - im * s;
            im = im * c + before * s;
        }
    }
}

/* How far contact and wall are pressed in a cell, by the ringing and by all forces before. */
static void press(double *restrict pressed, const struct answer *answer,
                  const struct system *system, const struct course *course, size_t cell)
{
    const size_t n = answer->n_columns;
    for (size_t q = 0; q < n; q++) {
        pressed[q] = answer->at_touch[q] - answer->ringing[cell][q];
    }
    for (size_t j = 0; j < cell; j++) {
        const double gives = course->cell_s * system->response[cell - j];
        const double *restrict force = answer->force[j];
        for (size_t q = 0; q < n; q++) {
            pressed[q] -= gives * force[q];
        }
    }
}

/*
 * f = k d + c d' with the contact's depth d = pressed - C f: a linear equation of Volterra for each
 * column, cell by cell. d' by differences backwards, of second order from the third cell on.
 */
static void solve(struct answer *answer, const struct system *system, const struct course *course)
{
    double pressed[COLUMNS_MAX];
    double before[2][COLUMNS_MAX] = {{0.0}, {0.0}};
    for (size_t i = 0; i < course->n_cells; i++) {
        press(pressed, answer, system, course, i);
        const struct grip *grip = &course->cells[i];
        const double loss = grip->loss_kg_s / (i > 0 ? course->cell_s : course->first_s);
        const double now = i > 1 ? 1.5 : 1.0;
        const double earlier = i > 1 ? 0.5 : 0.0;
        const double slope = grip->stiffness_n_m + now * loss;
        const double scale = 1.0 / (1.0 + course->compliance * slope);
        for (size_t q = 0; q < answer->n_columns; q++) {
            const double was = (now + earlier) * before[0][q] - earlier * before[1][q];
            const double force = scale * (slope * pressed[q] - loss * was);
            before[1][q] = before[0][q];
            before[0][q] = pressed[q] - course->compliance * force;
            answer->force[i][q] = force;
        }
    }
}

/*
 * Energy of a partial after the contact over that before. With z the phasor of its displacement the
 * force is Re(z f), and the contact leaves A z + B z* of it: A = 1 + b / (2 i omega) int f
 * exp(-i omega t) dt, B the same with f* and without the 1. The mean over the phase of z is |A|^2 +
 * |B|^2. A contact whose stiffness comes and goes can also give energy to a partial; no more than
 * all is kept.
 */
static double energy_kept(const struct answer *answer, const struct system *system,
                          const struct course *course, size_t p)
{
    const struct ringing *partial = &system->followed[p];
    double straight[2] = {0.0, 0.0};
    double turned[2] = {0.0, 0.0};
    for (size_t i = 0; i < course->n_cells; i++) {
        const double c = answer->ringing[i][2 * p];
        const double s = answer->ringing[i][2 * p + 1];
        const double re = answer->force[i][2 * p];
        const double im = answer->force[i][2 * p + 1];
        straight[0] += re * c + im * s;
        straight[1] += im * c - re * s;
        turned[0] += re * c - im * s;
        turned[1] -= im * c + re * s;
    }
    const double x = 0.5 * partial->mobility_kg * course->cell_s / partial->omega;
    const double stays =
        (1.0 + x * straight[1]) * (1.0 + x * straight[1]) + x * straight[0] * x * straight[0];
    const double turns = x * x * (turned[0] * turned[0] + turned[1] * turned[1]);
    return fmin(stays + turns, 1.0);
}

/* A partial that is fast against the contact loses by the resistance of each cell in turn. */
static double energy_of_fast(const struct course *course, double mass_kg, double omega,
                             double mobility_kg)
{
    double sum = 0.0;
    for (size_t i = 0; i < course->n_cells; i++) {
        sum += resistance(&course->cells[i], course->compliance, mass_kg, omega);
    }
    return exp(-mobility_kg * course->cell_s * sum);
}

void wp_muting_blow(const struct wp_contact *contact, const struct wp_striker *striker,
                    const struct wp_tube *tube, double height_m, double *kept)
{
    const double xi = 1.0 - height_m / tube->spec.length_m;
    struct course course;
    struct system system;
    struct answer answer;
    for (size_t i = 0; i < tube->n_partials; i++) {
        kept[i] = 1.0;
    }
    if (contact->n_forces == 0) {
        return;
    }
    course_init(&course, contact, striker, tube, height_m);
    system_init(&system, &course, tube, height_m);
    ring(&answer, &system, &course);
    solve(&answer, &system, &course);
    size_t p = 0;
    for (size_t i = 0; i < tube->n_partials; i++) {
        if (p < system.n_followed && system.followed[p].index == i) {
            kept[i] = energy_kept(&answer, &system, &course, p++);
            continue;
        }
        const double shape = wp_shape_at(&tube->partials[i].shape, xi);
        kept[i] = energy_of_fast(&course, striker->mass_kg, 2.0 * pi * tube->partials[i].freq_hz,
                                 shape * shape / tube->mass_kg);
    }
}

double wp_muting_force(const struct wp_striker *striker)
{
    return typical_weights * striker->mass_kg * gravity_m_s2;
}

/* Striker, contact and wall under a partial. */
struct load {
    struct grip grip;
    double compliance;
    double mass_kg;
};

/*
 * Decay of a partial that carries the load, by Newton's method on (s^2 + omega^2) + b s Z(s) = 0,
 * in which Z(s) is written as m s (k + c s) / P(s), from s = i omega on. Far from the striker's own
 * resonance on its contact this is b Re Z / 2; near it the two share their decay, and what the
 * partial loses is bounded by what the striker can lose.
 */
static double loaded_decay(const struct load *load, double omega, double mobility_kg)
{
    const double k = load->grip.stiffness_n_m;
    const double c = load->grip.loss_kg_s;
    const double m = load->mass_kg;
    double complex s = omega * (double complex)I; /* clang 14 has no CMPLX with glibc */
    for (int round = 0; round < ROUNDS; round++) {
        const double complex contact = k + c * s;
        const double complex gives = load->compliance * contact + 1.0;
        const double complex p = m * s * s * gives + contact;
        const double complex p_slope = 2.0 * m * s * gives + m * s * s * load->compliance * c + c;
        const double complex alone = s * s + omega * omega;
        const double complex value = alone * p + mobility_kg * m * s * s * contact;
        const double complex slope =
            2.0 * s * p + alone * p_slope + mobility_kg * m * s * (2.0 * k + 3.0 * c * s);
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
    const double xi = 1.0 - height_m / tube->spec.length_m;
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
        .compliance = wp_wall_compliance(&tube->spec, height_m),
        .mass_kg = striker->mass_kg,
    };
    for (size_t i = 0; i < tube->n_partials; i++) {
        const double shape = wp_shape_at(&tube->partials[i].shape, xi);
        added_per_s[i] = loaded_decay(&load, 2.0 * pi * tube->partials[i].freq_hz,
                                      shape * shape / tube->mass_kg);
    }
}
