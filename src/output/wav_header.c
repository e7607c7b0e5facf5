/* SPDX-License-Identifier: MIT */
/* Lays out the bytes before the samples of a WAV or RF64 file. */

#include "output/wav_header.h"

#include <assert.h>
#include <string.h>

/* Format codes of the fmt chunk (Microsoft, mmreg.h). */
enum { CODE_PCM = 1, CODE_FLOAT = 3, CODE_EXTENSIBLE = 0xfffe };

/* Sizes in bytes: a chunk's id and size, and bodies. */
enum {
    CHUNK_HEAD = 8,
    RIFF_BODY = 4,            /* "WAVE" */
    DS64_BODY = 28,           /* EBU Tech 3306, without a table */
    FMT_BODY = 16,            /* PCM */
    FMT_FLOAT_BODY = 18,      /* with the empty extension that other codes need */
    FMT_MANY_BODY = 40,       /* WAVEFORMATEXTENSIBLE */
    FACT_BODY = 4,            /* wanted for everything but PCM */
    BEXT_BODY = 602,          /* EBU Tech 3285, version 1, without coding history */
    BEXT_RESERVED = 64 + 190, /* UMID, none here, and reserved bytes */
};

/* Stands in 32-bit fields whose value is in the ds64 chunk. */
static const uint64_t IN_DS64 = 0xffffffff;

/* Where the next bytes go. With NULL the bytes are only counted. */
struct cursor {
    uint8_t *bytes;
    size_t n;
};

/* Little-endian. */
static void put_number(struct cursor *cursor, uint64_t value, size_t n_bytes)
{
    for (size_t i = 0; i < n_bytes; i++) {
        if (cursor->bytes) {
            cursor->bytes[cursor->n] = (uint8_t)(value >> (8 * i));
        }
        cursor->n++;
    }
}

/* The first field_size bytes of a text; zeros fill up the rest. */
static void put_text(struct cursor *cursor, const char *text, size_t field_size)
{
    const size_t length = strlen(text);
    for (size_t i = 0; i < field_size; i++) {
        put_number(cursor, i < length ? (unsigned char)text[i] : 0, 1);
    }
}

static void put_chunk_head(struct cursor *cursor, const char *id, uint64_t size)
{
    put_text(cursor, id, 4);
    put_number(cursor, size, 4);
}

static bool is_float(const struct wp_wav_header *header)
{
    return header->sample_bytes == 4;
}

static uint64_t data_size(const struct wp_wav_header *header, uint64_t n_frames)
{
    return n_frames * (uint64_t)header->n_channels * header->sample_bytes;
}

/* Everything after the first chunk head. */
static uint64_t riff_size(const struct wp_wav_header *header, uint64_t n_frames)
{
    return wp_wav_header_size(header) - CHUNK_HEAD + data_size(header, n_frames) +
           wp_wav_header_is_padded(header, n_frames);
}

static void put_riff(struct cursor *cursor, const struct wp_wav_header *header, uint64_t n_frames,
                     uint64_t size)
{
    put_chunk_head(cursor, header->is_rf64 ? "RF64" : "RIFF", header->is_rf64 ? IN_DS64 : size);
    put_text(cursor, "WAVE", RIFF_BODY);
    if (header->is_rf64) {
        put_chunk_head(cursor, "ds64", DS64_BODY);
        put_number(cursor, size, 8);
        put_number(cursor, data_size(header, n_frames), 8);
        put_number(cursor, n_frames, 8);
        put_number(cursor, 0, 4); /* entries of the table of further large chunks */
    }
}

/* More than two channels take the extensible form with no loudspeaker named (mask 0). */
static void put_format(struct cursor *cursor, const struct wp_wav_header *header)
{
    const bool is_many = header->n_channels > 2;
    const uint64_t code = is_float(header) ? CODE_FLOAT : CODE_PCM;
    const uint64_t frame_bytes = data_size(header, 1);
    const uint64_t rate = (uint64_t)header->rate_hz;
    put_chunk_head(cursor, "fmt ",
                   is_many            ? FMT_MANY_BODY
                   : is_float(header) ? FMT_FLOAT_BODY
                                      : FMT_BODY);
    put_number(cursor, is_many ? CODE_EXTENSIBLE : code, 2);
    put_number(cursor, (uint64_t)header->n_channels, 2);
    put_number(cursor, rate, 4);
    put_number(cursor, rate * frame_bytes, 4);
    put_number(cursor, frame_bytes, 2);
    put_number(cursor, 8 * header->sample_bytes, 2);
    if (is_many) {
        static const uint8_t guid_tail[14] = {0, 0, 0,    0, 0x10, 0,    0x80,
                                              0, 0, 0xaa, 0, 0x38, 0x9b, 0x71};
        put_number(cursor, FMT_MANY_BODY - FMT_FLOAT_BODY, 2);
        put_number(cursor, 8 * header->sample_bytes, 2);
        put_number(cursor, 0, 4);
        put_number(cursor, code, 2);
        for (size_t i = 0; i < sizeof guid_tail; i++) {
            put_number(cursor, guid_tail[i], 1);
        }
    } else if (is_float(header)) {
        put_number(cursor, 0, 2);
    }
}

