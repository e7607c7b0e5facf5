/* SPDX-License-Identifier: MIT */
/* How fast the whole program renders, and its parts: every partial of six tubes always sounding. */

#include <math.h>
#include <stdbool.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/resource.h>
#include <sys/stat.h>
#include <sys/wait.h>
#include <time.h>
#include <unistd.h>

#include "windpeal/chime.h"
#include "windpeal/layout.h"
#include "windpeal/level.h"
#include "windpeal/peal.h"
#include "windpeal/set.h"
#include "windpeal/sound_file.h"
#include "windpeal/strike.h"

enum { RATE = 48000, BLOCK = 4096, PATH_SIZE = 512 };

/* The shortest-lived partials last tenths of a second: often enough to keep all above silence. */
static const double STRIKE_EVERY_S = 0.4;

/* Runs of the program of which the fastest counts: others on the machine, and memory that it has
 * never touched before, only ever slow one down. */
enum { RUNS = 3 };

/* Sound that is rendered. */
static const double LONG_S = 600.0;
static const double SHORT_S = 60.0;

struct bench {
    const char *program;
    const char *set_path;
    char folder[PATH_SIZE / 2];
    char list_path[PATH_SIZE];
    char sound_path[PATH_SIZE];
};

/* What a part took for audio_s of sound. */
struct cost {
    double audio_s;
    double elapsed_s;
    double cpu_s;
    long peak_kb; /* 0: not measured apart */
};

static double clock_s(clockid_t clock)
{
    struct timespec now;
    clock_gettime(clock, &now);
    return (double)now.tv_sec + 1e-9 * (double)now.tv_nsec;
}

static struct cost begin(double audio_s)
{
    return (struct cost){audio_s, -clock_s(CLOCK_MONOTONIC), -clock_s(CLOCK_PROCESS_CPUTIME_ID), 0};
}

static void end(struct cost *cost)
{
    cost->elapsed_s += clock_s(CLOCK_MONOTONIC);
    cost->cpu_s += clock_s(CLOCK_PROCESS_CPUTIME_ID);
}

static void print_cost(const char *part, const struct cost *cost)
{
    printf("%-34s %5.0f s of sound: %6.0f times real time (%6.0f by CPU time)", part, cost->audio_s,
           cost->audio_s / cost->elapsed_s, cost->audio_s / cost->cpu_s);
    if (cost->peak_kb > 0) {
        printf(", peak memory %.1f MB", (double)cost->peak_kb / 1024.0);
    }
    printf("\n");
    fflush(stdout);
}

static bool fail(const char *what)
{
    fprintf(stderr, "bench_program: %s\n", what);
    return false;
}

/* Every tube once in STRIKE_EVERY_S, evenly spread and equally hard, over LONG_S: any of them may
 * be the highest peak. */
static bool write_strikes(const struct bench *bench, size_t n_tubes)
{
    FILE *file = fopen(bench->list_path, "w");
    if (!file) {
        return fail("the strike list cannot be written");
    }
    fprintf(file, "t_s,tube,speed_m_s\n");
    const size_t n_strikes = (size_t)(LONG_S / STRIKE_EVERY_S) * n_tubes;
    for (size_t i = 0; i < n_strikes; i++) {
        fprintf(file, "%.6f,%zu,%.3f\n", (double)i * STRIKE_EVERY_S / (double)n_tubes,
                i % n_tubes + 1, 0.5);
    }
    return fclose(file) == 0 || fail("the strike list cannot be written");
}

static void name_sound(struct bench *bench, const char *ending)
{
    snprintf(bench->sound_path, sizeof bench->sound_path, "%s/sound.%s", bench->folder, ending);
}

/* What a call of the program does. */
struct call {
    const char *level;
    const char *kernel;
    const char *ending; /* of the sound file */
    const char *threads;
};

