/* SPDX-License-Identifier: MIT */
/*
 * How fast sound is made and metered: six tubes of forty partials in two polarisations, all of them
 * ringing, stereo at 48 kHz, on one core. Prints multiples of real time. The yardstick is the
 * textbook resonator, y[n] = a y[n-1] - b y[n-2] in double, one partial after another.
 */

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

#include "synth/bank.h"
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

static struct wp_bank *make_bank(const struct wp_bank_partial *partials)
{
    struct wp_bank_voice voices[N_TUBES];
    for (int v = 0; v < N_TUBES; v++) {
        voices[v] = (struct wp_bank_voice){partials, N_PARTIALS};
    }
    const struct wp_bank_config config = {
        .rate_hz = RATE_HZ, .n_ears = N_EARS, .voices = voices, .n_voices = N_TUBES};
    struct wp_bank *bank;
    if (wp_bank_create(&bank, &config)) {
        exit(EXIT_FAILURE);
    }
    return bank;
}

/* Multiple of real time of n_blocks blocks. */
static double run_bank(struct wp_bank *bank, int n_blocks)
{
    const double start_s = now_s();
    for (int block = 0; block < n_blocks; block++) {
        wp_bank_render(bank);
    }
    return n_blocks * (double)WP_BANK_BLOCK / RATE_HZ / (now_s() - start_s);
}

/* Microseconds for one strike: all partials of a tube at both ears. */
static double run_strikes(struct wp_bank *bank, const double *amplitudes, int n_strikes)
{
    const double start_s = now_s();
    for (int i = 0; i < n_strikes; i++) {
        for (size_t ear = 0; ear < N_EARS; ear++) {
            const double onset = (double)(i % WP_BANK_BLOCK) + 0.25;
            const struct wp_bank_blow blow = {(size_t)i % N_TUBES, ear,  onset,
                                              amplitudes,          NULL, NULL};
            wp_bank_excite(bank, &blow);
        }
    }
    return 1e6 * (now_s() - start_s) / n_strikes;
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

/* Stereo from two tubes of the bank, struck every 0.8 s, kept for the meter. */
static float *record(const struct wp_bank_partial *partials, const double *amplitudes,
                     size_t n_blocks)
{
    struct wp_bank_partial ringing[N_PARTIALS];
    float *frames = calloc(2 * n_blocks * WP_BANK_BLOCK, sizeof *frames);
    for (int m = 0; m < N_PARTIALS; m++) {
        ringing[m] = (struct wp_bank_partial){partials[m].freq_hz, 6.0 / (1.0 + 0.2 * m)};
    }
    struct wp_bank *bank = make_bank(ringing);
    for (size_t block = 0; frames && block < n_blocks; block++) {
        wp_bank_render(bank);
        for (size_t ear = 0; ear < N_EARS && block % 150 == 0; ear++) {
            const struct wp_bank_blow blow = {
                block / 150 % N_TUBES, ear, 7.5, amplitudes, NULL, NULL};
            wp_bank_excite(bank, &blow);
        }
        for (size_t i = 0; i < WP_BANK_BLOCK; i++) {
            float *frame = &frames[2 * (block * WP_BANK_BLOCK + i)];
            for (size_t v = 0; v < N_TUBES; v++) {
                frame[0] += wp_bank_frames(bank, v, 0)[i];
                frame[1] += wp_bank_frames(bank, v, 1)[i];
            }
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

int main(void)
{
    enum { N_BLOCKS = 12000, N_METERED = 6000 };
    struct wp_bank_partial partials[N_PARTIALS];
    double amplitudes[N_PARTIALS];
    double checksum = 0.0;
    struct wp_levels levels;
    describe(partials, amplitudes);
    struct wp_bank *bank = make_bank(partials);
    const uint64_t setting = wp_subnormal_flush();
    const double silent = run_bank(bank, N_BLOCKS);
    wp_bank_render(bank);
    const double strike_us = run_strikes(bank, amplitudes, 6000);
    const size_t n_ringing = wp_bank_count_ringing(bank);
    const double kernel = run_bank(bank, N_BLOCKS);
    wp_subnormal_restore(setting);
    wp_bank_destroy(bank);
    const double yardstick = run_yardstick(partials, amplitudes, &checksum);
    float *frames = record(partials, amplitudes, N_METERED);
    const double meter = run_meter(frames, (size_t)N_METERED * WP_BANK_BLOCK, &levels);
    free(frames);
    const double giga = 1e-9 * RATE_HZ * (double)(n_ringing * N_EARS);
    printf("bank, %zu partials ringing, stereo: %.0f times real time (%.1f G partial-samples/s)\n",
           n_ringing, kernel, kernel * giga);
    printf("resonators in double, one by one:   %.1f times real time (%.2f G partial-samples/s)\n",
           yardstick, yardstick * giga);
    printf("bank over resonators:               %.0f\n", kernel / yardstick);
    printf("bank in silence:                    %.0f times real time\n", silent);
    printf("one strike, both ears:              %.1f us\n", strike_us);
    printf("meter, stereo:                      %.0f times real time (%.1f LUFS)\n", meter,
           levels.integrated_lufs);
    return isfinite(checksum) ? EXIT_SUCCESS : EXIT_FAILURE;
}
