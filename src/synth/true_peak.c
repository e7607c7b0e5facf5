/* SPDX-License-Identifier: MIT */
/* Finds the true peak and oversamples only where it can be. */

#include "synth/true_peak.h"

#include <math.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include <ebur128.h>

#include "base/clones.h"

enum {
    CHUNK = 128,  /* frames that are judged together */
    FADE = 32,    /* the stretch that is oversampled begins and ends softly: a cut would ring */
    SETTLED = 32, /* more than the interpolation filter's 25 taps */
    CONTEXT = FADE + SETTLED,
    WINDOW = CONTEXT + CHUNK + CONTEXT,
};

/* Samples below this share of the highest one cannot hide a higher true peak: -3.1 dB. */
static const float NEAR_PEAK = 0.7f;

struct wp_true_peak {
    ebur128_state *meter;
    size_t n_channels;
    size_t n_filled; /* frames in window, the first CONTEXT of them already judged */
    float highest;   /* of all judged samples */
    float fade[FADE];
    float *window; /* WINDOW frames */
    float *faded;
};

enum wp_status wp_true_peak_create(struct wp_true_peak **out, size_t n_channels, int rate_hz)
{
    *out = NULL;
    struct wp_true_peak *peak = calloc(1, sizeof *peak);
    if (!peak) {
        return WP_E_NO_MEMORY;
    }
    peak->n_channels = n_channels;
    peak->n_filled = CONTEXT;
    peak->window = calloc(WINDOW * n_channels, sizeof *peak->window);
    peak->faded = calloc(WINDOW * n_channels, sizeof *peak->faded);
    peak->meter =
        ebur128_init((unsigned int)n_channels, (unsigned long)rate_hz, EBUR128_MODE_TRUE_PEAK);
    for (int i = 0; i < FADE; i++) {
        peak->fade[i] = (float)(0.5 - 0.5 * cos(M_PI * (i + 0.5) / FADE));
    }
    if (!peak->window || !peak->faded || !peak->meter) {
        wp_true_peak_destroy(peak);
        return WP_E_NO_MEMORY;
    }
    *out = peak;
    return WP_OK;
}

void wp_true_peak_destroy(struct wp_true_peak *peak)
{
    if (!peak) {
        return;
    }
    if (peak->meter) {
        ebur128_destroy(&peak->meter);
    }
    free(peak->window);
    free(peak->faded);
    free(peak);
}

/* Sizes of floats compare like the integers with the same bits, which vectorise. */
WP_CLONED
static float highest_of(const float *samples, size_t n)
{
    int32_t highest_bits = 0;
    for (size_t i = 0; i < n; i++) {
        int32_t bits;
        memcpy(&bits, &samples[i], sizeof bits);
        bits &= INT32_MAX;
        highest_bits = bits > highest_bits ? bits : highest_bits;
    }
    float highest;
    memcpy(&highest, &highest_bits, sizeof highest);
    return highest;
}

/* Oversamples WINDOW frames from frame first on, silence after the last one, with soft ends. */
static enum wp_status oversample(struct wp_true_peak *peak, size_t first)
{
    const size_t n = peak->n_channels;
    const size_t n_left = peak->n_filled - first;
    const size_t n_frames = n_left < WINDOW ? n_left : WINDOW;
    memset(peak->faded, 0, WINDOW * n * sizeof *peak->faded);
    memcpy(peak->faded, &peak->window[first * n], n_frames * n * sizeof *peak->faded);
    for (size_t i = 0; i < FADE; i++) {
        for (size_t c = 0; c < n; c++) {
            peak->faded[i * n + c] *= peak->fade[i];
            peak->faded[(WINDOW - 1 - i) * n + c] *= peak->fade[i];
        }
    }
    const int failed = ebur128_add_frames_float(peak->meter, peak->faded, WINDOW);
    return failed ? WP_E_NO_MEMORY : WP_OK;
}

/* Looks at the chunk that follows the context from frame first on. */
static enum wp_status judge(struct wp_true_peak *peak, size_t first)
{
    const size_t n = peak->n_channels;
    const size_t start = first + CONTEXT;
    const size_t n_left = peak->n_filled - start;
    const size_t n_frames = n_left < CHUNK ? n_left : CHUNK;
    const float here = highest_of(&peak->window[start * n], n_frames * n);
    peak->highest = here > peak->highest ? here : peak->highest;
    if (here > 0.0f && here >= NEAR_PEAK * peak->highest) {
        return oversample(peak, first);
    }
    return WP_OK;
}

enum wp_status wp_true_peak_add(struct wp_true_peak *peak, const float *frames, size_t n_frames)
{
    const size_t n = peak->n_channels;
    enum wp_status status = WP_OK;
    while (n_frames > 0 && !status) {
        const size_t room = WINDOW - peak->n_filled;
        const size_t n_taken = n_frames < room ? n_frames : room;
        memcpy(&peak->window[peak->n_filled * n], frames, n_taken * n * sizeof *frames);
        peak->n_filled += n_taken;
        frames += n_taken * n;
        n_frames -= n_taken;
        if (peak->n_filled == WINDOW) {
            status = judge(peak, 0);
            memmove(peak->window, &peak->window[CHUNK * n],
                    (WINDOW - CHUNK) * n * sizeof *peak->window);
            peak->n_filled = WINDOW - CHUNK;
        }
    }
    return status;
}

double wp_true_peak_value(struct wp_true_peak *peak)
{
    /* Frames that wait for their context are judged now, and again if more should follow. */
    judge(peak, 0);
    if (peak->n_filled > CONTEXT + CHUNK) {
        judge(peak, CHUNK);
    }
    double highest = (double)peak->highest;
    for (size_t c = 0; c < peak->n_channels; c++) {
        double value = 0.0;
        ebur128_true_peak(peak->meter, (unsigned int)c, &value);
        highest = fmax(highest, value);
    }
    return highest;
}
