/* SPDX-License-Identifier: MIT */
/* Other rates of impulse responses. */

#include "synth/resample.h"

#include <stdlib.h>

#include <kiss_fft.h>

/* Silence behind the response while it is resampled: what rings before its beginning has room. */
static const double MARGIN_S = 0.05;

int wp_common_rate(int a_hz, int b_hz)
{
    while (b_hz != 0) {
        const int rest_hz = a_hz % b_hz;
        a_hz = b_hz;
        b_hz = rest_hz;
    }
    return a_hz;
}

/* One transform there and one back: n_from frames at one rate are n_to frames at the other. */
struct resampler {
    size_t n_from;
    size_t n_to;
    kiss_fft_cfg forward;
    kiss_fft_cfg back;
    kiss_fft_cpx *from;
    kiss_fft_cpx *from_bins;
    kiss_fft_cpx *to_bins;
    kiss_fft_cpx *to;
};

static void resampler_finish(struct resampler *resampler)
{
    kiss_fft_free(resampler->forward);
    kiss_fft_free(resampler->back);
    free(resampler->from);
    free(resampler->from_bins);
    free(resampler->to_bins);
    free(resampler->to);
}

static enum wp_status resampler_init(struct resampler *resampler, size_t n_frames, int from_hz,
                                     int to_hz)
{
    const int common_hz = wp_common_rate(from_hz, to_hz);
    const size_t least = n_frames + (size_t)(MARGIN_S * from_hz);
    const size_t n_steps = least / (size_t)(from_hz / common_hz) + 1;
    const size_t n_fast = (size_t)kiss_fft_next_fast_size((int)n_steps);
    *resampler = (struct resampler){
        .n_from = n_fast * (size_t)(from_hz / common_hz),
        .n_to = n_fast * (size_t)(to_hz / common_hz),
    };
    resampler->forward = kiss_fft_alloc((int)resampler->n_from, 0, NULL, NULL);
    resampler->back = kiss_fft_alloc((int)resampler->n_to, 1, NULL, NULL);
    resampler->from = calloc(resampler->n_from, sizeof *resampler->from);
    resampler->from_bins = calloc(resampler->n_from, sizeof *resampler->from_bins);
    resampler->to_bins = calloc(resampler->n_to, sizeof *resampler->to_bins);
    resampler->to = calloc(resampler->n_to, sizeof *resampler->to);
    const bool is_complete = resampler->forward && resampler->back && resampler->from &&
                             resampler->from_bins && resampler->to_bins && resampler->to;
    return is_complete ? WP_OK : WP_E_NO_MEMORY;
}

/* Both channels in one complex signal; what lies above half the lower rate is left out. */
static void resample(struct resampler *resampler, const struct wp_impulse *impulse, float *frames)
{
    const size_t n_channels = (size_t)impulse->n_channels;
    for (size_t i = 0; i < impulse->n_frames; i++) {
        resampler->from[i].r = impulse->frames[i * n_channels];
        resampler->from[i].i = n_channels == 2 ? impulse->frames[i * 2 + 1] : 0.0f;
    }
    kiss_fft(resampler->forward, resampler->from, resampler->from_bins);
    const size_t n_least =
        resampler->n_from < resampler->n_to ? resampler->n_from : resampler->n_to;
    for (size_t k = 0; k < (n_least + 1) / 2; k++) {
        resampler->to_bins[k] = resampler->from_bins[k];
        if (k > 0) {
            resampler->to_bins[resampler->n_to - k] = resampler->from_bins[resampler->n_from - k];
        }
    }
    kiss_fft(resampler->back, resampler->to_bins, resampler->to);
    const float scale = 1.0f / (float)resampler->n_to;
    for (size_t i = 0; i < resampler->n_to; i++) {
        frames[i * n_channels] = scale * resampler->to[i].r;
        if (n_channels == 2) {
            frames[i * 2 + 1] = scale * resampler->to[i].i;
        }
    }
}

enum wp_status wp_resample(struct wp_impulse *impulse, int rate_hz)
{
    struct resampler resampler;
    if (rate_hz == impulse->rate_hz) {
        return WP_OK;
    }
    enum wp_status status =
        resampler_init(&resampler, impulse->n_frames, impulse->rate_hz, rate_hz);
    float *frames = NULL;
    if (!status) {
        frames = calloc(resampler.n_to * (size_t)impulse->n_channels, sizeof *frames);
        status = frames ? WP_OK : WP_E_NO_MEMORY;
    }
    if (!status) {
        resample(&resampler, impulse, frames);
        free(impulse->frames);
        impulse->frames = frames;
        impulse->n_frames = resampler.n_to;
        impulse->rate_hz = rate_hz;
    }
    resampler_finish(&resampler);
    return status;
}
