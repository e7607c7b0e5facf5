/* SPDX-License-Identifier: MIT */
/*
 * A whole rendering against the closed form of decaying partials, in long double. A blow J at xi
 * gives partial n of a free tube of mass M the velocity W_n(xi) J / M (modal superposition with
 * unit modal masses M; L. Meirovitch, "Fundamentals of Vibrations", ch. 8, from memory), its two
 * polarisations share it as cosine and sine, and each radiates as the cosine to the listener, with
 * the angles m times where the tube goes out of round in m waves. The
 * figures of the tubes come from the public headers; the sum over partials is formed here.
 */

#include "../small_set.h"

#include <complex.h>
#include <stdlib.h>

#include "windpeal/level.h"
#include "windpeal/peal.h"

enum { RATE_HZ = 48000 };

static struct small_set small;

static const long double TWO_PI = 6.283185307179586476925286766559L;

/* Bearing and place of the middle of the head as seen from a tube. */
static double look(size_t tube, struct wp_ear *ear)
{
    const double bearing = small.set.listener_bearing_deg * M_PI / 180.0;
    const double east = small.set.listener_distance_m * sin(bearing) - small.layout.x_m[tube];
    const double north = small.set.listener_distance_m * cos(bearing) - small.layout.y_m[tube];
    ear->distance_m = hypot(east, north);
    ear->height_m = small.set.listener_height_m - small.layout.middle_m[tube];
    return atan2(east, north);
}

/* The sum of partials of one strike is prepared once: amplitudes, frequencies, decays. */
struct sines {
    size_t n;
    long double amplitude[2 * WP_PARTIALS_MAX];
    long double freq_hz[2 * WP_PARTIALS_MAX];
    long double decay_per_s[2 * WP_PARTIALS_MAX];
};

static void sines_of(const struct wp_strike *strike, struct sines *sines)
{
    const struct wp_tube *tube = &small.chime->tubes[strike->tube];
    struct wp_ear ear;
    const double axis = tube->axis_deg * M_PI / 180.0;
    const double l = look(strike->tube, &ear) - axis;
    const double s = strike->bearing_deg * M_PI / 180.0 - axis;
    sines->n = 0;
    for (size_t i = 0; i < tube->n_partials; i++) {
        const struct wp_partial *partial = &tube->partials[i];
        const double m = partial->order;
        const double shares[2] = {cos(m * s) * cos(m * l), sin(m * s) * sin(m * l)};
        const double polarity = shares[0] + shares[1] < 0.0 ? -1.0 : 1.0;
        const double velocity =
            wp_shape_at(&partial->shape, 1.0 - strike->height_m / tube->spec.length_m) *
            strike->impulse_n_s / tube->mass_kg;
        const double pa = wp_tube_pressure(tube, partial, ear) * fabs(velocity);
        for (int p = 0; p < 2 && partial->polarised_hz[p] < RATE_HZ / 2.0; p++) {
            sines->amplitude[sines->n] = (long double)(polarity * shares[p] * pa / 20.0);
            sines->freq_hz[sines->n] = (long double)partial->polarised_hz[p];
            sines->decay_per_s[sines->n] = logl(1000.0L) / (long double)partial->t60_s;
            sines->n++;
        }
    }
}

static long double value_at(const struct sines *sines, long double t_s)
{
    long double sum = 0.0L;
    for (size_t m = 0; t_s >= 0.0L && m < sines->n; m++) {
        sum += sines->amplitude[m] * expl(-sines->decay_per_s[m] * t_s) *
               sinl(TWO_PI * sines->freq_hz[m] * t_s);
    }
    return sum;
}

static float *render_mono(struct wp_strike *items, size_t n_items, size_t n_frames)
{
    const struct wp_strike_list list = {items, n_items};
    const struct wp_peal_config config = {
        .set = &small.set,
        .chime = small.chime,
        .strikes = &list,
        .duration_s = 100.0,
        .rate_hz = RATE_HZ,
        .channels = WP_MONO,
    };
    struct wp_diags diags;
    struct wp_peal *peal;
    float *frames = calloc(n_frames, sizeof *frames);
    assert_non_null(frames);
    wp_diags_init(&diags);
    assert_int_equal(wp_peal_create(&peal, &config, &diags), WP_OK);
    wp_peal_render(peal, frames, n_frames);
    wp_peal_destroy(peal);
    return frames;
}

