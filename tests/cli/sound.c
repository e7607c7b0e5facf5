/* SPDX-License-Identifier: MIT */
/* Decodes sound files with libsndfile. */
#include "sound.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#include "program.h"

static void copy_tag(SNDFILE *file, int tag, char *text, size_t text_size)
{
    const char *value = sf_get_string(file, tag);
    snprintf(text, text_size, "%s", value ? value : "");
}

void sound_load(struct sound *sound, const char *path)
{
    *sound = (struct sound){.samples = NULL};
    SNDFILE *file = sf_open(path, SFM_READ, &sound->info);
    if (!file) {
        print_error("%s: %s\n", path, sf_strerror(NULL));
    }
    assert_non_null(file);
    const size_t n = (size_t)sound->info.frames * (size_t)sound->info.channels;
    sound->samples = calloc(n + 1, sizeof *sound->samples);
    assert_non_null(sound->samples);
    assert_int_equal(sf_readf_double(file, sound->samples, sound->info.frames), sound->info.frames);
    copy_tag(file, SF_STR_TITLE, sound->title, sizeof sound->title);
    copy_tag(file, SF_STR_DATE, sound->date, sizeof sound->date);
    copy_tag(file, SF_STR_COMMENT, sound->comment, sizeof sound->comment);
    sf_close(file);
}

void sound_finish(struct sound *sound)
{
    free(sound->samples);
    sound->samples = NULL;
}

bool sound_is_same(const struct sound *one, const struct sound *other)
{
    const size_t n = (size_t)one->info.frames * (size_t)one->info.channels;
    return one->info.frames == other->info.frames && one->info.channels == other->info.channels &&
           memcmp(one->samples, other->samples, n * sizeof *one->samples) == 0;
}

bool sound_has_same_bytes(const char *path, const char *other)
{
    size_t size;
    size_t other_size;
    char *bytes = program_read_file(path, &size);
    char *other_bytes = program_read_file(other, &other_size);
    const bool is_same = size == other_size && memcmp(bytes, other_bytes, size) == 0;
    free(bytes);
    free(other_bytes);
    return is_same;
}

double sound_peak(const struct sound *sound, double from_s, double to_s)
{
    double peak = 0.0;
    const size_t n_channels = (size_t)sound->info.channels;
    const size_t from = (size_t)(from_s * sound->info.samplerate) * n_channels;
    const size_t to = (size_t)(to_s * sound->info.samplerate) * n_channels;
    assert_true(to <= (size_t)sound->info.frames * n_channels);
    for (size_t i = from; i < to; i++) {
        peak = fmax(peak, fabs(sound->samples[i]));
    }
    return peak;
}
