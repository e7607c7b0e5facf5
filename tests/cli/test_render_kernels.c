/* SPDX-License-Identifier: MIT */
/* windpeal render --kernel: both ways to sum partials make the same sound, in constant memory. */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <sys/resource.h>

#include <cmocka.h>

#include "claims.h"
#include "sound.h"

static void render(const char *kernel, const char *duration, const char *channels, const char *path)
{
    struct program_run run;
    RUN(&run, "render", PROGRAM_SET, PROGRAM_WEATHER, "--kernel", kernel, "--duration", duration,
        "--channels", channels, "--level", "calibrated", "--bits", "float", "-o", path);
    claim_exit(&run, 0);
    program_run_finish(&run);
}

static void assert_agree(const char *channels, const char *path, const char *other_path)
{
    struct sound tile;
    struct sound blocks;
    double peak = 0.0;
    double worst = 0.0;
    render("tile", "20 s", channels, path);
    render("blocks", "20 s", channels, other_path);
    sound_load(&tile, path);
    sound_load(&blocks, other_path);
    assert_int_equal(tile.info.frames, blocks.info.frames);
    assert_int_equal(tile.info.channels, blocks.info.channels);
    const size_t n = (size_t)tile.info.frames * (size_t)tile.info.channels;
    for (size_t i = 0; i < n; i++) {
        peak = fmax(peak, fabs(tile.samples[i]));
        worst = fmax(worst, fabs(tile.samples[i] - blocks.samples[i]));
    }
    assert_true(peak > 0.0);
    assert_true(20.0 * log10(worst / peak) <= -112.0);
    sound_finish(&tile);
    sound_finish(&blocks);
}

static void kernels_agree_within_112_db(void **state)
{
    (void)state;
    assert_agree("stereo", "stereo-tile.wav", "stereo-blocks.wav");
    assert_agree("tubes", "tubes-tile.wav", "tubes-blocks.wav");
}

/* Most memory that any run so far had, in kilobytes. */
static long most_memory_kb(void)
{
    struct rusage usage;
    assert_int_equal(getrusage(RUSAGE_CHILDREN, &usage), 0);
    return usage.ru_maxrss;
}

/* Ten times as much sound would need 50 MB more if any of it were kept. The sanitizers keep what
 * was freed, so with them this says nothing. */
static void memory_does_not_grow_with_the_duration(void **state)
{
    (void)state;
#if defined(__SANITIZE_ADDRESS__)
    skip();
#elif defined(__has_feature)
#if __has_feature(address_sanitizer)
    skip();
#endif
#endif
    render("blocks", "30 s", "mono", "short.wav");
    const long short_kb = most_memory_kb();
    render("blocks", "5 min", "mono", "long.wav");
    assert_true(most_memory_kb() < short_kb + 2048);
    assert_true(most_memory_kb() < 64 * 1024);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(kernels_agree_within_112_db),
        cmocka_unit_test(memory_does_not_grow_with_the_duration),
    };
    return cmocka_run_group_tests(tests, program_enter_folder, program_leave_folder);
}
