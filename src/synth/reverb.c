/* SPDX-License-Identifier: MIT */
/* Impulse responses of a room by statistical acoustics. */

#include "synth/reverb.h"

#include <math.h>
#include <stdbool.h>
#include <stdlib.h>
#include <string.h>

#include <kiss_fftr.h>

#include "base/random.h"
#include "synth/air_loss.h"
#include "synth/path.h"
#include "synth/resample.h"
#include "tube/air.h"

/* ln(1000): a fall of the amplitude by 60 dB. */
static const double LN_60_DB = 6.907755278982137;

/* Level of 1 Np. */
static const double DB_A_NEPER = 8.685889638065037;

/* Frequency at which a room's decay is given; halls are told by their middle octaves. */
static const double MIDDLE_HZ = 1000.0;

/* Responses end where they have fallen by so much. */
static const double LAST_DB = 90.0;

/* Images in a frame at most: with more of them the ear hears noise (common practice: some thousand
 * in a second). */
static const double DENSEST = 0.25;

/* The responses are drawn at one rate, so that a room is the same at all. Other rates are taken to
 * the nearest multiple of RATE_STEP_HZ, which none of the usual ones notices. */
enum { DRAWN_HZ = 48000, RATE_STEP_HZ = 25 };

enum {
    HOP = 512, /* frames as drawn from one filter of the air's to the next */
    WINDOW = 2 * HOP,
    TRANSFORM = 4 * HOP,
};

static double sound_speed(const struct wp_reverb *reverb)
{
    struct wp_air air;
    wp_air_init(&air, reverb->temperature_c);
    return air.sound_speed_m_s;
}

/* The air's share of the fall against that at the middle frequency, 1/s. */
static double air_fall(const struct wp_reverb *reverb, double freq_hz)
{
    const double db_m = wp_air_loss_db_m(freq_hz, reverb->temperature_c, reverb->humidity_01) -
                        wp_air_loss_db_m(MIDDLE_HZ, reverb->temperature_c, reverb->humidity_01);
    return sound_speed(reverb) * db_m / DB_A_NEPER;
}

double wp_reverb_fall_per_s(const struct wp_reverb *reverb, double freq_hz)
{
    return LN_60_DB / reverb->decay_s + air_fall(reverb, freq_hz);
}

/* Energy in a second at the moment of the source, for a room that takes nothing. */
static double first_energy(const struct wp_reverb *reverb)
{
    return 4.0 * M_PI * sound_speed(reverb) / reverb->volume_m3;
}

double wp_reverb_power(const struct wp_reverb *reverb, double freq_hz)
{
    const double fall_per_s = wp_reverb_fall_per_s(reverb, freq_hz);
    const double flight_s = reverb->distance_m / sound_speed(reverb);
    return first_energy(reverb) * exp(-2.0 * fall_per_s * flight_s) / (2.0 * fall_per_s);
}

size_t wp_reverb_count(const struct wp_reverb *reverb)
{
    const double falls = LAST_DB / DB_A_NEPER;
    const double last_s = falls / wp_reverb_fall_per_s(reverb, 0.0) + (double)HOP / DRAWN_HZ;
    return (size_t)ceil(last_s * reverb->rate_hz);
}

/* Puts the images' sounds into the responses, with the decay of the middle frequency. */
static void scatter(const struct wp_reverb *reverb, float *const *responses, size_t n_ears)
{
    const double c = sound_speed(reverb);
    const double fall_per_s = LN_60_DB / reverb->decay_s;
    const double aside = n_ears == 2 ? WP_EAR_ASIDE_M / c * reverb->rate_hz : 0.0;
    const size_t n_frames = wp_reverb_count(reverb);
    struct wp_random random;
    wp_random_init(&random, 0, WP_STREAM_ROOM, 0);
    for (size_t i = (size_t)ceil(aside); i + (size_t)ceil(aside) < n_frames; i++) {
        const double t_s = (double)i / reverb->rate_hz + reverb->distance_m / c;
        const double images_per_s = 4.0 * M_PI * c * c * c * t_s * t_s / reverb->volume_m3;
        const double share = fmin(images_per_s / reverb->rate_hz, DENSEST);
        if (wp_random_uniform(&random) >= share) {
            continue;
        }
        const double energy = first_energy(reverb) * exp(-2.0 * fall_per_s * t_s);
        const double size = sqrt(energy / (share * reverb->rate_hz));
        const double sign = wp_random_uniform(&random) < 0.5 ? -1.0 : 1.0;
        /* From all around alike: the cosine to the line of the ears is uniform. */
        const double lead = aside * (2.0 * wp_random_uniform(&random) - 1.0);
        for (size_t ear = 0; ear < n_ears; ear++) {
            const double at = (double)i + (ear == 0 ? -lead : lead);
            responses[ear][(size_t)lround(at)] += (float)(sign * size);
        }
    }
}

/* Bins that are weighed together: third octaves, but at least so many bins. */
enum { BAND_LEAST = 4, BANDS_MAX = 48 };

