/* SPDX-License-Identifier: MIT */
/* Standard MIDI Files: bytes as the MIDI 1.0 Detailed Specification (MMA, with RP-001) has them. */
#include "windpeal/midi_file.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

#include "output/midi_bytes.h"
#include "scratch_folder.h"

/* The table of variable-length quantities in RP-001, "Standard MIDI Files 1.0" (from memory). */
static void lengths_are_those_of_the_specification(void **state)
{
    (void)state;
    static const struct {
        uint32_t number;
        size_t n_bytes;
        uint8_t bytes[4];
    } table[] = {
        {0x00000000, 1, {0x00}},
        {0x00000040, 1, {0x40}},
        {0x0000007F, 1, {0x7F}},
        {0x00000080, 2, {0x81, 0x00}},
        {0x00002000, 2, {0xC0, 0x00}},
        {0x00003FFF, 2, {0xFF, 0x7F}},
        {0x00004000, 3, {0x81, 0x80, 0x00}},
        {0x00100000, 3, {0xC0, 0x80, 0x00}},
        {0x001FFFFF, 3, {0xFF, 0xFF, 0x7F}},
        {0x00200000, 4, {0x81, 0x80, 0x80, 0x00}},
        {0x08000000, 4, {0xC0, 0x80, 0x80, 0x00}},
        {0x0FFFFFFF, 4, {0xFF, 0xFF, 0xFF, 0x7F}},
    };
    for (size_t i = 0; i < sizeof table / sizeof table[0]; i++) {
        struct wp_midi_bytes midi = {.bytes = NULL};
        wp_midi_put_length(&midi, table[i].number);
        assert_int_equal(midi.n_bytes, table[i].n_bytes);
        assert_memory_equal(midi.bytes, table[i].bytes, table[i].n_bytes);
        wp_midi_finish(&midi);
    }
}

/* Level = 40 log10(velocity / 127): half the velocity is 12.04 dB less. */
static void half_the_velocity_is_twelve_decibels(void **state)
{
    (void)state;
    assert_int_equal(wp_midi_velocity(0.0), 127);
    assert_int_equal(wp_midi_velocity(3.0), 127);
    assert_int_equal(wp_midi_velocity(-12.04), 64); /* 63.5 */
    assert_int_equal(wp_midi_velocity(-40.0), 13);  /* 12.7 */
    assert_int_equal(wp_midi_velocity(-200.0), 1);  /* 0 would end the note */
}

/* One tube of 446.4 Hz: 69 + 12 log2(446.4 / 440) = 69.25 keys, so a quarter of a semitone up: with
 * two semitones a side 8192 + 0.25 * 4096 = 9216, in sevens of bits 0x00 0x48. Strikes at 1 and 3
 * s, the first cut short by the second, which rings for 2.5 s. The track has 5 + 3 + 6 * 4 + 4 + 5
 * + 5 + 4 + 5 + 4 bytes. */
