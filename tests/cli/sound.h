/* SPDX-License-Identifier: MIT */
#ifndef WINDPEAL_TESTS_CLI_SOUND_H
#define WINDPEAL_TESTS_CLI_SOUND_H

#include <sndfile.h>
#include <stdbool.h>

/* Sound files as libsndfile decodes them. */

struct sound {
    SF_INFO info;
    double *samples; /* interleaved, full scale 1; exact */
    char title[96];
    char date[96];
    char comment[256];
};

/* Reads a whole file; fails the running test when it does not play. Free with sound_finish. */
void sound_load(struct sound *sound, const char *path);

/* Frees the samples. */
void sound_finish(struct sound *sound);

/* True when both hold the same samples. */
bool sound_is_same(const struct sound *one, const struct sound *other);

/* True when two files hold the same bytes. */
bool sound_has_same_bytes(const char *path, const char *other);

/* Largest magnitude between two moments, full scale 1. */
double sound_peak(const struct sound *sound, double from_s, double to_s);

#endif