/* What the responses are shaped with, window by window. */
struct workshop {
    const struct wp_reverb *reverb;
    size_t n_ears;
    long n_frames;
    kiss_fftr_cfg forward;
    kiss_fftr_cfg inverse;
    double fall_per_s[TRANSFORM / 2 + 1]; /* of the air, by bin */
    int edges[BANDS_MAX + 1];             /* first bin of each band, and the end */
    int n_bands;
    float window[WINDOW];
    float frames[TRANSFORM];
    kiss_fft_cpx bins[2][TRANSFORM / 2 + 1];
    float *sources[2]; /* responses as the images left them */
};

static void workshop_destroy(struct workshop *workshop)
{
    if (!workshop) {
        return;
    }
    kiss_fftr_free(workshop->forward);
    kiss_fftr_free(workshop->inverse);
    free(workshop->sources[0]);
    free(workshop->sources[1]);
    free(workshop);
}

static void workshop_furnish(struct workshop *workshop)
{
    for (int k = 0; k <= TRANSFORM / 2; k++) {
        workshop->fall_per_s[k] =
            air_fall(workshop->reverb, (double)k * workshop->reverb->rate_hz / TRANSFORM);
    }
    for (int i = 0; i < WINDOW; i++) {
        workshop->window[i] = (float)(0.5 - 0.5 * cos(2.0 * M_PI * i / WINDOW));
    }
    for (int edge = 0; edge <= TRANSFORM / 2; workshop->n_bands++) {
        workshop->edges[workshop->n_bands] = edge;
        edge +=
            edge * (cbrt(2.0) - 1.0) > BAND_LEAST ? (int)(edge * (cbrt(2.0) - 1.0)) : BAND_LEAST;
    }
    workshop->edges[workshop->n_bands] = TRANSFORM / 2 + 1;
}

static struct workshop *workshop_create(const struct wp_reverb *reverb, size_t n_ears,
                                        size_t n_frames)
{
    struct workshop *workshop = calloc(1, sizeof *workshop);
    if (!workshop) {
        return NULL;
    }
    workshop->reverb = reverb;
    workshop->n_ears = n_ears;
    workshop->n_frames = (long)n_frames;
    workshop->forward = kiss_fftr_alloc(TRANSFORM, 0, NULL, NULL);
    workshop->inverse = kiss_fftr_alloc(TRANSFORM, 1, NULL, NULL);
    bool is_complete = workshop->forward && workshop->inverse;
    for (size_t ear = 0; ear < n_ears; ear++) {
        workshop->sources[ear] = calloc(n_frames, sizeof *workshop->sources[ear]);
        is_complete = is_complete && workshop->sources[ear];
    }
    if (!is_complete) {
        workshop_destroy(workshop);
        return NULL;
    }
    workshop_furnish(workshop);
    return workshop;
}

/* The window that begins at start, in the middle of the transform: the filters have no phase, so
 * they answer before their input, too. */
static void take_window(struct workshop *workshop, long start, size_t ear)
{
    memset(workshop->frames, 0, sizeof workshop->frames);
    for (long i = 0; i < WINDOW; i++) {
        if (start + i >= 0 && start + i < workshop->n_frames) {
            workshop->frames[HOP + i] = workshop->window[i] * workshop->sources[ear][start + i];
        }
    }
    kiss_fftr(workshop->forward, workshop->frames, workshop->bins[ear]);
}

/* Energy that a window should have at the middle frequency. */
static double energy_of_window(const struct workshop *workshop, long start, double flight_s)
{
    const struct wp_reverb *reverb = workshop->reverb;
    const double fall_per_s = 2.0 * LN_60_DB / reverb->decay_s;
    double sum = 0.0;
    for (long i = 0; i < WINDOW; i++) {
        if (start + i >= 0) {
            const double t_s = flight_s + (double)(start + i) / reverb->rate_hz;
            const double weight = (double)workshop->window[i];
            sum += weight * weight * exp(-fall_per_s * t_s);
        }
    }
    return sum * first_energy(reverb) / reverb->rate_hz;
}

/* Gain that brings a band of the window to the energy that it should have, as far as chance is to
 * be helped: a window without an image stays empty. */
static double band_gain(const struct workshop *workshop, int band, double wanted)
{
    const int first = workshop->edges[band];
    const int end = workshop->edges[band + 1];
    double found = 0.0;
    for (size_t ear = 0; ear < workshop->n_ears; ear++) {
        for (int k = first; k < end; k++) {
            const double re = (double)workshop->bins[ear][k].r;
            const double im = (double)workshop->bins[ear][k].i;
            found += (re * re + im * im) / (double)workshop->n_ears;
        }
    }
    return fmin(sqrt((end - first) * wanted / fmax(found, 1e-30)), 2.0);
}

