/* SPDX-License-Identifier: MIT */
/* The bytes of WAV and RF64 headers against the layouts that Microsoft and the EBU published. */
#include "output/wav_header.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

enum { HEADER_MAX = 2048 };

static struct wp_wav_header plain_stereo(void)
{
    return (struct wp_wav_header){.n_channels = 2, .rate_hz = 48000, .sample_bytes = 3};
}

static uint64_t number_at(const uint8_t *bytes, size_t n_bytes)
{
    uint64_t value = 0;
    for (size_t i = n_bytes; i > 0; i--) {
        value = value << 8 | bytes[i - 1];
    }
    return value;
}

/* Body of a chunk, found by walking from chunk to chunk as a reader does. NULL: none. */
static const uint8_t *find_chunk(const uint8_t *bytes, size_t size, const char *id)
{
    size_t at = 12;
    while (at + 8 <= size) {
        if (memcmp(bytes + at, id, 4) == 0) {
            return bytes + at + 8;
        }
        const size_t body = (size_t)number_at(bytes + at + 4, 4);
        at += 8 + body + body % 2;
    }
    return NULL;
}

/* The canonical 44 bytes (Microsoft and IBM, "Multimedia Programming Interface and Data
 * Specifications 1.0", 1991) of one second at 48 kHz in 24 bits: 288,000 bytes of samples. */
static void plain_stereo_takes_the_canonical_44_bytes(void **state)
{
    (void)state;
    static const uint8_t want[44] = {
        'R',  'I',  'F',  'F', 0x24, 0x65, 0x04, 0, 'W', 'A', 'V', 'E', /* 288036 */
        'f',  'm',  't',  ' ', 16,   0,    0,    0, 1,   0,   2,   0,
        0x80, 0xbb, 0,    0, /* 48000 */
        0x00, 0x65, 0x04, 0,   6,    0,    24,   0, 'd', 'a', 't', 'a',
        0x00, 0x65, 0x04, 0 /* 288000 */
    };
    const struct wp_wav_header header = plain_stereo();
    uint8_t bytes[HEADER_MAX];
    assert_int_equal(wp_wav_header_size(&header), sizeof want);
    wp_wav_header_write(&header, 48000, bytes);
    assert_memory_equal(bytes, want, sizeof want);
}

/* EBU Tech 3306: id RF64, 0xFFFFFFFF in the two 32-bit sizes, true sizes in ds64. A day of stereo
 * at 96 kHz in 24 bits. */
static void rf64_keeps_its_sizes_in_64_bits(void **state)
{
    (void)state;
    const uint64_t n_frames = UINT64_C(96000) * 86400;
    struct wp_wav_header header = plain_stereo();
    header.is_rf64 = true;
    uint8_t bytes[HEADER_MAX];
    const size_t size = wp_wav_header_size(&header);
    wp_wav_header_write(&header, n_frames, bytes);
    assert_memory_equal(bytes,
                        "RF64\xff\xff\xff\xffWAVE"
                        "ds64\x1c\0\0\0",
                        20);
    assert_int_equal(number_at(bytes + 20, 8), size - 8 + UINT64_C(49766400000));
    assert_int_equal(number_at(bytes + 28, 8), UINT64_C(49766400000));
    assert_int_equal(number_at(bytes + 36, 8), n_frames);
    assert_int_equal(number_at(bytes + 44, 4), 0);
    assert_memory_equal(bytes + size - 8, "data\xff\xff\xff\xff", 8);
}

/* The size after the first 8 bytes must fit into 32 bits: 4294967295 = 36 + 6 n + 3 or more. */
static void plain_wav_ends_where_32_bits_end(void **state)
{
    (void)state;
    const struct wp_wav_header header = plain_stereo();
    const uint64_t n_most = (UINT64_C(4294967295) - 36) / 6;
    assert_true(wp_wav_header_is_plain_enough(&header, n_most));
    assert_false(wp_wav_header_is_plain_enough(&header, n_most + 1));
    assert_false(wp_wav_header_is_plain_enough(&header, UINT64_C(1) << 48));
}

/* Other codes than PCM carry an empty extension and a fact chunk with the number of frames
 * (Microsoft, "New Multimedia Data Types and Data Techniques", 1994). */
static void float_has_code_3_and_a_fact_chunk(void **state)
{
    (void)state;
    struct wp_wav_header header = plain_stereo();
    header.sample_bytes = 4;
    uint8_t bytes[HEADER_MAX];
    const size_t size = wp_wav_header_size(&header);
    wp_wav_header_write(&header, 1234, bytes);
    const uint8_t *format = find_chunk(bytes, size, "fmt ");
    const uint8_t *fact = find_chunk(bytes, size, "fact");
    assert_non_null(format);
    assert_non_null(fact);
    assert_int_equal(number_at(format, 2), 3);
    assert_int_equal(number_at(format + 14, 2), 32);
    assert_int_equal(number_at(fact, 4), 1234);
}