/* The whole program, as a user calls it. */
static bool bench_run(struct bench *bench, double audio_s, const struct call *call,
                      struct cost *cost)
{
    char duration[32];
    struct rusage usage;
    struct stat info;
    int how = 0;
    snprintf(duration, sizeof duration, "%.0f s", audio_s);
    name_sound(bench, call->ending);
    fflush(stdout);
    *cost = begin(audio_s);
    const pid_t child = fork();
    if (child == 0) {
        if (!freopen("/dev/null", "w", stdout) || !freopen("/dev/null", "w", stderr)) {
            _exit(127);
        }
        execl(bench->program, bench->program, "render", bench->set_path, "--strikes",
              bench->list_path, "--level", call->level, "--kernel", call->kernel, "--threads",
              call->threads, "--bits", "24", "--channels", "stereo", "--rate", "48000",
              "--duration", duration, "--overwrite", "-o", bench->sound_path, (char *)NULL);
        _exit(127);
    }
    if (child < 0 || wait4(child, &how, 0, &usage) != child || how != 0) {
        return fail("the program failed");
    }
    end(cost);
    cost->cpu_s = (double)(usage.ru_utime.tv_sec + usage.ru_stime.tv_sec) +
                  1e-6 * (double)(usage.ru_utime.tv_usec + usage.ru_stime.tv_usec);
    cost->peak_kb = usage.ru_maxrss;
    /* FLAC's share of it depends on the sound; the dither alone is an eighth of a byte a sample. */
    const double frame_bytes = strcmp(call->ending, "flac") == 0 ? 0.25 : 6.0;
    const bool is_whole =
        stat(bench->sound_path, &info) == 0 && (double)info.st_size >= audio_s * RATE * frame_bytes;
    remove(bench->sound_path);
    return is_whole || fail("the sound file is too short");
}

static bool bench_program(struct bench *bench, double audio_s, const struct call *call,
                          struct cost *best)
{
    for (int i = 0; i < RUNS; i++) {
        struct cost cost;
        if (!bench_run(bench, audio_s, call, &cost)) {
            return false;
        }
        if (i == 0 || cost.elapsed_s < best->elapsed_s) {
            *best = cost;
        }
    }
    return true;
}

/* The sound file alone: dither, rounding, packing, writing. */
static bool bench_sink(struct bench *bench, struct cost *cost)
{
    name_sound(bench, "wav");
    static float frames[2 * BLOCK];
    for (size_t i = 0; i < sizeof frames / sizeof *frames; i++) {
        frames[i] = (float)(0.5 * sin(0.01 * (double)i));
    }
    const size_t n_blocks = (size_t)(LONG_S * RATE) / BLOCK;
    const struct wp_sound_file_config config = {
        .path = bench->sound_path,
        .n_channels = 2,
        .rate_hz = RATE,
        .format = WP_PCM_24,
        .n_frames = n_blocks * BLOCK,
        .is_overwriting = true,
    };
    struct wp_sound_file *file;
    *cost = begin((double)(n_blocks * BLOCK) / RATE);
    enum wp_status status = wp_sound_file_create(&file, &config, NULL);
    for (size_t i = 0; i < n_blocks && !status; i++) {
        status = wp_sound_file_write(file, frames, BLOCK);
    }
    if (!status) {
        status = wp_sound_file_commit(file);
    }
    end(cost);
    wp_sound_file_destroy(file);
    return !status || fail("the sound file cannot be written");
}

/* What a peal needs, read and solved once. */
struct scene {
    struct wp_set set;
    struct wp_chime *chime;
    struct wp_layout layout;
    struct wp_striker striker;
    struct wp_strike_context context;
    struct wp_strike_list strikes;
};

static bool load_set(const struct bench *bench, struct scene *scene)
{
    struct wp_chime_config config;
    wp_chime_config_default(&config);
    if (wp_set_load(&scene->set, bench->set_path, NULL) ||
        wp_chime_create(&scene->chime, &scene->set, &config, NULL)) {
        return fail("the set cannot be read");
    }
    if (wp_layout_init(&scene->layout, &scene->set, scene->chime, NULL) ||
        wp_striker_init(&scene->striker, &scene->set, NULL)) {
        return fail("the set's layout or striker is wrong");
    }
    scene->context =
        (struct wp_strike_context){&scene->set, scene->chime, &scene->layout, &scene->striker};
    return true;
}

static bool load_strikes(const struct bench *bench, struct scene *scene)
{
    return !wp_strike_list_load(&scene->strikes, bench->list_path, &scene->context, NULL) ||
           fail("the strike list cannot be read");
}

static size_t count_partials(const struct scene *scene)
{
    size_t n_partials = 0;
    for (size_t i = 0; i < scene->chime->n_tubes; i++) {
        n_partials += scene->chime->tubes[i].n_partials;
    }
    return n_partials;
}

