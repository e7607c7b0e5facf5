/* SPDX-License-Identifier: MIT */
/*
 * How fast sound is made and metered, by either kernel: six tubes of forty partials in two
 * polarisations, all of them ringing, stereo at 48 kHz, on one core. Prints multiples of real time.
 * The yardstick is the textbook resonator, y[n] = a y[n-1] - b y[n-2] in double, one partial after
 * another.
 */

#include <math.h>
#include <stdbool.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

#include <kiss_fft.h>

#include "synth/bank.h"
#include "synth/spectrum.h"
#include "synth/subnormal.h"
#include "windpeal/level.h"

enum { RATE_HZ = 48000, N_TUBES = 6, N_PARTIALS = 80, N_EARS = 2 };

static double now_s(void)
{
    struct timespec now;
    clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &now);
    return (double)now.tv_sec + 1e-9 * (double)now.tv_nsec;
}

static void describe(struct wp_bank_partial partials[N_PARTIALS], double *amplitudes)
{
    for (int m = 0; m < N_PARTIALS; m++) {
        const double pair = (double)(m / 2);
        partials[m].freq_hz = 110.0 + 395.0 * pair + (m % 2 ? 0.7 : 0.0);
        partials[m].t60_s = 3000.0; /* so that nothing falls silent during the measurement */
        amplitudes[m] = 0.002 / (1.0 + 0.1 * pair);
    }
}

static struct wp_bank *make_bank(const struct wp_bank_partial *partials, bool is_blockwise)
{
    struct wp_bank_voice voices[N_TUBES];
    for (int v = 0; v < N_TUBES; v++) {
        voices[v] = (struct wp_bank_voice){partials, N_PARTIALS};
    }
    const struct wp_bank_config config = {
        .rate_hz = RATE_HZ,
        .n_ears = N_EARS,
        .voices = voices,
        .n_voices = N_TUBES,
        .is_blockwise = is_blockwise,
        .is_mixed = true,
    };
    struct wp_bank *bank;
    if (wp_bank_create(&bank, &config)) {
        exit(EXIT_FAILURE);
    }
    return bank;
}

/* Multiple of real time of so many seconds of sound. */
static double run_bank(struct wp_bank *bank, double duration_s)
{
    const double block_s = (double)wp_bank_block(bank) / RATE_HZ;
    const int n_blocks = (int)(duration_s / block_s);
    const double start_s = now_s();
    for (int block = 0; block < n_blocks; block++) {
        wp_bank_render(bank);
    }
    return n_blocks * block_s / (now_s() - start_s);
}

/* Microseconds for one strike: all partials of a tube at both ears. */
static double run_strikes(struct wp_bank *bank, const double *amplitudes, size_t n_strikes)
{
    const double start_s = now_s();
    for (size_t i = 0; i < n_strikes; i++) {
        for (size_t ear = 0; ear < N_EARS; ear++) {
            const double onset = (double)(i % wp_bank_block(bank)) + 0.25;
            const struct wp_bank_blow blow = {i % N_TUBES, ear, onset, amplitudes, NULL, NULL};
            wp_bank_excite(bank, &blow);
        }
    }
    return 1e6 * (now_s() - start_s) / (double)n_strikes;
}

/* What a kernel does in silence, for a strike, and with everything ringing. */
struct speed {
    double silent;
    double strike_us;
    double ringing; /* times real time */
};

static struct speed run_kernel(const struct wp_bank_partial *partials, const double *amplitudes,
                               bool is_blockwise)
{
    struct speed speed;
    struct wp_bank *bank = make_bank(partials, is_blockwise);
    const uint64_t setting = wp_subnormal_flush();
    speed.silent = run_bank(bank, 60.0);
    wp_bank_render(bank);
    speed.strike_us = run_strikes(bank, amplitudes, 6000);
    speed.ringing = run_bank(bank, is_blockwise ? 240.0 : 60.0);
    wp_subnormal_restore(setting);
    wp_bank_destroy(bank);
    return speed;
}