/* Gain at a bin, straight between the middles of the bands. */
static double gain_at(const struct workshop *workshop, const double *gains, int k)
{
    int band = 0;
    while (workshop->edges[band + 1] <= k) {
        band++;
    }
    const double middle = 0.5 * (workshop->edges[band] + workshop->edges[band + 1] - 1);
    const int other = k < middle ? band - 1 : band + 1;
    if (other < 0 || other >= workshop->n_bands) {
        return gains[band];
    }
    const double beyond = 0.5 * (workshop->edges[other] + workshop->edges[other + 1] - 1);
    return gains[band] + (gains[other] - gains[band]) * (k - middle) / (beyond - middle);
}

static void lay_window(struct workshop *workshop, long start, size_t ear, float *frames)
{
    kiss_fftri(workshop->inverse, workshop->bins[ear], workshop->frames);
    for (long i = 0; i < TRANSFORM; i++) {
        const long at = start - HOP + i;
        if (at >= 0 && at < workshop->n_frames) {
            frames[(size_t)at * workshop->n_ears + ear] += workshop->frames[i];
        }
    }
}

/*
 * Lays the responses together of windows, each through what the air takes until its middle, and
 * each evened out: chance alone would colour them by some decibels in a third octave.
 */
static void shape(struct workshop *workshop, float *frames)
{
    const double flight_s = workshop->reverb->distance_m / sound_speed(workshop->reverb);
    for (long start = -HOP; start < workshop->n_frames; start += HOP) {
        const double t_s = flight_s + (double)(start + HOP) / workshop->reverb->rate_hz;
        const double wanted = energy_of_window(workshop, start, flight_s);
        double gains[BANDS_MAX];
        for (size_t ear = 0; ear < workshop->n_ears; ear++) {
            take_window(workshop, start, ear);
        }
        for (int band = 0; band < workshop->n_bands; band++) {
            gains[band] = band_gain(workshop, band, wanted);
        }
        for (int k = 0; k <= TRANSFORM / 2; k++) {
            const double gain =
                gain_at(workshop, gains, k) * exp(-workshop->fall_per_s[k] * t_s) / TRANSFORM;
            for (size_t ear = 0; ear < workshop->n_ears; ear++) {
                workshop->bins[ear][k].r *= (float)gain;
                workshop->bins[ear][k].i *= (float)gain;
            }
        }
        for (size_t ear = 0; ear < workshop->n_ears; ear++) {
            lay_window(workshop, start, ear, frames);
        }
    }
}

/* Brings the energy, which chance has left a little off, to that of the diffuse field. */
static void calibrate(const struct wp_reverb *reverb, const struct wp_impulse *drawn)
{
    enum { N_STEPS = 256 };
    const size_t n_samples = drawn->n_frames * (size_t)drawn->n_channels;
    double wanted = 0.0;
    double found = 0.0;
    for (int i = 0; i < N_STEPS; i++) {
        wanted += wp_reverb_power(reverb, (i + 0.5) / N_STEPS * 0.5 * DRAWN_HZ) / N_STEPS;
    }
    for (size_t i = 0; i < n_samples; i++) {
        found += (double)drawn->frames[i] * (double)drawn->frames[i] / drawn->n_channels;
    }
    const float gain = found > 0.0 ? (float)sqrt(wanted / found) : 0.0f;
    for (size_t i = 0; i < n_samples; i++) {
        drawn->frames[i] *= gain;
    }
}

/* The responses at the rate at which they are drawn; drawn->frames to be freed in any case. */
static enum wp_status draw(const struct wp_reverb *reverb, struct wp_impulse *drawn)
{
    const size_t n_ears = (size_t)drawn->n_channels;
    drawn->n_frames = wp_reverb_count(reverb);
    drawn->frames = calloc(drawn->n_frames * n_ears, sizeof *drawn->frames);
    struct workshop *workshop = workshop_create(reverb, n_ears, drawn->n_frames);
    if (!drawn->frames || !workshop) {
        workshop_destroy(workshop);
        return WP_E_NO_MEMORY;
    }
    scatter(reverb, workshop->sources, n_ears);
    shape(workshop, drawn->frames);
    workshop_destroy(workshop);
    calibrate(reverb, drawn);
    return WP_OK;
}

enum wp_status wp_reverb_make(const struct wp_reverb *reverb, float *const *responses,
                              size_t n_ears)
{
    const size_t n_frames = wp_reverb_count(reverb);
    struct wp_impulse drawn = {.n_channels = (int)n_ears, .rate_hz = DRAWN_HZ};
    struct wp_reverb as_drawn = *reverb;
    as_drawn.rate_hz = DRAWN_HZ;
    enum wp_status status = draw(&as_drawn, &drawn);
    if (!status) {
        const int n_steps = (reverb->rate_hz + RATE_STEP_HZ / 2) / RATE_STEP_HZ;
        status = wp_resample(&drawn, n_steps * RATE_STEP_HZ);
    }
    for (size_t i = 0; i < n_frames * n_ears && !status; i++) {
        responses[i % n_ears][i / n_ears] = i < drawn.n_frames * n_ears ? drawn.frames[i] : 0.0f;
    }
    free(drawn.frames);
    return status;
}