static void one_tube_gives_these_bytes(void **state)
{
    static const uint8_t want[] =
        {
            'M',  'T',  'h',  'd',  0,    0,    0,    6,    0,    1,    0,    2,    0x03,
            0xE8, 'M',  'T',  'r',  'k',  0,    0,    0,    17,   0x00, 0xFF, 0x03, 2,
            'S',  'x',  0x00, 0xFF, 0x51, 3,    0x0F, 0x42, 0x40, 0x00, 0xFF, 0x2F, 0x00,
            'M',  'T',  'r',  'k',  0,    0,    0,    59,   0x00, 0xFF, 0x03, 1,    'a',
            0x00, 0xC0, 14,   0x00, 0xB0, 101,  0,    0x00, 0xB0, 100,  0,    0x00, 0xB0,
            6,    2,    0x00, 0xB0, 38,   0,    0x00, 0xB0, 101,  127,  0x00, 0xB0, 100,
            127,  0x00, 0xE0, 0x00, 0x48, 0x87, 0x68, 0x90, 69,   127, /* 1000 = 7 * 128 + 104 */
            0x8F, 0x50, 0x80, 69,   64,                                /* 2000 = 15 * 128 + 80 */
            0x00, 0x90, 69,   64,   0x93, 0x44, 0x80, 69,   64,        /* 2500 = 19 * 128 + 68 */
            0x00, 0xFF, 0x2F, 0x00};
    const struct wp_midi_track track = {"a", 440.0 * pow(2.0, 0.25 / 12.0), 2.5};
    static const struct wp_midi_note notes[] = {{1.0, 0, 60.0}, {3.0, 0, 60.0 - 11.95}};
    char path[SCRATCH_PATH_MAX];
    const struct wp_midi_file_config config = {.path = scratch_path(state, "a.mid", path),
                                               .title = "Sx",
                                               .tracks = &track,
                                               .n_tracks = 1,
                                               .notes = notes,
                                               .n_notes = 2};
    assert_int_equal(wp_midi_file_write(&config, NULL), WP_OK);
    size_t size = 0;
    uint8_t *bytes = (uint8_t *)scratch_read(state, "a.mid", &size);
    assert_non_null(bytes);
    assert_int_equal(size, sizeof want);
    assert_memory_equal(bytes, want, sizeof want);
    free(bytes);
    assert_false(scratch_has(state, "a.mid.part"));
    assert_int_equal(wp_midi_file_write(&config, NULL), WP_E_EXISTS);
}

/* 2^28 ms are three days: the longest time between two events. */
static void silence_of_a_week_is_bridged(void **state)
{
    (void)state;
    struct wp_midi_bytes midi = {.bytes = NULL};
    wp_midi_put_time(&midi, 604800000);
    static const uint8_t bridge[] = {0xFF, 0xFF, 0xFF, 0x7F, 0xFF, 0x01, 0x00};
    assert_true(midi.n_bytes > 2 * sizeof bridge);
    assert_memory_equal(midi.bytes, bridge, sizeof bridge);
    assert_memory_equal(midi.bytes + sizeof bridge, bridge, sizeof bridge);
    /* 604800000 - 2 * 268435455 = 67929090 = 0x0C 84 2202: 32, 50, 4, 2 in sevens of bits. */
    static const uint8_t rest[] = {0xA0, 0xB2, 0x88, 0x02};
    assert_int_equal(midi.n_bytes, 2 * sizeof bridge + sizeof rest);
    assert_memory_equal(midi.bytes + 2 * sizeof bridge, rest, sizeof rest);
    wp_midi_finish(&midi);
}

static enum wp_status refusal(const struct wp_midi_track *tracks, size_t n_tracks, const char *part)
{
    struct wp_diags diags;
    wp_diags_init(&diags);
    const struct wp_midi_file_config config = {
        .path = "never.mid", .tracks = tracks, .n_tracks = n_tracks};
    const enum wp_status status = wp_midi_file_write(&config, &diags);
    assert_int_equal(diags.n_errors, 1);
    assert_non_null(strstr(diags.items[0].message, part));
    return status;
}

static void what_no_file_can_hold_is_refused(void **state)
{
    (void)state;
    struct wp_midi_track tracks[16];
    for (size_t i = 0; i < 16; i++) {
        tracks[i] = (struct wp_midi_track){"t", 440.0, 1.0};
    }
    assert_int_equal(refusal(tracks, 16, "cannot hold 16 tubes; expected at most 15"), WP_E_RANGE);
    tracks[1].pitch_hz = 14000.0;
    assert_int_equal(refusal(tracks, 2, "tube 2 at 14000.0 Hz"), WP_E_RANGE);
    tracks[0].pitch_hz = 0.0;
    assert_int_equal(refusal(tracks, 1, "tube 1"), WP_E_RANGE);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(lengths_are_those_of_the_specification),
        cmocka_unit_test(half_the_velocity_is_twelve_decibels),
        cmocka_unit_test_setup_teardown(one_tube_gives_these_bytes, scratch_create, scratch_remove),
        cmocka_unit_test(silence_of_a_week_is_bridged),
        cmocka_unit_test(what_no_file_can_hold_is_refused),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
