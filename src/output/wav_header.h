/* SPDX-License-Identifier: MIT */
#ifndef WINDPEAL_OUTPUT_WAV_HEADER_H
#define WINDPEAL_OUTPUT_WAV_HEADER_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

/*
 * The bytes before the samples of a WAV file: RIFF (Microsoft and IBM, "Multimedia Programming
 * Interface and Data Specifications 1.0", 1991), RF64 for sizes that need 64 bits (EBU Tech 3306),
 * broadcast extension (EBU Tech 3285). Written here rather than by libsndfile, which cannot write
 * WAV to a pipe; so file and pipe hold the same bytes.
 */

struct wp_wav_header {
    int n_channels;
    int rate_hz;
    size_t sample_bytes; /* 2 or 3, of whole numbers; 4, of floats */
    bool is_rf64;
    const char *software; /* tags, not owned; NULL or empty: none */
    const char *title;
    const char *date; /* one that begins with a date, 2026-04-11, adds the broadcast extension */
    const char *comment;
};

/* Bytes of the header; they do not depend on the number of frames. */
size_t wp_wav_header_size(const struct wp_wav_header *header);

/* Whether the sizes of a plain WAV file of n_frames fit into its 32-bit fields. */
bool wp_wav_header_is_plain_enough(const struct wp_wav_header *header, uint64_t n_frames);

/* Writes the header of a file of n_frames into wp_wav_header_size bytes. */
void wp_wav_header_write(const struct wp_wav_header *header, uint64_t n_frames, uint8_t *bytes);

/* Whether a zero byte must follow the samples: chunks have even lengths. */
bool wp_wav_header_is_padded(const struct wp_wav_header *header, uint64_t n_frames);

#endif
