/* SPDX-License-Identifier: MIT */
/* windpeal render where a set stands: in free air, over ground, in a room, in a recorded room. */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>
#include <sys/stat.h>

#include <cmocka.h>

#include "claims.h"
#include "sound.h"

#define TUBES "tubes: {outer_diameter: 25.4 mm, wall: 1.65 mm, lengths: [600 mm]}\n"

static void write_set(const char *path, const char *room)
{
    char text[512];
    (void)snprintf(text, sizeof text, TUBES "listener: {height: 0.5 m}\n%s\n", room);
    program_write_file(path, text);
}

/* One strike at 0 s, calibrated, in floats. */
static void render(const char *set_path, const char *sound_path, const char *rate)
{
    struct program_run run;
    program_write_file("one.csv", "t_s,tube,speed_m_s\n0.0,1,0.3\n");
    RUN(&run, "render", set_path, "--strikes", "one.csv", "--level", "calibrated", "--bits",
        "float", "--duration", "2 s", "--rate", rate, "--overwrite", "-o", sound_path);
    claim_exit(&run, 0);
    assert_string_equal(run.err, "");
    program_run_finish(&run);
}

static double energy(const struct sound *sound, double from_s, double to_s)
{
    double sum = 0.0;
    const int n_channels = sound->info.channels;
    for (long i = (long)(from_s * sound->info.samplerate);
         i < (long)(to_s * sound->info.samplerate); i++) {
        for (int channel = 0; channel < n_channels; channel++) {
            const double sample = sound->samples[i * n_channels + channel];
            sum += sample * sample;
        }
    }
    return sum;
}

static void free_air_is_what_a_set_without_the_key_has(void **state)
{
    (void)state;
    write_set("without.yaml", "");
    write_set("free.yaml", "room: free");
    write_set("outdoors.yaml", "room: outdoors");
    write_set("grass.yaml", "room: {ground: grass, humidity: 50 %}");
    render("without.yaml", "without.wav", "48000");
    render("free.yaml", "free.wav", "48000");
    render("outdoors.yaml", "outdoors.wav", "48000");
    render("grass.yaml", "grass.wav", "48000");
    assert_true(sound_has_same_bytes("without.wav", "free.wav"));
    assert_true(sound_has_same_bytes("outdoors.wav", "grass.wav"));
    assert_false(sound_has_same_bytes("outdoors.wav", "free.wav"));
}

/* Every set is louder in a room: what it sends elsewhere comes back (Kuttruff, Room Acoustics). */
static void room_adds_what_walls_throw_back(void **state)
{
    (void)state;
    struct sound bare;
    struct sound small;
    struct sound large;
    write_set("free.yaml", "room: free");
    write_set("small.yaml", "room: {size: [5 m, 4 m, 2.6 m], decay: 0.5 s}");
    write_set("large.yaml", "room: {size: [25 m, 20 m, 13 m], decay: 2.5 s}");
    render("free.yaml", "free.wav", "48000");
    render("small.yaml", "small.wav", "48000");
    render("large.yaml", "large.wav", "48000");
    sound_load(&bare, "free.wav");
    sound_load(&small, "small.wav");
    sound_load(&large, "large.wav");
    const double free_energy = energy(&bare, 0.0, 1.5);
    const double large_energy = energy(&large, 0.0, 1.5);
    assert_true(large_energy > free_energy);
    assert_true(energy(&small, 0.0, 1.5) > large_energy);
    sound_finish(&bare);
    sound_finish(&small);
    sound_finish(&large);
}

/* A recorded room that is one echo, 100 ms after the direct sound, at 44.1 kHz and in a folder of
 * its own; the set file names it from where it lies. */
static void write_echo(void)
{
    SF_INFO info = {.channels = 2, .samplerate = 44100, .format = SF_FORMAT_WAV | SF_FORMAT_PCM_24};
    assert_int_equal(mkdir("places", 0777), 0);
    SNDFILE *file = sf_open("places/echo.wav", SFM_WRITE, &info);
    assert_non_null(file);
    for (int i = 0; i < 8000; i++) {
        const float sample = i == 50 ? 0.5f : i == 50 + 4410 ? 0.4f : 0.0f;
        const float frame[2] = {sample, sample};
        assert_int_equal(sf_writef_float(file, frame, 1), 1);
    }
    sf_close(file);
}

static void recorded_room_answers_after_its_time(void **state)
{
    (void)state;
    static const char *const rates[] = {"44100", "48000", "96000"};
    struct sound bare;
    struct sound echo;
    write_echo();
    write_set("free.yaml", "room: free");
    write_set("places/echo.yaml", "room: {impulse: echo.wav}");
    for (size_t i = 0; i < sizeof rates / sizeof rates[0]; i++) {
        render("free.yaml", "free.wav", rates[i]);
        render("places/echo.yaml", "echo.wav", rates[i]);
        sound_load(&bare, "free.wav");
        sound_load(&echo, "echo.wav");
        /* Resampling smears an echo by some samples; the air's part is small at 3 m. */
        const double before = energy(&echo, 0.0, 0.098) / energy(&bare, 0.0, 0.098);
        const double after = energy(&echo, 0.102, 0.2) / energy(&bare, 0.102, 0.2);
        assert_true(before > 0.95 && before < 1.001);
        assert_true(after > 1.5);
        sound_finish(&bare);
        sound_finish(&echo);
    }
}

static void what_cannot_stand_there_is_told_in_a_line(void **state)
{
    (void)state;
    static const struct {
        const char *room;
        const char *part;
        const char *other_part;
    } mistakes[] = {
        {"room: {impulse: none.wav}", "none.wav: the room's impulse response", "No such file"},
        {"room: {impulse: set.yaml}", "set.yaml: this is no sound file", "expected"},
        {"room: {size: [4 m, 4 m, 0.7 m], decay: 0.4 s}", "set.yaml:3:", "do not fit"},
        {"room: {size: [4 m, 4 m, 3 m], decay: 0.05 s}",
         "set.yaml:3:", "expected at least 0.097 s"},
        {"room: {size: [4 m, 2 m, 3 m], decay: 0.4 s}", "set.yaml:3:14", "outside of the room"},
        {"room: {size: [4 m, 4 m, 3 m]}", "set.yaml:3:7", "without its decay"},
        {"room: {grund: gravel}", "set.yaml:3:8", "did you mean 'ground'"},
        {"site: {height: 0.28 m}\nroom: outdoors", "set.yaml:4:7", "hangs into the ground"},
    };
    for (size_t i = 0; i < sizeof mistakes / sizeof mistakes[0]; i++) {
        write_set("set.yaml", mistakes[i].room);
        claim_fails(2, WORDS("render", "set.yaml", "--each", "-o", "out.wav"),
                    WORDS(mistakes[i].part, mistakes[i].other_part));
        assert_false(program_has_file("out.wav"));
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_setup_teardown(free_air_is_what_a_set_without_the_key_has,
                                        program_enter_folder, program_leave_folder),
        cmocka_unit_test_setup_teardown(room_adds_what_walls_throw_back, program_enter_folder,
                                        program_leave_folder),
        cmocka_unit_test_setup_teardown(recorded_room_answers_after_its_time, program_enter_folder,
                                        program_leave_folder),
        cmocka_unit_test_setup_teardown(what_cannot_stand_there_is_told_in_a_line,
                                        program_enter_folder, program_leave_folder),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