/* What the second of a decay costs from far above silence on and from just above it on. */
static void run_decay(const struct wp_bank_partial *partials, const double *amplitudes)
{
    struct wp_bank_partial ringing[N_PARTIALS];
    double faint[N_PARTIALS];
    for (int m = 0; m < N_PARTIALS; m++) {
        ringing[m] = (struct wp_bank_partial){partials[m].freq_hz, 60.0};
        faint[m] = 2e-8 * amplitudes[m]; /* ends at 1e-12, where a partial is dropped */
    }
    for (int kernel = 0; kernel < 2; kernel++) {
        double speed[2];
        for (int end = 0; end < 2; end++) {
            struct wp_bank *bank = make_bank(ringing, kernel == 1);
            const uint64_t setting = wp_subnormal_flush();
            wp_bank_render(bank);
            run_strikes(bank, end == 0 ? amplitudes : faint, N_TUBES);
            speed[end] = run_bank(bank, 20.0);
            wp_subnormal_restore(setting);
            wp_bank_destroy(bank);
        }
        printf("%s, start of a decay and its end: %6.0f and %6.0f times real time\n",
               kernel == 1 ? "blocks" : "tile  ", speed[0], speed[1]);
    }
}

/* Multiples of real time of the block kernel's transform alone, our own and KissFFT's. */
static void run_transforms(double *own, double *kiss)
{
    enum { N_RUNS = 20000, N_KISS_RUNS = 2000 };
    static struct wp_spectrum_window window;
    static struct wp_spectrum spectra[2];
    static float frames[2][WP_SPECTRUM_FRAMES];
    static kiss_fft_cpx in[WP_TRANSFORM];
    static kiss_fft_cpx out[WP_TRANSFORM];
    const double block_s = (double)WP_SPECTRUM_FRAMES / RATE_HZ;
    wp_spectrum_window_init(&window);
    double start_s = now_s();
    for (int i = 0; i < N_RUNS; i++) {
        spectra[0].re[100 + i % 800] = 1.0f;
        wp_spectrum_sound(&window, &spectra[0], &spectra[1], frames[0], frames[1]);
    }
    *own = N_RUNS * block_s / (now_s() - start_s);
    kiss_fft_cfg config = kiss_fft_alloc(WP_TRANSFORM, 1, NULL, NULL);
    if (!config) {
        exit(EXIT_FAILURE);
    }
    start_s = now_s();
    for (int i = 0; i < N_KISS_RUNS; i++) {
        in[100 + i % 800].r = 1.0f;
        kiss_fft(config, in, out);
    }
    *kiss = N_KISS_RUNS * block_s / (now_s() - start_s);
    kiss_fft_free(config);
}

/* One second of the yardstick; returns its multiple of real time and adds to the checksum. */
static double run_yardstick(const struct wp_bank_partial *partials, const double *amplitudes,
                            double *checksum)
{
    enum { N_FRAMES = RATE_HZ / 4 };
    static double out[N_FRAMES];
    const double start_s = now_s();
    for (int voice = 0; voice < N_TUBES * N_EARS; voice++) {
        for (int m = 0; m < N_PARTIALS; m++) {
            const double size = exp(-log(1000.0) / (partials[m].t60_s * RATE_HZ));
            const double angle = 2.0 * M_PI * partials[m].freq_hz / RATE_HZ;
            const double a = 2.0 * size * cos(angle);
            const double b = size * size;
            double y1 = amplitudes[m] * sin(angle);
            double y2 = 0.0;
            for (int i = 0; i < N_FRAMES; i++) {
                const double y = a * y1 - b * y2;
                y2 = y1;
                y1 = y;
                out[i] += y;
            }
        }
    }
    const double elapsed_s = now_s() - start_s;
    *checksum += out[N_FRAMES / 2];
    return (double)N_FRAMES / RATE_HZ / elapsed_s;
}

