/* SPDX-License-Identifier: MIT */
/* Packs frames into a WAV file and keeps its header true. */

#include "output/wav_stream.h"

#include <assert.h>
#include <stdlib.h>
#include <string.h>

#include "base/clones.h"

static size_t frame_bytes(const struct wp_wav_stream *stream)
{
    return (size_t)stream->header.n_channels * stream->header.sample_bytes;
}

static uint64_t half_second(const struct wp_wav_stream *stream)
{
    return (uint64_t)stream->header.rate_hz / 2;
}

enum wp_status wp_wav_stream_init(struct wp_wav_stream *stream, struct wp_part_file *part,
                                  const struct wp_wav_header *header, uint64_t n_announced)
{
    stream->part = part;
    stream->header = *header;
    stream->header.is_rf64 = header->is_rf64 || !wp_wav_header_is_plain_enough(header, n_announced);
    stream->n_frames = 0;
    stream->n_waiting = 0;
    stream->n_in_header = part->is_stream ? n_announced : 0;
    stream->piece = WP_WAV_PIECE_MAX;
    while (stream->piece > half_second(stream) * frame_bytes(stream)) {
        stream->piece /= 2;
    }
    stream->header_size = wp_wav_header_size(&stream->header);
    stream->header_bytes = malloc(stream->header_size);
    if (!stream->header_bytes) {
        return WP_E_NO_MEMORY;
    }
    wp_wav_header_write(&stream->header, stream->n_in_header, stream->header_bytes);
    const enum wp_status status =
        wp_part_file_append(part, stream->header_bytes, stream->header_size);
    /* Not before: companions that are still to be opened look for room on the same disk. */
    wp_part_file_expect(part, stream->header_size + n_announced * frame_bytes(stream));
    return status;
}

static enum wp_status update_header(struct wp_wav_stream *stream)
{
    if (stream->part->is_stream || stream->n_in_header == stream->n_frames) {
        return WP_OK;
    }
    wp_wav_header_write(&stream->header, stream->n_frames, stream->header_bytes);
    stream->n_in_header = stream->n_frames;
    return wp_part_file_write_at(stream->part, 0, stream->header_bytes, stream->header_size);
}

/* Writes the first n_bytes of what is waiting. */
static enum wp_status write_bytes(struct wp_wav_stream *stream, size_t n_bytes)
{
    const enum wp_status status = wp_part_file_append(stream->part, stream->bytes, n_bytes);
    if (stream->part->n_bytes > stream->header_size) {
        stream->n_frames = (stream->part->n_bytes - stream->header_size) / frame_bytes(stream);
    }
    if (status) {
        return status;
    }
    stream->n_waiting -= n_bytes;
    memmove(stream->bytes, stream->bytes + n_bytes, stream->n_waiting);
    return WP_OK;
}

/* Writes the whole pieces that n_frames more complete, and the header when the piece after them
 * would leave it half a second behind. */
static enum wp_status take_frames(struct wp_wav_stream *stream, size_t n_frames)
{
    stream->n_waiting += n_frames * frame_bytes(stream);
    const uint64_t end = stream->part->n_bytes + stream->n_waiting;
    const uint64_t pieces_end = end - end % stream->piece;
    if (pieces_end <= stream->part->n_bytes) {
        return WP_OK;
    }
    const enum wp_status status = write_bytes(stream, pieces_end - stream->part->n_bytes);
    const uint64_t next = stream->n_frames + stream->piece / frame_bytes(stream);
    return !status && next >= stream->n_in_header + half_second(stream) ? update_header(stream)
                                                                        : status;
}

/* Samples become bytes, little-endian like everything in the file. */

WP_CLONED
static void pack_16(const int32_t *numbers, uint8_t *bytes, size_t n)
{
    for (size_t i = 0; i < n; i++) {
        const uint32_t bits = (uint32_t)numbers[i];
        bytes[2 * i] = (uint8_t)bits;
        bytes[2 * i + 1] = (uint8_t)(bits >> 8);
    }
}

#if defined(__has_builtin) && __BYTE_ORDER__ == __ORDER_LITTLE_ENDIAN__
#if __has_builtin(__builtin_shufflevector)
#define CAN_SHUFFLE
#endif
#endif

/* Four numbers are moved at once, with the lowest bytes first and then those left over, which the
 * next four overwrite: there is room for four bytes a number. */
WP_CLONED
static void pack_24(const int32_t *numbers, uint8_t *bytes, size_t n)
{
    size_t i = 0;
#ifdef CAN_SHUFFLE
    typedef uint8_t four_numbers __attribute__((vector_size(16)));
    for (; i + 4 <= n; i += 4) {
        four_numbers four;
        memcpy(&four, &numbers[i], sizeof four);
        four = __builtin_shufflevector(four, four, 0, 1, 2, 4, 5, 6, 8, 9, 10, 12, 13, 14, 3, 7, 11,
                                       15);
        memcpy(&bytes[3 * i], &four, sizeof four);
    }
#endif
    for (; i < n; i++) {
        const uint32_t bits = (uint32_t)numbers[i];
        bytes[3 * i] = (uint8_t)bits;
        bytes[3 * i + 1] = (uint8_t)(bits >> 8);
        bytes[3 * i + 2] = (uint8_t)(bits >> 16);
    }
}

static void pack_floats(const float *samples, uint8_t *bytes, size_t n)
{
    for (size_t i = 0; i < n; i++) {
        uint32_t bits;
        memcpy(&bits, &samples[i], sizeof bits);
        bits = __BYTE_ORDER__ == __ORDER_BIG_ENDIAN__ ? __builtin_bswap32(bits) : bits;
        memcpy(&bytes[4 * i], &bits, sizeof bits);
    }
}

enum wp_status wp_wav_stream_write_numbers(struct wp_wav_stream *stream, const int32_t *numbers,
                                           size_t n_frames)
{
    const size_t n_samples = n_frames * (size_t)stream->header.n_channels;
    assert(n_samples <= WP_WAV_SAMPLES_MAX && stream->header.sample_bytes <= 3);
    if (stream->header.sample_bytes == 2) {
        pack_16(numbers, stream->bytes + stream->n_waiting, n_samples);
    } else {
        pack_24(numbers, stream->bytes + stream->n_waiting, n_samples);
    }
    return take_frames(stream, n_frames);
}

enum wp_status wp_wav_stream_write_floats(struct wp_wav_stream *stream, const float *samples,
                                          size_t n_frames)
{
    const size_t n_samples = n_frames * (size_t)stream->header.n_channels;
    assert(n_samples <= WP_WAV_SAMPLES_MAX && stream->header.sample_bytes == 4);
    pack_floats(samples, stream->bytes + stream->n_waiting, n_samples);
    return take_frames(stream, n_frames);
}

enum wp_status wp_wav_stream_flush(struct wp_wav_stream *stream)
{
    return write_bytes(stream, stream->n_waiting);
}

enum wp_status wp_wav_stream_close(struct wp_wav_stream *stream)
{
    static const uint8_t padding = 0;
    enum wp_status status = wp_wav_stream_flush(stream);
    if (!status && wp_wav_header_is_padded(&stream->header, stream->n_frames)) {
        status = wp_part_file_append(stream->part, &padding, 1);
    }
    wp_part_file_cut(stream->part,
                     status ? stream->header_size + stream->n_frames * frame_bytes(stream)
                            : stream->part->n_bytes);
    const enum wp_status header_status = update_header(stream);
    return status ? status : header_status;
}

void wp_wav_stream_finish(struct wp_wav_stream *stream)
{
    free(stream->header_bytes);
    stream->header_bytes = NULL;
}