static void put_fact(struct cursor *cursor, const struct wp_wav_header *header, uint64_t n_frames)
{
    if (is_float(header)) {
        put_chunk_head(cursor, "fact", FACT_BODY);
        put_number(cursor, header->is_rf64 ? IN_DS64 : n_frames, 4);
    }
}

/* Length of the longest beginning of text that fits and does not cut a UTF-8 character. */
static size_t fitting_length(const char *text, size_t field_size)
{
    size_t length = strlen(text);
    if (length > field_size) {
        length = field_size;
        while (length > 0 && ((unsigned char)text[length] & 0xc0) == 0x80) {
            length--;
        }
    }
    return length;
}

static void put_field(struct cursor *cursor, const char *text, size_t field_size)
{
    const size_t length = text ? fitting_length(text, field_size) : 0;
    if (length > 0) {
        put_text(cursor, text, length);
    }
    put_text(cursor, "", field_size - length);
}

/* True for 2026-04-11, whatever follows. */
static bool begins_with_date(const char *text)
{
    static const char shape[] = "dddd-dd-dd";
    for (size_t i = 0; text && shape[i]; i++) {
        const bool is_digit = text[i] >= '0' && text[i] <= '9';
        if (shape[i] == 'd' ? !is_digit : text[i] != '-') {
            return false;
        }
    }
    return text != NULL;
}

/* True for T14:00:00 or a blank in the place of T. */
static bool begins_with_time(const char *text)
{
    static const char shape[] = "Tdd:dd:dd";
    for (size_t i = 0; shape[i]; i++) {
        const char c = text[i];
        const bool is_fitting = shape[i] == 'T'   ? c == 'T' || c == ' '
                                : shape[i] == 'd' ? c >= '0' && c <= '9'
                                                  : c == shape[i];
        if (!is_fitting) {
            return false;
        }
    }
    return true;
}

static void put_broadcast(struct cursor *cursor, const struct wp_wav_header *header)
{
    if (!begins_with_date(header->date)) {
        return;
    }
    const char *time = header->date + strlen("2026-04-11");
    put_chunk_head(cursor, "bext", BEXT_BODY);
    put_field(cursor, header->title, 256);
    put_field(cursor, header->software, 32);
    put_field(cursor, NULL, 32); /* originator's reference */
    put_text(cursor, header->date, 10);
    put_text(cursor, begins_with_time(time) ? time + 1 : "00:00:00", 8);
    put_number(cursor, 0, 8); /* first sample since midnight: not used */
    put_number(cursor, 1, 2); /* version */
    put_text(cursor, "", BEXT_RESERVED);
}

/* Bytes of one entry of the INFO list: a zero ends the text, another makes the length even. */
static size_t info_size(const char *text)
{
    const size_t length = text ? strlen(text) : 0;
    return length > 0 ? CHUNK_HEAD + (length + 2) / 2 * 2 : 0;
}

static void put_info(struct cursor *cursor, const char *id, const char *text)
{
    const size_t size = info_size(text);
    if (size > 0) {
        put_chunk_head(cursor, id, strlen(text) + 1);
        put_text(cursor, text, size - CHUNK_HEAD);
    }
}

static void put_tags(struct cursor *cursor, const struct wp_wav_header *header)
{
    const size_t size = info_size(header->title) + info_size(header->software) +
                        info_size(header->date) + info_size(header->comment);
    if (size > 0) {
        put_chunk_head(cursor, "LIST", 4 + size);
        put_text(cursor, "INFO", 4);
        put_info(cursor, "INAM", header->title);
        put_info(cursor, "ISFT", header->software);
        put_info(cursor, "ICRD", header->date);
        put_info(cursor, "ICMT", header->comment);
    }
}

static void put_header(struct cursor *cursor, const struct wp_wav_header *header, uint64_t n_frames,
                       uint64_t size)
{
    put_riff(cursor, header, n_frames, size);
    put_format(cursor, header);
    put_fact(cursor, header, n_frames);
    put_broadcast(cursor, header);
    put_tags(cursor, header);
    put_chunk_head(cursor, "data", header->is_rf64 ? IN_DS64 : data_size(header, n_frames));
}

size_t wp_wav_header_size(const struct wp_wav_header *header)
{
    struct cursor cursor = {NULL, 0};
    put_header(&cursor, header, 0, 0);
    return cursor.n;
}

bool wp_wav_header_is_plain_enough(const struct wp_wav_header *header, uint64_t n_frames)
{
    return riff_size(header, n_frames) <= UINT32_MAX;
}

void wp_wav_header_write(const struct wp_wav_header *header, uint64_t n_frames, uint8_t *bytes)
{
    assert(header->is_rf64 || wp_wav_header_is_plain_enough(header, n_frames));
    struct cursor cursor = {bytes, 0};
    put_header(&cursor, header, n_frames, riff_size(header, n_frames));
}

bool wp_wav_header_is_padded(const struct wp_wav_header *header, uint64_t n_frames)
{
    return data_size(header, n_frames) % 2 == 1;
}
