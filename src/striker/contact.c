/* SPDX-License-Identifier: MIT */
/* The blow of a round striker on the side of a tube: impulse, duration, force and spectrum. */
#include "windpeal/contact.h"

#include <assert.h>
#include <math.h>
#include <stdbool.h>

#include "base/clones.h"
#include "base/exact.h"
#include "striker/mobility.h"
#include "striker/spring.h"
#include "striker/wall.h"

/*
 * Steps of one contact by a first guess of its time: 160 give impulse and spectrum within 0.1 dB of
 * a hundred times as many. Where the guess is far off, for a heavy striker on a thin tube, the
 * contact is tried again in longer or shorter steps.
 */
enum { STEPS = 160, STEPS_LEAST = 60, ROUNDS_MAX = 12, MODES_MAX = WP_PARTIALS_MAX, LANES = 4 };

/* Partials up to so many cycles in a contact take part one by one; the others hardly move. */
static const double CYCLES_MAX = 8.0;

static const double pi = 0x1.921fb54442d18p+1;

/* Exponents of soft heads meet Hertz's force at this share of the striker's radius: the depth of a
 * gentle blow, for which the moduli are meant. */
static const double REFERENCE_SHARE = 0.02;

static double plane_strain_modulus(const struct wp_material *material)
{
    const double nu = material->poisson_ratio;
    return material->young_modulus_pa / (1.0 - nu * nu);
}

/*
 * K of F = K d^1.5 for a sphere on a cylinder (K. L. Johnson, "Contact Mechanics", 1985, sections
 * 4.1 and 4.2): 4/3 E* sqrt(R_e) for a circle of contact, 1/E* = (1-nu1^2)/E1 + (1-nu2^2)/E2, R_e
 * the geometric mean of the relative radii along and across the tube. The contact is an ellipse,
 * which makes it stiffer by a function of the ratio of the two radii; its series in the logarithm
 * of that ratio was fitted to the elliptic integrals and keeps within 0.003 % up to a ratio of 10.
 */
static double hertz_stiffness(const struct wp_striker *striker, const struct wp_tube_spec *spec)
{
    const double e1 = plane_strain_modulus(&striker->material);
    const double e2 = plane_strain_modulus(&spec->material);
    const double e = e1 * e2 / (e1 + e2);
    const double along = 0.5 * striker->diameter_m;
    const double across = 1.0 / (1.0 / along + 2.0 / spec->outer_diameter_m);
    const double log_ratio = wp_exact_log(along / across);
    const double square = log_ratio * log_ratio;
    const double ellipse = 1.0 + square * (0.0207904 - 4.29e-5 * square);
    return 4.0 / 3.0 * e * sqrt(sqrt(along * across)) * ellipse;
}

/*
 * Partials during the blow, in coordinates of the struck point: how far each has moved there, and
 * its speed over its angular frequency. One step turns the pair by omega * step.
 */
struct modes {
    double shift_m[MODES_MAX];
    double swing_m[MODES_MAX];
    double cos_step[MODES_MAX];
    double sin_step[MODES_MAX];
    double shift_m_n[MODES_MAX]; /* changes by a force of 1 N for one step, a step later */
    double swing_m_n[MODES_MAX];
};

/* Striker, springs and tube in contact. */
struct blow {
    struct wp_spring spring;
    double step_s;
    double approach_m;    /* of the striker to the tube as a rigid body */
    double speed_m_s;     /* of that approach */
    double slowing_m_s_n; /* change of it by a force of 1 N for one step */
    double gives_m_n;     /* how much less the springs are pressed a step after that */
    size_t n_modes;       /* a multiple of LANES */
    struct modes modes;
};

/* As if both springs were linear, one behind the other: squares of contact times add. */
static double guess_duration(const struct wp_spring *spring, double mass_kg, double speed_m_s)
{
    const double energy_j = 0.5 * mass_kg * speed_m_s * speed_m_s;
    const double exponent = 1.5 + spring->stiffening;
    const double stiffness = spring->hertz / wp_exact_pow(spring->reference_m, spring->stiffening);
    const double depth_m =
        wp_exact_pow((exponent + 1.0) * energy_j / stiffness, 1.0 / (exponent + 1.0));
    const double contact_s = 2.9 * depth_m / speed_m_s;
    return sqrt(contact_s * contact_s + pi * pi * mass_kg * spring->compliance);
}

/* Fills up the lanes with partials that stay at rest. */
static void pad_modes(struct blow *blow)
{
    for (; blow->n_modes % LANES != 0; blow->n_modes++) {
        blow->modes.shift_m[blow->n_modes] = 0.0;
        blow->modes.swing_m[blow->n_modes] = 0.0;
        blow->modes.cos_step[blow->n_modes] = 1.0;
        blow->modes.sin_step[blow->n_modes] = 0.0;
        blow->modes.shift_m_n[blow->n_modes] = 0.0;
        blow->modes.swing_m_n[blow->n_modes] = 0.0;
    }
}

