/* SPDX-License-Identifier: MIT */
/* Note names. */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>

#include "windpeal/quantity.h"

static double note_hz(const char *text)
{
    double freq_hz = NAN;
    assert_int_equal(wp_note_parse(text, 440.0, &freq_hz), WP_OK);
    return freq_hz;
}

/* ISO 16:1975: A4 is 440 Hz. The others in equal temperament, to a hundredth of a hertz as in any
 * table of pitches (from memory). */
static void notes_have_the_pitches_of_the_table(void **state)
{
    (void)state;
    assert_true(note_hz("A4") == 440.0);
    assert_true(note_hz("A3") == 220.0 && note_hz("A7") == 3520.0);
    assert_true(fabs(note_hz("C4") - 261.63) < 0.005);
    assert_true(fabs(note_hz("E5") - 659.26) < 0.005);
    assert_true(fabs(note_hz("G2") - 98.00) < 0.005);
    assert_true(fabs(note_hz("C8") - 4186.01) < 0.005);
    assert_true(fabs(note_hz("A0") - 27.5) < 1e-12);
    assert_true(fabs(note_hz("C-1") - 8.176) < 0.0005);
    assert_true(fabs(note_hz("C10") - 16744.04) < 0.005);
}

static void spellings_of_one_key_agree(void **state)
{
    (void)state;
    const char *const same[][2] = {
        {"C#4", "Db4"},
        {"E4", "Fb4"},
        {"B3", "Cb4"},
        {"B#3", "C4"},
        {"C##4", "D4"},
        {"Abb4", "G4"},
        {"F\xE2\x99\xAF"
         "4",
         "Gb4"},
        {"B\xE2\x99\xAD"
         "2",
         "A#2"},
    };
    for (size_t i = 0; i < sizeof same / sizeof same[0]; i++) {
        assert_true(fabs(note_hz(same[i][0]) / note_hz(same[i][1]) - 1.0) < 1e-14);
    }
}

static void cents_bend_a_note(void **state)
{
    (void)state;
    assert_true(fabs(1200.0 * log2(note_hz("A3 +12") / 220.0) - 12.0) < 1e-9);
    assert_true(fabs(1200.0 * log2(note_hz("Bb2 -14") / note_hz("Bb2")) + 14.0) < 1e-9);
    assert_true(fabs(1200.0 * log2(note_hz("A3 +0.5") / 220.0) - 0.5) < 1e-9);
    assert_true(fabs(note_hz("C4 +100") / note_hz("C#4") - 1.0) < 1e-14);
}

static void reference_shifts_all_notes(void **state)
{
    (void)state;
    double freq_hz = NAN;
    assert_int_equal(wp_note_parse("A3", 432.0, &freq_hz), WP_OK);
    assert_true(freq_hz == 216.0);
}

static void what_is_no_note_is_refused(void **state)
{
    (void)state;
    const char *const texts[] = {"",        "H4",       "a4",       "A",     "A#",     "A-2",
                                 "A11",     "C#b4",     "A###4",    "A4 12", "A4+12",  "A4 +",
                                 "A4 +101", "A4 +12 c", "A4 sharp", "4A",    "440 Hz", "A4 +nan"};
    for (size_t i = 0; i < sizeof texts / sizeof texts[0]; i++) {
        double freq_hz = 77.0;
        if (wp_note_parse(texts[i], 440.0, &freq_hz) != WP_E_SYNTAX || freq_hz != 77.0) {
            fail_msg("'%s' was read as a note", texts[i]);
        }
    }
}

/* Spellings that people use beside the scientific one: common practice, no source. */
static void slips_suggest_the_note_that_was_meant(void **state)
{
    (void)state;
    const char *const meant[][2] = {
        {"g4", "G4"},
        {"H4", "B4"},
        {"hb3", "Bb3"},
        {"C# 4", "C#4"},
        {"C # 4", "C#4"},
        {"A4+12", "A4 +12"},
        {"A4 + 12 cents", "A4 +12"},
        {"a4-7.5c", "A4 -7.5"},
        {"\tBb-1 -100ct ", ""},
        {"A", ""},
        {"A11", ""},
        {"A4 +101", ""},
        {"440 Hz", ""},
        {"", ""},
        {"A4 sharp", ""},
        {"A4 +.", ""},
    };
    for (size_t i = 0; i < sizeof meant / sizeof meant[0]; i++) {
        char note[24];
        const bool has_note = wp_note_suggest(meant[i][0], note, sizeof note);
        assert_string_equal(note, meant[i][1]);
        assert_int_equal(has_note, meant[i][1][0] != '\0');
    }
    char brief[4];
    assert_false(wp_note_suggest("A4+12", brief, sizeof brief));
}

static void frequency_is_named_by_the_nearest_note(void **state)
{
    (void)state;
    char text[16];
    wp_note_format(220.0, 440.0, WP_SPELLING_SHARPS, text, sizeof text);
    assert_string_equal(text, "A3");
    wp_note_format(note_hz("C#4 -14"), 440.0, WP_SPELLING_SHARPS, text, sizeof text);
    assert_string_equal(text, "C#4 -14");
    wp_note_format(note_hz("B3 +49"), 440.0, WP_SPELLING_SHARPS, text, sizeof text);
    assert_string_equal(text, "B3 +49");
    wp_note_format(note_hz("B3 +51"), 440.0, WP_SPELLING_SHARPS, text, sizeof text);
    assert_string_equal(text, "C4 -49");
    wp_note_format(note_hz("A4 +0.4"), 440.0, WP_SPELLING_SHARPS, text, sizeof text);
    assert_string_equal(text, "A4");
    wp_note_format(note_hz("Bb4 +3"), 440.0, WP_SPELLING_FLATS, text, sizeof text);
    assert_string_equal(text, "Bb4 +3");
    wp_note_format(1e-300, 440.0, WP_SPELLING_SHARPS, text, sizeof text);
    wp_note_format(1e300, 440.0, WP_SPELLING_SHARPS, text, sizeof text);
}

static void every_key_reads_back(void **state)
{
    (void)state;
    for (int key = 0; key < 128; key++) { /* MIDI numbers: 69 is A4 */
        char text[16];
        double freq_hz = NAN;
        const double want = 440.0 * exp2((key - 69) / 12.0);
        wp_note_format(want, 440.0, WP_SPELLING_SHARPS, text, sizeof text);
        assert_int_equal(wp_note_parse(text, 440.0, &freq_hz), WP_OK);
        assert_true(fabs(freq_hz / want - 1.0) < 1e-14);
    }
}

static void accidental_is_told_of_a_name(void **state)
{
    (void)state;
    assert_int_equal(wp_note_accidental("Bb4"), -1);
    assert_int_equal(wp_note_accidental("B\xE2\x99\xAD"
                                        "4 +20"),
                     -1);
    assert_int_equal(wp_note_accidental(" F##3"), 2);
    assert_int_equal(wp_note_accidental("B4 -14"), 0);
    assert_int_equal(wp_note_accidental(""), 0);
    assert_int_equal(wp_note_accidental("b4"), 0); /* no note: letters are capital */
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(notes_have_the_pitches_of_the_table),
        cmocka_unit_test(spellings_of_one_key_agree),
        cmocka_unit_test(cents_bend_a_note),
        cmocka_unit_test(reference_shifts_all_notes),
        cmocka_unit_test(what_is_no_note_is_refused),
        cmocka_unit_test(slips_suggest_the_note_that_was_meant),
        cmocka_unit_test(frequency_is_named_by_the_nearest_note),
        cmocka_unit_test(accidental_is_told_of_a_name),
        cmocka_unit_test(every_key_reads_back),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