/* Pulls LONG_S through the peal, and through the meter if there is one. */
static bool bench_peal(const struct scene *scene, enum wp_kernel kernel, struct wp_meter *meter,
                       struct cost *cost)
{
    static float frames[2 * BLOCK];
    const struct wp_peal_config config = {
        .set = &scene->set,
        .chime = scene->chime,
        .strikes = &scene->strikes,
        .duration_s = LONG_S,
        .rate_hz = RATE,
        .channels = WP_STEREO,
        .kernel = kernel,
    };
    struct wp_peal *peal;
    if (wp_peal_create(&peal, &config, NULL)) {
        return fail("the peal cannot be built");
    }
    const size_t n_blocks = (size_t)(LONG_S * RATE) / BLOCK;
    *cost = begin((double)(n_blocks * BLOCK) / RATE);
    for (size_t i = 0; i < n_blocks; i++) {
        wp_peal_render(peal, frames, BLOCK);
        if (meter) {
            wp_meter_add(meter, frames, BLOCK);
        }
    }
    end(cost);
    wp_peal_destroy(peal);
    return true;
}

static bool bench_parts(struct bench *bench, const struct scene *scene)
{
    struct cost cost;
    struct wp_meter *meter;
    if (!bench_peal(scene, WP_KERNEL_TILE, NULL, &cost)) {
        return false;
    }
    print_cost("strikes and tubes, tile", &cost);
    if (!bench_peal(scene, WP_KERNEL_BLOCKS, NULL, &cost)) {
        return false;
    }
    print_cost("strikes and tubes, blocks", &cost);
    if (wp_meter_create(&meter, 2, 2, RATE)) {
        return fail("the meter cannot be built");
    }
    const bool is_metered = bench_peal(scene, WP_KERNEL_BLOCKS, meter, &cost);
    wp_meter_destroy(meter);
    if (!is_metered) {
        return false;
    }
    print_cost("the same with the meter", &cost);
    if (!bench_sink(bench, &cost)) {
        return false;
    }
    print_cost("sound file alone", &cost);
    return true;
}

/* On one core but for the last line; the short one shows whether memory grows with the duration. */
static bool bench_whole(struct bench *bench)
{
    static const struct {
        double audio_s;
        struct call call;
    } runs[] = {
        {SHORT_S, {"calibrated", "blocks", "wav", "1"}},
        {LONG_S, {"calibrated", "blocks", "wav", "1"}},
        {LONG_S, {"calibrated", "tile", "wav", "1"}},
        {LONG_S, {"web", "blocks", "wav", "1"}},
        {SHORT_S, {"calibrated", "blocks", "flac", "1"}},
        {LONG_S, {"calibrated", "blocks", "wav", "4"}},
    };
    for (size_t i = 0; i < sizeof runs / sizeof runs[0]; i++) {
        const struct call *call = &runs[i].call;
        struct cost cost;
        char title[64];
        if (!bench_program(bench, runs[i].audio_s, call, &cost)) {
            return false;
        }
        snprintf(title, sizeof title, "%s, %s, %s%s", call->level, call->kernel, call->ending,
                 strcmp(call->threads, "1") == 0 ? "" : ", 4 threads");
        print_cost(title, &cost);
    }
    return true;
}

static bool run(struct bench *bench)
{
    struct scene scene = {0};
    bool is_done = load_set(bench, &scene) && write_strikes(bench, scene.chime->n_tubes) &&
                   load_strikes(bench, &scene);
    if (is_done) {
        printf("%zu tubes, %zu partials in two polarisations each, every tube struck each %.1f s; "
               "stereo, %d Hz, 24 bits; the program's best of %d runs\n",
               scene.chime->n_tubes, count_partials(&scene), STRIKE_EVERY_S, RATE, RUNS);
        is_done = bench_whole(bench) && bench_parts(bench, &scene);
    }
    wp_strike_list_finish(&scene.strikes);
    wp_chime_destroy(scene.chime);
    return is_done;
}

int main(int argc, char **argv)
{
    if (argc != 3) {
        fprintf(stderr, "usage: bench_program WINDPEAL SET\n");
        return 2;
    }
    struct bench bench = {.program = argv[1], .set_path = argv[2]};
    const char *parent = getenv("TMPDIR");
    snprintf(bench.folder, sizeof bench.folder, "%s/windpeal-bench-XXXXXX",
             parent ? parent : "/tmp");
    if (!mkdtemp(bench.folder)) {
        perror(bench.folder);
        return 1;
    }
    snprintf(bench.list_path, sizeof bench.list_path, "%s/list.csv", bench.folder);
    const bool is_done = run(&bench);
    remove(bench.list_path);
    remove(bench.sound_path);
    rmdir(bench.folder);
    return is_done ? 0 : 1;
}