/* Microsoft, "Multiple channel audio data and WAVE files": more than two channels take
 * WAVE_FORMAT_EXTENSIBLE; the sub-format is the code at the head of a fixed GUID tail. */
static void many_channels_take_the_extensible_form(void **state)
{
    (void)state;
    static const uint8_t pcm_guid[16] = {1,    0, 0, 0,    0, 0,    0x10, 0,
                                         0x80, 0, 0, 0xaa, 0, 0x38, 0x9b, 0x71};
    struct wp_wav_header header = plain_stereo();
    header.n_channels = 6;
    uint8_t bytes[HEADER_MAX];
    const size_t size = wp_wav_header_size(&header);
    wp_wav_header_write(&header, 10, bytes);
    const uint8_t *format = find_chunk(bytes, size, "fmt ");
    assert_non_null(format);
    assert_int_equal(number_at(format - 4, 4), 40);
    assert_int_equal(number_at(format, 2), 0xfffe);
    assert_int_equal(number_at(format + 12, 2), 18);
    assert_memory_equal(format + 24, pcm_guid, sizeof pcm_guid);
    assert_int_equal(number_at(bytes + size - 4, 4), 180);
}

/* Chunks begin at even places; an odd number of odd samples takes a byte more, which the first size
 * counts and the size of the data does not. */
static void odd_data_is_padded(void **state)
{
    (void)state;
    struct wp_wav_header header = plain_stereo();
    header.n_channels = 1;
    uint8_t bytes[HEADER_MAX];
    const size_t size = wp_wav_header_size(&header);
    wp_wav_header_write(&header, 5, bytes);
    assert_true(wp_wav_header_is_padded(&header, 5));
    assert_false(wp_wav_header_is_padded(&header, 6));
    assert_int_equal(number_at(bytes + 4, 4), size - 8 + 16);
    assert_int_equal(number_at(bytes + size - 4, 4), 15);
}

/* Offsets of EBU Tech 3285: description 256, originator 32, reference 32, date 10, time 8. */
static void a_date_brings_the_broadcast_extension(void **state)
{
    (void)state;
    struct wp_wav_header header = plain_stereo();
    header.title = "Orchard six";
    header.software = "windpeal";
    header.date = "2026-04-11T14:30:05Z";
    uint8_t bytes[HEADER_MAX];
    const size_t size = wp_wav_header_size(&header);
    wp_wav_header_write(&header, 1, bytes);
    const uint8_t *bext = find_chunk(bytes, size, "bext");
    assert_non_null(bext);
    assert_int_equal(number_at(bext - 4, 4), 602);
    assert_string_equal((const char *)bext, "Orchard six");
    assert_string_equal((const char *)bext + 256, "windpeal");
    assert_memory_equal(bext + 320, "2026-04-1114:30:05", 18);
    assert_int_equal(number_at(bext + 346, 2), 1);
    header.date = "spring";
    assert_null(find_chunk(bytes, (wp_wav_header_write(&header, 1, bytes), size), "bext"));
}

/* 256 bytes hold 255 letters and half of a two-byte character, which is left out whole. */
static void a_long_title_is_cut_between_characters(void **state)
{
    (void)state;
    char title[300];
    memset(title, 'a', 255);
    memcpy(title + 255, "\xc3\xa9 and more", 12);
    struct wp_wav_header header = plain_stereo();
    header.title = title;
    header.date = "2026-04-11";
    uint8_t bytes[HEADER_MAX];
    const size_t size = wp_wav_header_size(&header);
    wp_wav_header_write(&header, 1, bytes);
    const uint8_t *bext = find_chunk(bytes, size, "bext");
    assert_non_null(bext);
    assert_memory_equal(bext + 320, "2026-04-1100:00:00", 18);
    assert_int_equal(bext[254], 'a');
    assert_int_equal(bext[255], 0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(plain_stereo_takes_the_canonical_44_bytes),
        cmocka_unit_test(rf64_keeps_its_sizes_in_64_bits),
        cmocka_unit_test(plain_wav_ends_where_32_bits_end),
        cmocka_unit_test(float_has_code_3_and_a_fact_chunk),
        cmocka_unit_test(many_channels_take_the_extensible_form),
        cmocka_unit_test(odd_data_is_padded),
        cmocka_unit_test(a_date_brings_the_broadcast_extension),
        cmocka_unit_test(a_long_title_is_cut_between_characters),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
