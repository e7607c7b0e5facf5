/* SPDX-License-Identifier: MIT */
/* Reads impulse responses from sound files and brings them to a rate. */

#include "windpeal/impulse.h"

#include <errno.h>
#include <math.h>
#include <sndfile.h>
#include <stdbool.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include <kiss_fft.h>

enum { CHANNELS_MAX = 2, RATE_MIN_HZ = 8000, RATE_MAX_HZ = 384000 };

/* Rates whose quotient is not made of numbers up to this one would take transforms for ever; all
 * usual rates are. */
enum { QUOTIENT_MAX = 1280 };

/* Silence behind the response while it is resampled: what rings before its beginning has room. */
static const double MARGIN_S = 0.05;

static const struct wp_mark nowhere = {0, 0};

static int common_divisor(int a, int b)
{
    while (b != 0) {
        const int rest = a % b;
        a = b;
        b = rest;
    }
    return a;
}

static enum wp_status check_format(const SF_INFO *info, const char *path, int rate_hz,
                                   struct wp_diags *diags)
{
    if (info->channels < 1 || info->channels > CHANNELS_MAX) {
        return wp_diags_add(diags, WP_E_RANGE, path, nowhere, "keep a left and a right channel",
                            "an impulse response of %d channels; expected one or two",
                            info->channels);
    }
    if (info->samplerate < RATE_MIN_HZ || info->samplerate > RATE_MAX_HZ ||
        info->samplerate / common_divisor(info->samplerate, rate_hz) > QUOTIENT_MAX) {
        return wp_diags_add(
            diags, WP_E_RANGE, path, nowhere, "bring it to 48000 Hz with a sound editor",
            "an impulse response at %d Hz; expected one of the usual rates", info->samplerate);
    }
    if ((double)info->frames > WP_IMPULSE_LONGEST_S * info->samplerate) {
        return wp_diags_add(diags, WP_E_RANGE, path, nowhere, "cut it where it has died away",
                            "an impulse response of %.3g s; expected at most %.0f s",
                            (double)info->frames / info->samplerate, WP_IMPULSE_LONGEST_S);
    }
    return WP_OK;
}

/* A response must be numbers, and some of them not 0. */
static enum wp_status check_samples(const struct wp_impulse *impulse, const char *path,
                                    struct wp_diags *diags)
{
    bool is_silent = true;
    for (size_t i = 0; i < impulse->n_frames * (size_t)impulse->n_channels; i++) {
        if (!isfinite(impulse->frames[i])) {
            return wp_diags_add(diags, WP_E_SYNTAX, path, nowhere, NULL,
                                "the impulse response holds samples that are no numbers");
        }
        is_silent = is_silent && impulse->frames[i] == 0.0f;
    }
    return is_silent ? wp_diags_add(diags, WP_E_EMPTY, path, nowhere, NULL,
                                    "the impulse response is silent; expected a sound")
                     : WP_OK;
}

static enum wp_status read_frames(struct wp_impulse *impulse, SNDFILE *file, const SF_INFO *info,
                                  const char *path, struct wp_diags *diags)
{
    impulse->n_channels = info->channels;
    impulse->rate_hz = info->samplerate;
    impulse->frames =
        calloc((size_t)info->frames * (size_t)info->channels + 1, sizeof *impulse->frames);
    if (!impulse->frames) {
        return WP_E_NO_MEMORY;
    }
    const sf_count_t n_read = sf_readf_float(file, impulse->frames, info->frames);
    if (n_read < info->frames) {
        return wp_diags_add(diags, WP_E_IO, path, nowhere, NULL,
                            "the sound file ends early: %lld of %lld frames", (long long)n_read,
                            (long long)info->frames);
    }
    impulse->n_frames = (size_t)n_read;
    return check_samples(impulse, path, diags);
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
    const int divisor = common_divisor(from_hz, to_hz);
    const size_t least = n_frames + (size_t)(MARGIN_S * from_hz);
    const size_t n_steps = least / (size_t)(from_hz / divisor) + 1;
    const size_t n_fast = (size_t)kiss_fft_next_fast_size((int)n_steps);
    *resampler = (struct resampler){
        .n_from = n_fast * (size_t)(from_hz / divisor),
        .n_to = n_fast * (size_t)(to_hz / divisor),
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

static enum wp_status bring_to_rate(struct wp_impulse *impulse, int rate_hz)
{
    struct resampler resampler;
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

enum wp_status wp_impulse_load(struct wp_impulse *impulse, const char *path, int rate_hz,
                               struct wp_diags *diags)
{
    SF_INFO info = {0};
    *impulse = (struct wp_impulse){.frames = NULL};
    if (access(path, R_OK) != 0) {
        const bool is_absent = errno == ENOENT || errno == ENOTDIR;
        return wp_diags_add(diags, is_absent ? WP_E_NO_FILE : WP_E_IO, path, nowhere, NULL,
                            "the room's impulse response cannot be read: %s", strerror(errno));
    }
    SNDFILE *file = sf_open(path, SFM_READ, &info);
    if (!file) {
        return wp_diags_add(diags, WP_E_SYNTAX, path, nowhere,
                            "WAV and FLAC files are read, among others",
                            "this is no sound file that can be read; expected a room's impulse "
                            "response");
    }
    enum wp_status status = check_format(&info, path, rate_hz, diags);
    if (!status) {
        status = read_frames(impulse, file, &info, path, diags);
    }
    sf_close(file);
    if (!status && impulse->rate_hz != rate_hz) {
        status = bring_to_rate(impulse, rate_hz);
    }
    return status;
}

void wp_impulse_finish(struct wp_impulse *impulse)
{
    free(impulse->frames);
    *impulse = (struct wp_impulse){.frames = NULL};
}