static void rendering_is_the_sum_of_its_partials(void **state)
{
    (void)state;
    enum { N_STRIKES = 3, N_FRAMES = 10 * RATE_HZ };
    small_set_describe(&small.set, 3);
    small.set.striker.is_ideal_contact = true;
    small.set.tubes[0].ovality_01 = 0.003;
    small.set.tubes[1].bore_offset_01 = 0.1;
    small_set_solve(&small);
    struct wp_strike strikes[N_STRIKES] = {blow_at(0.00101, 0, 33.0), blow_at(0.25, 1, 160.0),
                                           blow_at(1.700003, 2, 250.0)};
    struct sines sines[N_STRIKES];
    for (size_t s = 0; s < N_STRIKES; s++) {
        sines_of(&strikes[s], &sines[s]);
    }
    float *frames = render_mono(strikes, N_STRIKES, N_FRAMES);
    double peak = 0.0;
    double worst = 0.0;
    for (int i = 0; i < N_FRAMES; i += i < 9600 ? 1 : 211) {
        long double wanted = 0.0L;
        for (size_t s = 0; s < N_STRIKES; s++) {
            wanted += value_at(&sines[s], (long double)i / RATE_HZ - (long double)strikes[s].t_s);
        }
        peak = fmax(peak, (double)fabsl(wanted));
        worst = fmax(worst, (double)fabsl(wanted - (long double)frames[i]));
    }
    assert_true(peak > 1e-5); /* 0.2 mPa */
    assert_true(20.0 * log10(worst / peak) <= -115.0);
    free(frames);
    small_set_finish(&small);
}

/* Size of the tone at freq_hz in n frames, by correlation with a raised-cosine window. */
static double tone_size(const float *frames, size_t n, double freq_hz)
{
    double re = 0.0;
    double im = 0.0;
    for (size_t i = 0; i < n; i++) {
        const double window = 0.5 - 0.5 * cos(2.0 * M_PI * ((double)i + 0.5) / (double)n);
        const double angle = 2.0 * M_PI * freq_hz * (double)i / RATE_HZ;
        re += window * (double)frames[i] * cos(angle);
        im += window * (double)frames[i] * sin(angle);
    }
    return hypot(re, im);
}

/*
 * An oval tube: two polarisations at once beat at the difference of their frequencies. Split of a
 * thin wall on the ellipse r = R (1 + e cos 2a): the moments of inertia, integrals of r^3 cos^2 a
 * and r^3 sin^2 a, differ by 3 e, the frequencies by 1.5 e. Ovality (Dmax - Dmin) / D of the outer
 * diameter D is 4 e R / D, so the split is 0.75 ovality D / (2 R): 0.40 %, 1.67 Hz at 416 Hz.
 */
static void oval_tube_beats_at_its_split(void **state)
{
    (void)state;
    enum { N_FRAMES = 6 * RATE_HZ, WINDOW = 4800, HOP = 96 };
    small_set_describe(&small.set, 1);
    small.set.striker.is_ideal_contact = true;
    small.set.tubes[0].ovality_01 = 0.005;
    small_set_solve(&small);
    const struct wp_tube *tube = &small.chime->tubes[0];
    struct wp_ear ear;
    /* Both polarisations equally: blow and ear 45 degrees off the axis would need the listener
     * moved; a blow that gives both the same weight does as well. */
    const double l = look(0, &ear) - tube->axis_deg * M_PI / 180.0;
    const double s = atan2(cos(l), sin(l));
    struct wp_strike strike = blow_at(0.0, 0, tube->axis_deg + s * 180.0 / M_PI);
    float *frames = render_mono(&strike, 1, N_FRAMES);
    double last_minimum_s = -1.0;
    double sum_s = 0.0;
    size_t n_beats = 0;
    double before = 0.0;
    double here = 0.0;
    for (size_t i = 0; i + WINDOW <= N_FRAMES; i += HOP) {
        const double next = tone_size(frames + i, WINDOW, tube->partials[0].freq_hz);
        if (i >= 2 * HOP && here < before && here <= next) {
            const double t_s = (double)(i - HOP) / RATE_HZ;
            if (last_minimum_s >= 0.0) {
                sum_s += t_s - last_minimum_s;
                n_beats++;
            }
            last_minimum_s = t_s;
        }
        before = here;
        here = next;
    }
    assert_true(n_beats >= 6);
    const double rate_hz = (double)n_beats / sum_s;
    const double split_hz =
        fabs(tube->partials[0].polarised_hz[1] - tube->partials[0].polarised_hz[0]);
    assert_near(rate_hz, split_hz, 0.005 * split_hz);
    const double thin_wall = 0.75 * 0.005 * 25.4 / (25.4 - 1.65);
    assert_near(rate_hz, thin_wall * tube->partials[0].freq_hz, 0.02 * split_hz);
    free(frames);
    small_set_finish(&small);
}

