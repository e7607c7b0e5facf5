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

#include "../near.h"
#include "claims.h"
#include "sound.h"

#define TUBES "tubes: {outer_diameter: 25.4 mm, wall: 1.65 mm, lengths: [600 mm]}\n"

static void write_set(const char *path, const char *room)
{
    char text[512];
    (void)snprintf(text, sizeof text, TUBES "listener: {height: 0.5 m}\n%s\n", room);
    program_write_file(path, text);
}

/* Strikes of a list, calibrated, in floats, faded from 1 s on; returns LAFmax. */
static double render_list(const char *set_path, const char *list, const char *sound_path,
                          const char *rate)
{
    struct program_run run;
    program_write_file("list.csv", list);
    RUN(&run, "render", set_path, "--strikes", "list.csv", "--level", "calibrated", "--bits",
        "float", "--duration", "2 s", "--rate", rate, "--overwrite", "-o", sound_path, "--json");
    claim_exit(&run, 0);
    assert_string_equal(run.err, "");
    json_t *root = program_json(&run);
    const double lafmax_db = claim_number(root, "lafmax_db");
    json_decref(root);
    program_run_finish(&run);
    return lafmax_db;
}

/* One strike at 0 s. */
static double render(const char *set_path, const char *sound_path, const char *rate)
{
    return render_list(set_path, "t_s,tube,speed_m_s\n0.0,1,0.3\n", sound_path, rate);
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

/* A sample rate is no property of a place: 0.1 dB. */
static void level_is_the_same_at_every_rate(void **state)
{
    (void)state;
    static const char *const rooms[] = {
        "room: free",
        "room: outdoors",
        "room: {size: [5 m, 4 m, 2.6 m], decay: 0.4 s}",
        "room: {size: [25 m, 20 m, 12 m], decay: 3 s}",
        "room: {impulse: places/echo.wav}",
    };
    static const char *const rates[] = {"44100", "48000", "88200", "96000"};
    write_echo();
    for (size_t room = 0; room < sizeof rooms / sizeof rooms[0]; room++) {
        write_set("set.yaml", rooms[room]);
        const double first_db = render("set.yaml", "out.wav", rates[0]);
        for (size_t rate = 1; rate < sizeof rates / sizeof rates[0]; rate++) {
            assert_near(render("set.yaml", "out.wav", rates[rate]), first_db, 0.1);
        }
    }
}

/* What the echo of a recorded room is made of: a place in the file after the direct sound, and a
 * size relative to it, for each ear. */
enum { DIRECT_AT = 50, LEFT_LATE = 480, RIGHT_LATE = 701, N_RESPONSE = 3000 };

/* Responses, interleaved, behind a direct sound of size 1. */
static void write_response(const char *path, const float *late)
{
    SF_INFO info = {.channels = 2, .samplerate = 48000, .format = SF_FORMAT_WAV | SF_FORMAT_FLOAT};
    SNDFILE *file = sf_open(path, SFM_WRITE, &info);
    assert_non_null(file);
    for (int i = 0; i < DIRECT_AT + N_RESPONSE; i++) {
        float frame[2] = {0.0f, 0.0f};
        if (i == DIRECT_AT) {
            frame[0] = frame[1] = 1.0f;
        } else if (i > DIRECT_AT) {
            memcpy(frame, late + 2 * (size_t)(i - DIRECT_AT), sizeof frame);
        }
        assert_int_equal(sf_writef_float(file, frame, 1), 1);
    }
    sf_close(file);
}

/* Three blows on one ringing tube, the last at once after the second. */
static const char blows[] = "t_s,tube,speed_m_s\n0.1,1,0.3\n0.4217,1,0.5\n0.4239,1,0.1\n";

/* What a response adds to the direct sound alone. */
static void hear_room(struct sound *sound, const float *late, const struct sound *bare)
{
    write_response("room.wav", late);
    write_set("set.yaml", "room: {impulse: room.wav}");
    render_list("set.yaml", blows, "out.wav", "48000");
    sound_load(sound, "out.wav");
    for (long i = 0; bare && i < 2 * sound->info.frames; i++) {
        sound->samples[i] -= i < 2 * bare->info.frames ? bare->samples[i] : 0.0;
    }
}

/*
 * A response that is one reflection gives the room's feed back, later and weaker; any other
 * response is then the sum of the feeds of its samples, in double: -115 dB of the peak is what this
 * program promises.
 */
static void recorded_room_is_the_direct_sum_of_its_reflections(void **state)
{
    (void)state;
    enum { N = 47000 }; /* and no lag later than the fade */
    static float late[2 * N_RESPONSE];
    struct sound bare;
    struct sound one;
    struct sound many;
    hear_room(&bare, late, NULL);
    late[2 * LEFT_LATE] = 0.5f;
    late[2 * RIGHT_LATE + 1] = -0.25f;
    hear_room(&one, late, &bare);
    memset(late, 0, sizeof late);
    uint32_t word = 1; /* numbers by a congruence; from 4 ms on, past the direct sound */
    for (size_t i = (size_t)2 * 192; i < (size_t)2 * N_RESPONSE; i++) {
        word = 1664525u * word + 1013904223u;
        late[i] = 0.4f * ((float)(word >> 8) / 8388608.0f - 1.0f);
    }
    hear_room(&many, late, &bare);
    for (size_t ear = 0; ear < 2; ear++) {
        const size_t lag = ear == 0 ? LEFT_LATE : RIGHT_LATE;
        const double size = ear == 0 ? 0.5 : -0.25;
        double peak = 0.0;
        double worst = 0.0;
        for (size_t i = 0; i < N; i++) {
            double sum = 0.0;
            for (size_t k = 0; k < N_RESPONSE && k <= i; k++) {
                sum += (double)late[2 * k + ear] * one.samples[2 * (i + lag - k) + ear] / size;
            }
            peak = fmax(peak, fabs(sum));
            worst = fmax(worst, fabs(sum - many.samples[2 * i + ear]));
        }
        assert_true(peak > 0.0);
        if (!(20.0 * log10(worst / peak) < -115.0)) {
            fail_msg("ear %zu is off by %.1f dB", ear, 20.0 * log10(worst / peak));
        }
    }
    sound_finish(&bare);
    sound_finish(&one);
    sound_finish(&many);
}

/* Amplitude of a tone between two moments by a raised-cosine window. */
static double tone_at(const struct sound *sound, size_t ear, double from_s, double to_s, double hz)
{
    const long first = (long)(from_s * sound->info.samplerate);
    const long n = (long)((to_s - from_s) * sound->info.samplerate);
    double re = 0.0;
    double im = 0.0;
    for (long i = 0; i < n; i++) {
        const double window = 1.0 - cos(2.0 * M_PI * ((double)i + 0.5) / (double)n);
        const double angle = 2.0 * M_PI * hz * (double)i / sound->info.samplerate;
        const double sample = window * sound->samples[2 * (first + i) + (long)ear];
        re += sample * cos(angle);
        im -= sample * sin(angle);
    }
    return 2.0 * hypot(re, im) / (double)n;
}

/*
 * One reflection of half the direct sound's size, for a source that sends the first partial's power
 * W to all sides alike: p^2 = rho c W / (4 pi r^2) at the distance r (H. Kuttruff, Room Acoustics),
 * times 1/4. W is what 'tubes' tells of a blow of 0.3 m/s, which has died away a little when the
 * tone is measured; full scale is 20 Pa. 20 C: 1.2041 kg/m3 and 343.2 m/s (ISO 2533:1975).
 */
static void recorded_room_sounds_with_the_power_of_the_tube(void **state)
{
    (void)state;
    static float late[2 * N_RESPONSE];
    struct program_run run;
    struct sound bare;
    struct sound one;
    hear_room(&bare, late, NULL);
    late[2 * LEFT_LATE] = 0.5f;
    hear_room(&one, late, &bare);
    RUN(&run, "tubes", "set.yaml", "--json");
    claim_exit(&run, 0);
    json_t *root = program_json(&run);
    const json_t *tube = json_array_get(json_object_get(root, "tubes"), 0);
    const json_t *partial = json_array_get(json_object_get(tube, "partials"), 0);
    const double hz = claim_number(partial, "hz");
    const double r_m = hypot(3.0, 0.5); /* the listener of the set, the default distance */
    const double began_s = 0.1 + (double)LEFT_LATE / 48000.0;
    const double pa2 = 1.2041 * 343.2 * claim_number(partial, "power_w") / (4.0 * M_PI * r_m * r_m);
    const double died_db = 60.0 * (0.27 - began_s) / claim_number(partial, "t60_s");
    const double want_db = 10.0 * log10(0.25 * pa2) - died_db;
    const double got_db = 20.0 * log10(20.0 * tone_at(&one, 0, 0.14, 0.40, hz) * M_SQRT1_2);
    assert_near(got_db, want_db, 0.1);
    json_decref(root);
    program_run_finish(&run);
    sound_finish(&bare);
    sound_finish(&one);
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
        cmocka_unit_test_setup_teardown(level_is_the_same_at_every_rate, program_enter_folder,
                                        program_leave_folder),
        cmocka_unit_test_setup_teardown(recorded_room_is_the_direct_sum_of_its_reflections,
                                        program_enter_folder, program_leave_folder),
        cmocka_unit_test_setup_teardown(recorded_room_sounds_with_the_power_of_the_tube,
                                        program_enter_folder, program_leave_folder),
        cmocka_unit_test_setup_teardown(what_cannot_stand_there_is_told_in_a_line,
                                        program_enter_folder, program_leave_folder),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
