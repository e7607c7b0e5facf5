/* SPDX-License-Identifier: MIT */
/*
 * windpeal play on a sound server without hardware: what is played is what the log renders
 * offline, a server that is killed and comes back, the rate of the device, the callback.
 * Without jackd, jack_lsp and jack_rec all of it is skipped, unless WINDPEAL_SOUND_SERVER is set.
 */
#include <math.h>
#include <setjmp.h>
#include <signal.h>
#include <stdarg.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include <cmocka.h>

#include "claims.h"
#include "sound.h"
#include "sound_server.h"
#include "watching.h"

static struct sound_server server;

static int start_server(void **state)
{
    (void)state;
    sound_server_start(&server, "48000");
    return 0;
}

static int stop_server(void **state)
{
    (void)state;
    sound_server_stop(&server, false);
    return 0;
}

/* Largest difference of a stretch, in steps of 24 bits. */
static double difference(const struct sound *heard, long offset, const struct sound *wanted,
                         long from, long to)
{
    double most = 0.0;
    for (long i = 2 * from; i < 2 * to; i++) {
        const double d = heard->samples[2 * offset + i] - wanted->samples[i];
        most = fmax(most, fabs(d) * 0x1p23);
    }
    return most;
}

/* The offset at which a stretch of the recording is the rendering, or -1. */
static long find_offset(const struct sound *heard, const struct sound *wanted, long from, long to)
{
    for (long offset = 0; offset + to < (long)heard->info.frames; offset++) {
        const double first = heard->samples[2 * (offset + from)] - wanted->samples[2 * from];
        if (fabs(first) * 0x1p23 < 1.0 && difference(heard, offset, wanted, from, to) < 1.0) {
            return offset;
        }
    }
    return -1;
}

/* A striker in the wind itself: a feed's wind is felt at once. */
static const char windy_set[] = "name: Windy\n"
                                "tubes:\n"
                                "  material: aluminium 6063-T6\n"
                                "  outer_diameter: 32 mm\n"
                                "  wall: 1.6 mm\n"
                                "  notes: [A4, C5, D5, E5]\n"
                                "layout: {ring: {radius: 75 mm}}\n"
                                "striker: {material: hardwood, diameter: 110 mm, mass: 90 g}\n"
                                "drive: {sail: {area: 80 cm2, below: 300 mm}}\n"
                                "site: {height: 4 m, roughness: garden}\n"
                                "listener: {distance: 1 m}\n";

/* One session of some seconds with three reports, recorded as it is played. */
static void record_session(void)
{
    remove("heard.wav");
    program_write_file("windy.yaml", windy_set);
    const pid_t recorder = sound_server_record("heard.wav", "14");
    assert_int_equal(
        watching_script(
            "(echo 'time,wind m/s,gust m/s,direction';"
            " for i in 0 1 2 3 4 5 6 7 8 9; do sleep 0.8;"
            " echo \"2026-11-25T13:30:0${i}Z,$((9 + i % 3)).0,$((13 + i % 3)).0,2${i}0\";"
            " done) | "
            "\"$PLAY\" play windy.yaml"
            " - --calibrated --log session.csv --overwrite --duration '10 s' >play.out"),
        0);
    program_wait(recorder);
    assert_int_equal(
        watching_script(
            "\"$PLAY\" render windy.yaml session.csv --kernel tile --level calibrated --bits float"
            " -o log.wav --overwrite >/dev/null 2>&1"),
        0);
}

/* Rounding to 24 bits is half a step, and full scale is 2^23 to one and 2^23 - 1 to another. The
 * rendering ends in a fade of two seconds. */
static void what_is_heard_is_what_the_log_renders_offline(void **state)
{
    (void)state;
    enum { TRIES = 4, RATE_HZ = 48000 };
    int n_late = 1;
    for (int i = 0; i < TRIES && n_late > 0; i++) {
        const int before = sound_server_count_late();
        record_session();
        n_late = sound_server_count_late() - before;
    }
    if (n_late > 0) {
        print_message("the sound server lost frames every time: this machine is too busy\n");
        skip();
    }
    struct sound heard;
    struct sound wanted;
    sound_load(&heard, "heard.wav");
    sound_load(&wanted, "log.wav");
    assert_true(sound_peak(&wanted, 1.0, 7.5) > 2e-5); /* 170 steps of 24 bits */
    const long last = (long)wanted.info.frames - 2 * RATE_HZ - 1;
    long from = RATE_HZ;
    while (from < last && fabs(wanted.samples[2 * from]) < 1e-6) {
        from++;
    }
    const long offset = find_offset(&heard, &wanted, from, from + RATE_HZ / 4);
    assert_true(offset >= 0);
    assert_true(difference(&heard, offset, &wanted, RATE_HZ / 2, last) <= 0.51);
    sound_finish(&heard);
    sound_finish(&wanted);
}

