/* SPDX-License-Identifier: MIT */
/* Packs frames into a WAV file and keeps its header true. */

#include "output/wav_stream.h"

#include <assert.h>
#include <stdlib.h>
#include <string.h>

#include "base/clones.h"

enum wp_status wp_wav_stream_init(struct wp_wav_stream *stream, struct wp_part_file *part,
                                  const struct wp_wav_header *header, uint64_t n_announced)
{
    stream->part = part;
    stream->header = *header;
    stream->header.is_rf64 = header->is_rf64 || !wp_wav_header_is_plain_enough(header, n_announced);
    stream->n_frames = 0;
    stream->n_in_header = part->is_stream ? n_announced : 0;
    stream->header_size = wp_wav_header_size(&stream->header);
    stream->header_bytes = malloc(stream->header_size);
    if (!stream->header_bytes) {
        return WP_E_NO_MEMORY;
    }
    wp_wav_header_write(&stream->header, stream->n_in_header, stream->header_bytes);
    return wp_part_file_append(part, stream->header_bytes, stream->header_size);
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

static size_t frame_bytes(const struct wp_wav_stream *stream)
{
    return (size_t)stream->header.n_channels * stream->header.sample_bytes;
}

/* Appends the packed bytes of n_frames. */
static enum wp_status append_frames(struct wp_wav_stream *stream, size_t n_frames)
{
    enum wp_status status =
        wp_part_file_append(stream->part, stream->bytes, n_frames * frame_bytes(stream));
    if (status) {
        return status;
    }
    stream->n_frames += n_frames;
    if (stream->n_frames >= stream->n_in_header + (uint64_t)stream->header.rate_hz / 2) {
        status = update_header(stream);
    }
    return status;
}

/* Little-endian, like everything in the file. */
static inline void put_word(uint8_t *bytes, uint32_t word)
{
    const uint32_t little = __BYTE_ORDER__ == __ORDER_BIG_ENDIAN__ ? __builtin_bswap32(word) : word;
    memcpy(bytes, &little, sizeof little);
}

WP_CLONED
static void pack_16(const int32_t *numbers, uint8_t *bytes, size_t n)
{
    for (size_t i = 0; i < n; i++) {
        const uint32_t bits = (uint32_t)numbers[i];
        bytes[2 * i] = (uint8_t)bits;
        bytes[2 * i + 1] = (uint8_t)(bits >> 8);
    }
}

/* Four numbers of three bytes are three words of four: words are stored, not single bytes. */
WP_CLONED
static void pack_24(const int32_t *numbers, uint8_t *bytes, size_t n)
{
    size_t i = 0;
    for (; i + 4 <= n; i += 4) {
        const uint32_t a = (uint32_t)numbers[i] & 0xffffff;
        const uint32_t b = (uint32_t)numbers[i + 1] & 0xffffff;
        const uint32_t c = (uint32_t)numbers[i + 2] & 0xffffff;
        const uint32_t d = (uint32_t)numbers[i + 3];
        put_word(&bytes[3 * i], a | b << 24);
        put_word(&bytes[3 * i + 4], b >> 8 | c << 16);
        put_word(&bytes[3 * i + 8], c >> 16 | d << 8);
    }
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
        put_word(&bytes[4 * i], bits);
    }
}

enum wp_status wp_wav_stream_write_numbers(struct wp_wav_stream *stream, const int32_t *numbers,
                                           size_t n_frames)
{
    const size_t n_samples = n_frames * (size_t)stream->header.n_channels;
    assert(n_samples <= WP_WAV_SAMPLES_MAX && stream->header.sample_bytes <= 3);
    if (stream->header.sample_bytes == 2) {
        pack_16(numbers, stream->bytes, n_samples);
    } else {
        pack_24(numbers, stream->bytes, n_samples);
    }
    return append_frames(stream, n_frames);
}

enum wp_status wp_wav_stream_write_floats(struct wp_wav_stream *stream, const float *samples,
                                          size_t n_frames)
{
    const size_t n_samples = n_frames * (size_t)stream->header.n_channels;
    assert(n_samples <= WP_WAV_SAMPLES_MAX && stream->header.sample_bytes == 4);
    pack_floats(samples, stream->bytes, n_samples);
    return append_frames(stream, n_frames);
}

enum wp_status wp_wav_stream_close(struct wp_wav_stream *stream)
{
    static const uint8_t padding = 0;
    enum wp_status status = wp_part_file_status(stream->part);
    if (status) {
        wp_part_file_cut(stream->part,
                         stream->header_size + stream->n_frames * frame_bytes(stream));
    } else if (wp_wav_header_is_padded(&stream->header, stream->n_frames)) {
        status = wp_part_file_append(stream->part, &padding, 1);
    }
    const enum wp_status header_status = update_header(stream);
    return status ? status : header_status;
}

void wp_wav_stream_finish(struct wp_wav_stream *stream)
{
    free(stream->header_bytes);
    stream->header_bytes = NULL;
}
