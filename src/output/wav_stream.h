/* SPDX-License-Identifier: MIT */
#ifndef WINDPEAL_OUTPUT_WAV_STREAM_H
#define WINDPEAL_OUTPUT_WAV_STREAM_H

#include <stddef.h>
#include <stdint.h>

#include "output/part_file.h"
#include "output/wav_header.h"
#include "windpeal/status.h"

/*
 * Frames into a WAV or RF64 file. Its bytes are written in whole pieces that begin at multiples of
 * their size, which costs a system half the time of pieces as they come. On a disk the header
 * speaks of the frames that are there, so that an interrupted file plays; with what is not yet
 * written it is less than half a second behind what calls have brought. A pipe cannot be corrected,
 * so there the header speaks of the announced frames from the beginning.
 */

/* Samples that one call may write, and the largest piece in bytes. */
enum { WP_WAV_SAMPLES_MAX = 4096, WP_WAV_PIECE_MAX = 128 * 1024 };

struct wp_wav_stream {
    struct wp_part_file *part; /* not owned */
    struct wp_wav_header header;
    uint8_t *header_bytes; /* owned */
    size_t header_size;
    size_t piece;         /* bytes */
    uint64_t n_frames;    /* written so far, whole ones */
    uint64_t n_in_header; /* frames that the header on the disk speaks of */
    size_t n_waiting;     /* bytes that are still to be written */
    uint8_t bytes[WP_WAV_PIECE_MAX + 4 * WP_WAV_SAMPLES_MAX];
};

/*
 * Writes the header. Sizes that do not fit into a plain WAV file make it RF64, as does is_rf64 of
 * the header. Free with wp_wav_stream_finish, also after a failure. WP_E_NO_MEMORY and what
 * appending to the part file says.
 */
enum wp_status wp_wav_stream_init(struct wp_wav_stream *stream, struct wp_part_file *part,
                                  const struct wp_wav_header *header, uint64_t n_announced);

/* Appends whole numbers (2 or 3 bytes a sample) or floats (4), n_frames of them interleaved. */
enum wp_status wp_wav_stream_write_numbers(struct wp_wav_stream *stream, const int32_t *numbers,
                                           size_t n_frames);
enum wp_status wp_wav_stream_write_floats(struct wp_wav_stream *stream, const float *samples,
                                          size_t n_frames);

/* Writes what is waiting for a whole piece. */
enum wp_status wp_wav_stream_flush(struct wp_wav_stream *stream);

/* Makes what is on the disk a playable file; after a failed write only whole frames stay. */
enum wp_status wp_wav_stream_close(struct wp_wav_stream *stream);

void wp_wav_stream_finish(struct wp_wav_stream *stream);

#endif