/*
 * Partials of modal mass M move at the struck point by W^2 / M of the force. The wall's compliance
 * is what all ovalling partials together give way under a steady force: those that take part one by
 * one are taken out of it.
 */
static void take_modes(struct blow *blow, const struct wp_tube *tube, const double *shape)
{
    const double max_hz = CYCLES_MAX / (STEPS * blow->step_s);
    double taken = 0.0;
    blow->n_modes = 0;
    for (size_t i = 0; i < tube->n_partials; i++) {
        const struct wp_partial *partial = &tube->partials[i];
        if (partial->freq_hz > max_hz) {
            continue;
        }
        const double omega = 2.0 * pi * partial->freq_hz;
        const double mobility = shape[i] * shape[i] / tube->mass_kg; /* 1/kg */
        const size_t m = blow->n_modes++;
        blow->modes.shift_m[m] = 0.0;
        blow->modes.swing_m[m] = 0.0;
        wp_exact_sine_cosine(omega * blow->step_s, &blow->modes.sin_step[m],
                             &blow->modes.cos_step[m]);
        const double kick_m_n = mobility * blow->step_s / omega;
        blow->modes.shift_m_n[m] = kick_m_n * blow->modes.sin_step[m];
        blow->modes.swing_m_n[m] = kick_m_n * blow->modes.cos_step[m];
        blow->gives_m_n += blow->modes.shift_m_n[m];
        taken += partial->family == WP_OVALLING ? mobility / (omega * omega) : 0.0;
    }
    blow->spring.compliance = fmax(blow->spring.compliance - taken, 0.0);
    pad_modes(blow);
}

/* A contact at closing speed speed_m_s, in steps that are stretch times as long as usual. */
static void blow_init(struct blow *blow, const struct wp_striker *striker,
                      const struct wp_tube *tube, const double *shape, double height_m,
                      double speed_m_s, double stretch)
{
    blow->approach_m = 0.0;
    blow->speed_m_s = speed_m_s;
    blow->spring = (struct wp_spring){
        .hertz = hertz_stiffness(striker, &tube->spec),
        .stiffening = striker->stiffening,
        .reference_m = REFERENCE_SHARE * 0.5 * striker->diameter_m,
        .loss_s_m = striker->loss_s_m,
        .compliance = wp_wall_compliance(&tube->spec, height_m),
    };
    const double inverse_kg = 1.0 / striker->mass_kg + wp_tube_mobility(tube, height_m);
    blow->step_s = stretch * guess_duration(&blow->spring, 1.0 / inverse_kg, speed_m_s) / STEPS;
    blow->slowing_m_s_n = inverse_kg * blow->step_s;
    blow->gives_m_n = blow->slowing_m_s_n * blow->step_s;
    take_modes(blow, tube, shape);
}

/* Adds what the force of the step before last has changed by now, then lets everything drift for a
 * step; returns how far the springs would be pressed then but for the force in between. */
static inline double kick_and_drift(struct blow *blow, double force_n)
{
    struct modes *restrict modes = &blow->modes;
    double shifts[LANES] = {0.0};
    for (size_t i = 0; i < blow->n_modes; i += LANES) {
        for (size_t lane = 0; lane < LANES; lane++) {
            const size_t m = i + lane;
            const double shift = modes->shift_m[m] + modes->shift_m_n[m] * force_n;
            const double swing = modes->swing_m[m] + modes->swing_m_n[m] * force_n;
            modes->shift_m[m] = shift * modes->cos_step[m] + swing * modes->sin_step[m];
            modes->swing_m[m] = swing * modes->cos_step[m] - shift * modes->sin_step[m];
            shifts[lane] += modes->shift_m[m];
        }
    }
    blow->approach_m -= blow->slowing_m_s_n * blow->step_s * force_n;
    blow->speed_m_s -= blow->slowing_m_s_n * force_n;
    blow->approach_m += blow->speed_m_s * blow->step_s;
    return blow->approach_m - (shifts[0] + shifts[1]) - (shifts[2] + shifts[3]);
}

/* Where the next depth lies by the last four, a polynomial of the third degree through them. */
static inline double extrapolate(const double *depth_m, size_t n)
{
    if (n < 4) {
        return n > 0 ? depth_m[n - 1] : 0.0;
    }
    return 4.0 * (depth_m[n - 1] + depth_m[n - 3]) - 6.0 * depth_m[n - 2] - depth_m[n - 4];
}

/*
 * Kick and drift in turn: symplectic, of second order, and exact for each partial by itself. False
 * when the steps were not enough for the two to part.
 */