/* The transform of the contact's force at a complex rate, over its impulse: every sample of it is a
 * small blow. */
static double complex force_at(const struct wp_contact *contact, double complex rate)
{
    double complex sum = 0.0;
    for (size_t i = 0; i < contact->n_forces; i++) {
        sum += contact->force_n[i] * cexp(-rate * (double)(i + 1) * contact->step_s);
    }
    return sum * contact->step_s / contact->impulse_n_s;
}

/* The pressure after the contact: Re(transfer velocity) of every partial. */
static double soft_sound(const struct wp_strike *strike, const struct wp_contact *contact,
                         double t_s)
{
    const struct wp_tube *tube = &small.chime->tubes[strike->tube];
    struct wp_ear ear;
    const double l = look(strike->tube, &ear);
    const double s = strike->bearing_deg * M_PI / 180.0;
    double sum = 0.0;
    for (size_t i = 0; i < tube->n_partials; i++) {
        const struct wp_partial *partial = &tube->partials[i];
        if (partial->freq_hz >= 0.5 * RATE_HZ) {
            continue;
        }
        const double complex rate =
            -log(1000.0) / partial->t60_s + 2.0 * M_PI * partial->freq_hz * (double complex)I;
        const struct wp_transfer t = wp_tube_transfer(tube, partial, ear);
        const double shape =
            wp_shape_at(&partial->shape, 1.0 - strike->height_m / tube->spec.length_m);
        sum +=
            cos(partial->order * (s - l)) * shape * strike->impulse_n_s / tube->mass_kg / 20.0 *
            creal((t.re + t.im * (double complex)I) * force_at(contact, rate) * cexp(rate * t_s));
    }
    return sum;
}

/* After the contact each partial rings in the phase in which its sound arrives. */
static void soft_blow_is_its_force_heard(void **state)
{
    (void)state;
    enum { N_FRAMES = RATE_HZ / 10 };
    small_set_describe(&small.set, 1);
    small_set_solve(&small);
    struct wp_strike strike = blow_at(0.01003, 0, 33.0);
    struct wp_contact contact;
    wp_contact_solve(&contact, &small.striker, &small.chime->tubes[0], strike.height_m,
                     strike.speed_m_s);
    float *frames = render_mono(&strike, 1, N_FRAMES);
    double peak = 0.0;
    double worst = 0.0;
    double loudest_in_contact = 0.0;
    for (int i = 482; i < N_FRAMES; i += i < 600 ? 1 : 37) {
        const double t_s = (double)i / RATE_HZ - strike.t_s;
        if (t_s < contact.duration_s) {
            loudest_in_contact = fmax(loudest_in_contact, fabs((double)frames[i]));
            continue;
        }
        const double wanted = soft_sound(&strike, &contact, t_s);
        peak = fmax(peak, fabs(wanted));
        worst = fmax(worst, fabs(wanted - (double)frames[i]));
    }
    assert_true(contact.duration_s > 1e-4);
    assert_true(20.0 * log10(worst / peak) <= -115.0);
    /* It begins at the strike, softly, and is no louder in the contact than it may be after it. */
    assert_true(frames[481] == 0.0f && frames[482] != 0.0f);
    assert_true(fabs((double)frames[482]) < 0.02 * peak);
    assert_true(loudest_in_contact < peak);
    free(frames);
    small_set_finish(&small);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(rendering_is_the_sum_of_its_partials),
        cmocka_unit_test(oval_tube_beats_at_its_split),
        cmocka_unit_test(soft_blow_is_its_force_heard),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
