/* SPDX-License-Identifier: MIT */
/* Roughness of tones that sound together. */
#include "windpeal/hearing.h"

#include <math.h>

#include "tube/roughness.h"

/* Hutchinson & Knopoff 1978: width of the critical band, and where they end the curve. */
static const double BAND_FACTOR = 1.72;
static const double BAND_POWER = 0.65;
static const double BANDS_MAX = 1.2;

/* A little above 2000 to the power of BAND_POWER. */
static const double AT_2_KHZ = 139.85;

/* Sethares 1993, fitted to Plomp & Levelt. */
static const double RISE = 3.5;
static const double FALL = 5.75;
static const double LARGEST_AT = 0.24;
static const double BAND_SLOPE = 0.0207;
static const double BAND_OFFSET_HZ = 18.96;

double wp_roughness_of_pair(double one_hz, double other_hz)
{
    const double apart_hz = fabs(one_hz - other_hz);
    /* A tangent of the curve of widths lies above it: most pairs are out without a power. */
    const double mean_hz = 0.5 * (one_hz + other_hz);
    const double widest_hz = AT_2_KHZ * (1.0 + BAND_POWER * (mean_hz / 2000.0 - 1.0));
    if (apart_hz > BANDS_MAX * BAND_FACTOR * widest_hz) {
        return 0.0;
    }
    const double y = apart_hz / (BAND_FACTOR * pow(mean_hz, BAND_POWER));
    const double root = 4.0 * y * exp(1.0 - 4.0 * y);
    return y < BANDS_MAX ? root * root : 0.0;
}

static double dissonance_of_pair(double one_hz, double other_hz)
{
    const double s = LARGEST_AT / (BAND_SLOPE * fmin(one_hz, other_hz) + BAND_OFFSET_HZ);
    const double x = s * fabs(one_hz - other_hz);
    return exp(-RISE * x) - exp(-FALL * x);
}

double wp_tones_power(const struct wp_tone *tones, size_t n_tones)
{
    double power = 0.0;
    for (size_t i = 0; i < n_tones; i++) {
        power += tones[i].amplitude * tones[i].amplitude;
    }
    return power;
}

/* Sum over all pairs, each once, over the sum of squares. */
static double weigh_pairs(const struct wp_tone *tones, size_t n_tones,
                          double (*pair)(double one_hz, double other_hz))
{
    double sum = 0.0;
    for (size_t i = 0; i < n_tones; i++) {
        for (size_t j = 0; j < i; j++) {
            const double weight = tones[i].amplitude * tones[j].amplitude;
            sum += weight * pair(tones[i].freq_hz, tones[j].freq_hz);
        }
    }
    const double power = wp_tones_power(tones, n_tones);
    return power > 0.0 ? sum / power : 0.0;
}

double wp_roughness(const struct wp_tone *tones, size_t n_tones)
{
    return weigh_pairs(tones, n_tones, wp_roughness_of_pair);
}

double wp_dissonance(const struct wp_tone *tones, size_t n_tones)
{
    return weigh_pairs(tones, n_tones, dissonance_of_pair);
}

void wp_tones_decay(struct wp_tone *tones, size_t n_tones, double after_s)
{
    for (size_t i = 0; i < n_tones; i++) {
        tones[i].amplitude *= pow(10.0, -3.0 * after_s / tones[i].t60_s);
    }
}
