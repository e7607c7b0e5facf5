/* SPDX-License-Identifier: MIT */
/* Reads impulse responses from sound files. */

#include "windpeal/impulse.h"

#include <errno.h>
#include <math.h>
#include <sndfile.h>
#include <stdbool.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "synth/resample.h"

enum { CHANNELS_MAX = 2, RATE_MIN_HZ = 8000, RATE_MAX_HZ = 384000 };

/* Rates whose quotient is not made of numbers up to this one would take transforms for ever; all
 * usual rates are. */
enum { QUOTIENT_MAX = 1280 };

static const struct wp_mark nowhere = {0, 0};

static enum wp_status check_format(const SF_INFO *info, const char *path, int rate_hz,
                                   struct wp_diags *diags)
{
    if (info->channels < 1 || info->channels > CHANNELS_MAX) {
        return wp_diags_add(diags, WP_E_RANGE, path, nowhere, "keep a left and a right channel",
                            "an impulse response of %d channels; expected one or two",
                            info->channels);
    }
    if (info->samplerate < RATE_MIN_HZ || info->samplerate > RATE_MAX_HZ ||
        info->samplerate / wp_common_rate(info->samplerate, rate_hz) > QUOTIENT_MAX) {
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
    if (!status) {
        status = wp_resample(impulse, rate_hz);
    }
    return status;
}

void wp_impulse_finish(struct wp_impulse *impulse)
{
    free(impulse->frames);
    *impulse = (struct wp_impulse){.frames = NULL};
}