WP_CLONED
static bool integrate(struct wp_contact *contact, struct blow *blow)
{
    double depth_m = 0.0;
    double pressed_m = 0.0;
    double force_n = 0.0;
    double ahead_m = kick_and_drift(blow, 0.0);
    double share = 1.0; /* of the last step until they part */
    contact->n_forces = 0;
    contact->peak_n = 0.0;
    while (contact->n_forces < WP_CONTACT_STEPS_MAX) {
        const double was_pressed_m = pressed_m;
        const double guess_m = extrapolate(contact->depth_m, contact->n_forces);
        pressed_m = ahead_m - blow->gives_m_n * force_n;
        ahead_m = kick_and_drift(blow, force_n); /* while the next force is sought */
        if (!(pressed_m > 0.0)) {
            share = was_pressed_m > 0.0 ? was_pressed_m / (was_pressed_m - pressed_m) : 1.0;
            break;
        }
        depth_m =
            wp_spring_depth(&blow->spring, pressed_m, depth_m, guess_m, blow->step_s, &force_n);
        if (!(force_n > 0.0)) {
            break;
        }
        contact->depth_m[contact->n_forces] = depth_m;
        contact->force_n[contact->n_forces++] = force_n;
        contact->peak_n = fmax(contact->peak_n, force_n);
    }
    contact->step_s = blow->step_s;
    contact->duration_s = blow->step_s * ((double)contact->n_forces + share);
    return contact->n_forces < WP_CONTACT_STEPS_MAX;
}

/* Impulse and spread of the force. */
static void measure(struct wp_contact *contact)
{
    double sum = 0.0;
    double first = 0.0;
    double second = 0.0;
    for (size_t i = 0; i < contact->n_forces; i++) {
        const double at = (double)(i + 1);
        sum += contact->force_n[i];
        first += at * contact->force_n[i];
        second += at * at * contact->force_n[i];
    }
    const double middle = first / sum;
    contact->impulse_n_s = sum * contact->step_s;
    contact->spread_s = contact->step_s * sqrt(fmax(second / sum - middle * middle, 0.0));
}

/*
 * Striker and tube as masses, the tube's partials as oscillators, between them the springs. A
 * partial that is slow against the contact moves away like a further mass and makes the blow
 * shorter and weaker, at a tube's end by some 4 dB; one that is fast only gives way a little.
 */
void wp_contact_solve(struct wp_contact *contact, const struct wp_striker *striker,
                      const struct wp_tube *tube, double strike_height_m, double speed_m_s)
{
    assert(speed_m_s > 0.0);
    struct blow blow;
    double stretch = 1.0;
    bool may_shrink = true;
    const double xi = 1.0 - strike_height_m / tube->spec.length_m;
    for (size_t i = 0; i < tube->n_partials; i++) {
        contact->shape[i] = wp_shape_at(&tube->partials[i].shape, xi);
    }
    /* The guess takes no account of a tube that bends further than the springs give way. */
    for (int round = 0; round < ROUNDS_MAX; round++) {
        blow_init(&blow, striker, tube, contact->shape, strike_height_m, speed_m_s, stretch);
        const bool has_parted = integrate(contact, &blow);
        if (has_parted && (contact->n_forces >= STEPS_LEAST || !may_shrink)) {
            break;
        }
        may_shrink = may_shrink && has_parted; /* not back and forth between two touches */
        stretch *= has_parted ? 0.25 : 2.0;
    }
    measure(contact);
    if (striker->is_ideal) {
        contact->duration_s = 0.0;
        contact->spread_s = 0.0;
        contact->peak_n = INFINITY;
        contact->n_forces = 0;
    }
}

/* The sum over the force's samples, its phasor turned step by step. */
double wp_contact_spectrum(const struct wp_contact *contact, double freq_hz)
{
    if (contact->n_forces == 0) {
        return 1.0;
    }
    const double angle = 2.0 * pi * freq_hz * contact->step_s;
    double cos_step;
    double sin_step;
    wp_exact_sine_cosine(angle, &sin_step, &cos_step);
    double c = 1.0;
    double s = 0.0;
    double real = 0.0;
    double imaginary = 0.0;
    for (size_t i = 0; i < contact->n_forces; i++) {
        const double next = c * cos_step - s * sin_step;
        real += contact->force_n[i] * c;
        imaginary += contact->force_n[i] * s;
        s = s * cos_step + c * sin_step;
        c = next;
    }
    return contact->step_s * sqrt(real * real + imaginary * imaginary) / contact->impulse_n_s;
}

double wp_contact_cutoff_hz(const struct wp_contact *contact)
{
    static const double tenth_of_power = 0.31622776601683794;
    if (contact->n_forces == 0) {
        return INFINITY;
    }
    const double stride_hz = 0.1 / contact->duration_s;
    double low = 0.0;
    double high = stride_hz;
    while (high < 20.0 * stride_hz && wp_contact_spectrum(contact, high) > tenth_of_power) {
        low = high;
        high += stride_hz;
    }
    for (int halving = 0; halving < 40; halving++) {
        const double middle = 0.5 * (low + high);
        const bool is_above = wp_contact_spectrum(contact, middle) > tenth_of_power;
        low = is_above ? middle : low;
        high = is_above ? high : middle;
    }
    return low;
}