/* Stereo of the mixed bank, a tube struck every 0.8 s, kept for the meter. */
static float *record(const struct wp_bank_partial *partials, const double *amplitudes,
                     size_t n_frames)
{
    struct wp_bank_partial ringing[N_PARTIALS];
    float *frames = calloc(N_EARS * n_frames, sizeof *frames);
    for (int m = 0; m < N_PARTIALS; m++) {
        ringing[m] = (struct wp_bank_partial){partials[m].freq_hz, 6.0 / (1.0 + 0.2 * m)};
    }
    struct wp_bank *bank = make_bank(ringing, false);
    const size_t n_block = wp_bank_block(bank);
    for (size_t block = 0; frames && block < n_frames / n_block; block++) {
        wp_bank_render(bank);
        for (size_t ear = 0; ear < N_EARS && block % 150 == 0; ear++) {
            const struct wp_bank_blow blow = {
                block / 150 % N_TUBES, ear, 7.5, amplitudes, NULL, NULL};
            wp_bank_excite(bank, &blow);
        }
        for (size_t i = 0; i < N_EARS * n_block; i++) {
            frames[N_EARS * block * n_block + i] = wp_bank_frames(bank, 0, i % N_EARS)[i / N_EARS];
        }
    }
    wp_bank_destroy(bank);
    return frames;
}

static double run_meter(const float *frames, size_t n_frames, struct wp_levels *levels)
{
    struct wp_meter *meter;
    if (!frames || wp_meter_create(&meter, N_EARS, N_EARS, RATE_HZ)) {
        exit(EXIT_FAILURE);
    }
    const double start_s = now_s();
    for (size_t i = 0; i < n_frames; i += 4096) {
        wp_meter_add(meter, frames + 2 * i, n_frames - i < 4096 ? n_frames - i : 4096);
    }
    wp_meter_result(meter, levels);
    const double elapsed_s = now_s() - start_s;
    wp_meter_destroy(meter);
    return (double)n_frames / RATE_HZ / elapsed_s;
}

static void print_kernel(const char *name, const struct speed *speed, double yardstick)
{
    const double giga = 1e-9 * RATE_HZ * N_TUBES * N_PARTIALS * N_EARS;
    printf("%s: %6.0f times real time (%5.1f G partial-samples/s), %5.0f times the resonators\n",
           name, speed->ringing, speed->ringing * giga, speed->ringing / yardstick);
    printf("        in silence %.0f times real time; one strike, both ears, %.1f us\n",
           speed->silent, speed->strike_us);
}

int main(void)
{
    enum { N_METERED = 6000 * WP_BANK_BLOCK };
    struct wp_bank_partial partials[N_PARTIALS];
    double amplitudes[N_PARTIALS];
    double checksum = 0.0;
    double own;
    double kiss;
    struct wp_levels levels;
    describe(partials, amplitudes);
    const struct speed tile = run_kernel(partials, amplitudes, false);
    const struct speed blocks = run_kernel(partials, amplitudes, true);
    const double yardstick = run_yardstick(partials, amplitudes, &checksum);
    run_transforms(&own, &kiss);
    float *frames = record(partials, amplitudes, N_METERED);
    const double meter = run_meter(frames, N_METERED, &levels);
    free(frames);
    printf("%d partials ringing, stereo; CPU time of one core\n", N_TUBES * N_PARTIALS);
    printf("resonators in double, one by one: %.1f times real time\n", yardstick);
    print_kernel("tile  ", &tile, yardstick);
    print_kernel("blocks", &blocks, yardstick);
    printf("transform of the blocks alone: %.0f times real time; KissFFT's: %.0f\n", own, kiss);
    run_decay(partials, amplitudes);
    printf("meter: %.0f times real time (%.1f LUFS)\n", meter, levels.integrated_lufs);
    return isfinite(checksum) ? EXIT_SUCCESS : EXIT_FAILURE;
}