static void a_killed_server_is_told_within_two_seconds_and_its_successor_played_on(void **state)
{
    (void)state;
    const char *const words[] = {"play", PROGRAM_SET, "--wind", "8 m/s", "--duration",
                                 "60 s", "--gain",    "-20 dB", NULL};
    const pid_t pid = program_start("start", words);
    watching_for("start.err", "on system (JACK) at 48000 Hz", 8.0);
    watching_nap(0.5);
    sound_server_stop(&server, true);
    watching_for("start.err", "it no longer plays", 2.0);
    sound_server_start(&server, "44100"); /* and it runs at another rate now */
    watching_for("start.err", "plays again, 44100 frames a second", 12.0);
    watching_nap(0.5);
    const double before_s = watching_clock_s();
    kill(pid, SIGTERM);
    assert_int_equal(program_wait(pid), 128 + SIGTERM);
    assert_true(watching_clock_s() - before_s < 3.0);
    char *out = program_read_file("start.out", NULL);
    claim_holds(out, "lost 1 time,");
    free(out);
    sound_server_stop(&server, false);
    sound_server_start(&server, "48000");
}

static void leaving_takes_no_time_while_the_server_is_dead(void **state)
{
    (void)state;
    const char *const words[] = {"play", PROGRAM_SET, "--wind", "8 m/s", NULL};
    const pid_t pid = program_start("start", words);
    watching_for("start.err", "on system (JACK)", 8.0);
    sound_server_stop(&server, true);
    const double before_s = watching_clock_s();
    kill(pid, SIGINT);
    assert_int_equal(program_wait(pid), 128 + SIGINT);
    assert_true(watching_clock_s() - before_s < 3.0);
    sound_server_start(&server, "48000");
}

static void devices_are_named_plainly_and_without_noise(void **state)
{
    (void)state;
    struct program_run run;
    RUN(&run, "devices");
    claim_exit(&run, 0);
    claim_holds(run.out, "system (JACK)");
    assert_string_equal(run.err, "");
    program_run_finish(&run);
    RUN(&run, "devices", "--json");
    json_t *root = program_json(&run);
    const json_t *device = json_array_get(json_object_get(root, "devices"), 0);
    assert_true(claim_number(device, "channels") == 2.0);
    assert_true(claim_number(device, "rate_hz") == 48000.0);
    json_decref(root);
    program_run_finish(&run);
}

static void devices_that_do_not_fit_are_refused(void **state)
{
    (void)state;
    claim_fails(2, WORDS("play", PROGRAM_SET, "--beaufort", "4", "--device", "trumpet"),
                WORDS("no loudspeaker has 'trumpet' in its name", "'system (JACK)'"));
    claim_fails(2, WORDS("play", PROGRAM_SET, "--beaufort", "4", "--channels", "tubes"),
                WORDS("has 2 channels; 4 are wanted"));
}

/* Plays under the check until the text is in its file, for the others' sake perhaps doing the
 * forbidden thing itself. */
static pid_t start_checked(const char *planted)
{
    static const char *const words[] = {"play", PROGRAM_SET, "--wind", "8 m/s", NULL};
    char path[64];
    snprintf(path, sizeof path, "%s.txt", planted);
    setenv("WINDPEAL_CHECK", path, 1);
    setenv("WINDPEAL_PLANT", planted, 1);
    setenv("LD_PRELOAD", getenv("WINDPEAL_PRELOAD"), 1);
    const pid_t pid = program_start(planted, words);
    unsetenv("LD_PRELOAD");
    return pid;
}

/* Once with nothing forbidden and once with each of three; all are played at the same time. */
static void the_callback_never_allocates_locks_or_enters_the_system(void **state)
{
    (void)state;
    static const struct {
        const char *planted;
        const char *file;
        const char *found;
    } checks[] = {{"nothing", "nothing.txt", "ran\n"},
                  {"malloc", "malloc.txt", "malloc in the callback\n"},
                  {"lock", "lock.txt", "lock in the callback\n"},
                  {"syscall", "syscall.txt", "system call "}};
    enum { N_CHECKS = sizeof checks / sizeof checks[0] };
    pid_t pids[N_CHECKS];
    if (!getenv("WINDPEAL_PRELOAD")) {
        skip();
    }
    for (size_t i = 0; i < N_CHECKS; i++) {
        pids[i] = start_checked(checks[i].planted);
    }
    for (size_t i = 0; i < N_CHECKS; i++) {
        watching_for(checks[i].file, checks[i].found, 12.0);
    }
    for (size_t i = 0; i < N_CHECKS; i++) {
        kill(pids[i], SIGTERM);
    }
    for (size_t i = 0; i < N_CHECKS; i++) {
        assert_int_equal(program_wait(pids[i]), 128 + SIGTERM);
    }
    char *text = program_read_file("nothing.txt", NULL);
    assert_string_equal(text, "ran\n");
    free(text);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(devices_are_named_plainly_and_without_noise),
        cmocka_unit_test(devices_that_do_not_fit_are_refused),
        cmocka_unit_test(what_is_heard_is_what_the_log_renders_offline),
        cmocka_unit_test(the_callback_never_allocates_locks_or_enters_the_system),
        cmocka_unit_test(a_killed_server_is_told_within_two_seconds_and_its_successor_played_on),
        cmocka_unit_test(leaving_takes_no_time_while_the_server_is_dead),
    };
    void *folder = NULL;
    if (!sound_server_is_installed() && !getenv("WINDPEAL_SOUND_SERVER")) {
        return 77; /* meson's word for skipped */
    }
    program_enter_folder(&folder);
    const int result = cmocka_run_group_tests(tests, start_server, stop_server);
    program_leave_folder(&folder);
    return result;
}
