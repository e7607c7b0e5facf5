/* SPDX-License-Identifier: MIT */
/* Finds the highest value between the samples, where it can be. */

#include "synth/true_peak.h"

#include <math.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include "base/clones.h"

enum {
    TAPS = 48, /* of the interpolation filter at the higher rate */
    FACTOR_MAX = 4,
    BEFORE = TAPS / 2, /* frames that a value between samples needs before its last, at most */
    CHUNK = 256,       /* frames that are judged together */
    WINDOW = BEFORE + CHUNK + BEFORE, /* the last chunk has silence behind it */
};

struct wp_true_peak {
    size_t n_channels;
    size_t factor;
    size_t n_taps; /* of each place between two samples */
    float taps[FACTOR_MAX - 1][TAPS];
    float rise;      /* most that a value between samples is higher than all that it is made of */
    float highest;   /* of all that is judged */
    size_t n_filled; /* frames in window, the first BEFORE of them already judged */
    float *window;
    float *between; /* values at a place, of the chunk and the silence behind it */
};

/* A sinc under Hann's window; value t of a place weighs the sample t before the latest. */
static void find_taps(struct wp_true_peak *peak)
{
    for (size_t place = 1; place < peak->factor; place++) {
        float sizes = 0.0f;
        for (size_t t = 0; t < peak->n_taps; t++) {
            const double i = (double)(t * peak->factor + place);
            const double x = M_PI * (i - 0.5 * TAPS) / (double)peak->factor;
            const double tap = sin(x) / x * 0.5 * (1.0 - cos(2.0 * M_PI * i / TAPS));
            peak->taps[place - 1][t] = (float)tap;
            sizes += fabsf((float)tap);
        }
        peak->rise = fmaxf(peak->rise, sizes);
    }
}

enum wp_status wp_true_peak_create(struct wp_true_peak **out, size_t n_channels, int rate_hz)
{
    *out = NULL;
    struct wp_true_peak *peak = calloc(1, sizeof *peak);
    if (!peak) {
        return WP_E_NO_MEMORY;
    }
    peak->n_channels = n_channels;
    peak->factor = rate_hz < 96000 ? FACTOR_MAX : 2;
    peak->n_taps = TAPS / peak->factor;
    peak->n_filled = BEFORE;
    peak->window = calloc(WINDOW * n_channels, sizeof *peak->window);
    peak->between = calloc((CHUNK + BEFORE) * n_channels, sizeof *peak->between);
    find_taps(peak);
    if (!peak->window || !peak->between) {
        wp_true_peak_destroy(peak);
        return WP_E_NO_MEMORY;
    }
    *out = peak;
    return WP_OK;
}

void wp_true_peak_destroy(struct wp_true_peak *peak)
{
    if (peak) {
        free(peak->window);
        free(peak->between);
        free(peak);
    }
}

/* Sizes of floats compare like the integers with the same bits, which vectorise. */
static inline int32_t size_bits(float value)
{
    int32_t bits;
    memcpy(&bits, &value, sizeof bits);
    return bits & INT32_MAX;
}

static float value_of(int32_t bits)
{
    float value;
    memcpy(&value, &bits, sizeof value);
    return value;
}

WP_CLONED
static float highest_of(const float *samples, size_t n)
{
    int32_t highest = 0;
    for (size_t i = 0; i < n; i++) {
        const int32_t bits = size_bits(samples[i]);
        highest = bits > highest ? bits : highest;
    }
    return value_of(highest);
}

/* The values at one place behind n samples; interleaved channels lie stride apart, and what a value
 * is made of lies before the first. */
WP_CLONED
static void interpolate(float *restrict between, const float *restrict samples, size_t n,
                        size_t stride, const float *restrict taps, size_t n_taps)
{
    memset(between, 0, n * sizeof *between);
    for (size_t t = 0; t < n_taps; t += 4) {
        const float *const part = samples - (t + 3) * stride;
        for (size_t i = 0; i < n; i++) {
            between[i] += taps[t] * part[i + 3 * stride] + taps[t + 1] * part[i + 2 * stride] +
                          taps[t + 2] * part[i + stride] + taps[t + 3] * part[i];
        }
    }
}

/* Highest value in the n_frames after the first BEFORE, and of what has been judged: it is looked
 * for between samples only where they are high enough. */
static float judge(struct wp_true_peak *peak, size_t n_frames)
{
    const size_t stride = peak->n_channels;
    const float here = highest_of(peak->window, (BEFORE + n_frames) * stride);
    if (!(here * peak->rise > peak->highest)) {
        return peak->highest;
    }
    float highest = fmaxf(peak->highest, here);
    for (size_t place = 1; place < peak->factor; place++) {
        interpolate(peak->between, &peak->window[BEFORE * stride], n_frames * stride, stride,
                    peak->taps[place - 1], peak->n_taps);
        highest = fmaxf(highest, highest_of(peak->between, n_frames * stride));
    }
    return highest;
}

void wp_true_peak_add(struct wp_true_peak *peak, const float *frames, size_t n_frames)
{
    const size_t n = peak->n_channels;
    while (n_frames > 0) {
        const size_t room = BEFORE + CHUNK - peak->n_filled;
        const size_t n_taken = n_frames < room ? n_frames : room;
        memcpy(&peak->window[peak->n_filled * n], frames, n_taken * n * sizeof *frames);
        peak->n_filled += n_taken;
        frames += n_taken * n;
        n_frames -= n_taken;
        if (n_taken == room) {
            peak->highest = judge(peak, CHUNK);
            memmove(peak->window, &peak->window[CHUNK * n], BEFORE * n * sizeof *peak->window);
            peak->n_filled = BEFORE;
        }
    }
}

double wp_true_peak_value(struct wp_true_peak *peak)
{
    const size_t n = peak->n_channels;
    memset(&peak->window[peak->n_filled * n], 0,
           (WINDOW - peak->n_filled) * n * sizeof *peak->window);
    return (double)judge(peak, peak->n_filled);
}
