/* SPDX-License-Identifier: MIT */
/* windpeal render stopped by signals. */
#include <setjmp.h>
#include <signal.h>
#include <stdarg.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <sys/stat.h>
#include <time.h>
#include <unistd.h>

#include <cmocka.h>

#include "claims.h"
#include "sound.h"

static void pause_ms(long duration_ms)
{
    const struct timespec pause = {duration_ms / 1000, duration_ms % 1000 * 1000000};
    nanosleep(&pause, NULL);
}

/* Starts a rendering of two hours at a level and stops it after a while; its exit code. */
static int stop_rendering(int signal_number, const char *level, long after_ms)
{
    remove("long.wav.part");
    const pid_t pid =
        program_start("start", WORDS("render", PROGRAM_SET, PROGRAM_WEATHER, "-o", "long.wav",
                                     "--duration", "2 h", "--level", level));
    pause_ms(after_ms);
    kill(pid, signal_number);
    return program_wait(pid);
}

/* Expects the signal's exit code and a part that plays and is named. */
static void claim_stoppable(int signal_number, const char *level)
{
    int exit_code = -1;
    /* A signal before the rendering has begun just ends the program; a slow machine needs time. */
    for (long after_ms = 100; exit_code < 0 && after_ms < 20000; after_ms *= 2) {
        exit_code = stop_rendering(signal_number, level, after_ms);
    }
    assert_int_equal(exit_code, 128 + signal_number);
    assert_false(program_has_file("long.wav"));
    char *text = program_read_file("start.err", NULL);
    claim_holds(text, "long.wav.part");
    free(text);
    struct sound sound;
    sound_load(&sound, "long.wav.part");
    assert_true(sound.info.frames > 0);
    sound_finish(&sound);
}

static void stopped_rendering_leaves_a_playable_part(void **state)
{
    (void)state;
    claim_stoppable(SIGINT, "calibrated");
    claim_stoppable(SIGTERM, "calibrated");
    claim_stoppable(SIGHUP, "calibrated");
}

static void rendering_stopped_while_metering_leaves_a_beginning(void **state)
{
    (void)state;
    claim_stoppable(SIGINT, "web");
}

/* Size of a file; 0 when there is none. */
static long long size_of(const char *path)
{
    struct stat facts;
    return stat(path, &facts) == 0 ? (long long)facts.st_size : 0;
}

/* Nobody can prepare for SIGKILL. The file's size tells how far the sound had come. */
static void claim_killed_part_plays(const char *path, const char *part)
{
    enum { FRAME_BYTES = 6, RATE_HZ = 48000 };
    struct sound sound;
    const pid_t pid =
        program_start("start", WORDS("render", PROGRAM_SET, PROGRAM_WEATHER, "-o", path,
                                     "--duration", "2 h", "--level", "calibrated"));
    for (int i = 0; i < 4000 && size_of(part) < 10 * RATE_HZ * FRAME_BYTES; i++) {
        pause_ms(5);
    }
    kill(pid, SIGKILL);
    assert_int_equal(program_wait(pid), -1);
    assert_false(program_has_file(path));
    sound_load(&sound, part);
    assert_true(sound.info.frames > 8 * RATE_HZ);
    assert_true(sound.info.frames + RATE_HZ >= size_of(part) / FRAME_BYTES - 1000);
    sound_finish(&sound);
}

static void killed_rendering_leaves_a_part_that_plays_to_its_last_second(void **state)
{
    (void)state;
    claim_killed_part_plays("killed.wav", "killed.wav.part");
    claim_killed_part_plays("killed.rf64", "killed.rf64.part");
}

/* As under nohup: a signal that the caller ignores stays ignored. */
static void ignored_hangup_does_not_stop(void **state)
{
    (void)state;
    void (*before)(int) = signal(SIGHUP, SIG_IGN);
    const pid_t pid =
        program_start("start", WORDS("render", PROGRAM_SET, PROGRAM_WEATHER, "-o", "on.wav",
                                     "--duration", "10 min", "--level", "calibrated"));
    for (int i = 0; i < 4000 && size_of("on.wav.part") == 0 && !program_has_file("on.wav"); i++) {
        pause_ms(5);
    }
    kill(pid, SIGHUP);
    const int exit_code = program_wait(pid);
    signal(SIGHUP, before);
    assert_int_equal(exit_code, 0);
    assert_true(program_has_file("on.wav"));
}

static void stopped_stems_stay_parts(void **state)
{
    (void)state;
    static const char *const part = "stems/tube-04-E5.wav.part";
    const pid_t pid = program_start("start", WORDS("render", PROGRAM_SET, PROGRAM_WEATHER, "-o",
                                                   "mix.wav", "--duration", "2 h", "--level",
                                                   "calibrated", "--stems", "stems"));
    for (int i = 0; i < 4000 && size_of(part) < 1000000; i++) {
        pause_ms(5);
    }
    kill(pid, SIGTERM);
    assert_int_equal(program_wait(pid), 128 + SIGTERM);
    assert_false(program_has_file("mix.wav"));
    assert_false(program_has_file("stems/tube-01-A4.wav"));
    struct sound mix;
    struct sound stem;
    sound_load(&mix, "mix.wav.part");
    sound_load(&stem, part);
    assert_int_equal(mix.info.frames, stem.info.frames);
    sound_finish(&mix);
    sound_finish(&stem);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(stopped_rendering_leaves_a_playable_part),
        cmocka_unit_test(rendering_stopped_while_metering_leaves_a_beginning),
        cmocka_unit_test(killed_rendering_leaves_a_part_that_plays_to_its_last_second),
        cmocka_unit_test(ignored_hangup_does_not_stop),
        cmocka_unit_test(stopped_stems_stay_parts),
    };
    return cmocka_run_group_tests(tests, program_enter_folder, program_leave_folder);
}
