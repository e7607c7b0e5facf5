/* SPDX-License-Identifier: MIT */
/*
 * What live sound costs: the device's callback and the render thread, at 128 frames and 48 kHz,
 * with six tubes of forty partials in two polarisations (480 partials), struck eight times a
 * second; and the render thread with a real set in a breeze. Prints shares of the time that there
 * is.
 */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

#include "output/feeder.h"
#include "windpeal/chime.h"
#include "windpeal/player.h"
#include "windpeal/wind.h"

enum { RATE_HZ = 48000, PERIOD = 128, N_PERIODS = 3750 }; /* ten seconds */

static double now_s(void)
{
    struct timespec now;
    clock_gettime(CLOCK_MONOTONIC, &now);
    return (double)now.tv_sec + 1e-9 * (double)now.tv_nsec;
}

static void fail(const char *what)
{
    fprintf(stderr, "bench_live: %s\n", what);
    exit(EXIT_FAILURE);
}

static int by_size(const void *one, const void *other)
{
    const double a = *(const double *)one;
    const double b = *(const double *)other;
    return (a > b) - (a < b);
}

/* Mean, 99th percentile and worst of the periods, as shares of a period. */
static void print_shares(const char *what, double *spent_s)
{
    double sum = 0.0;
    qsort(spent_s, N_PERIODS, sizeof *spent_s, by_size);
    for (int i = 0; i < N_PERIODS; i++) {
        sum += spent_s[i];
    }
    const double period_s = (double)PERIOD / RATE_HZ;
    printf("%-34s mean %7.4f %%  99th percentile %7.4f %%  worst %7.3f %%\n", what,
           100.0 * sum / N_PERIODS / period_s, 100.0 * spent_s[N_PERIODS * 99 / 100] / period_s,
           100.0 * spent_s[N_PERIODS - 1] / period_s);
}

static struct wp_chime *solve(struct wp_set *set, const char *path)
{
    struct wp_chime_config config;
    struct wp_chime *chime = NULL;
    wp_chime_config_default(&config);
    if (wp_set_load(set, path, NULL) || wp_chime_create(&chime, set, &config, NULL)) {
        fail("the set cannot be read");
    }
    return chime;
}

/* Eight strikes a second, one tube after the other. */
static void strike_often(struct wp_strike_list *list, const struct wp_set *set)
{
    static struct wp_strike strikes[80];
    for (size_t i = 0; i < 80; i++) {
        strikes[i] = (struct wp_strike){0.125 * (double)i, i % set->n_tubes, 0.5, 10.0, 0.05, NAN};
    }
    *list = (struct wp_strike_list){strikes, 80};
}

/* Render thread and callback take turns, each under its own clock. */
static void run(struct wp_peal *peal, double *rendering_s, double *calling_s)
{
    const struct wp_player_config config = {RATE_HZ, 2, 1.0, 0.3};
    static struct wp_feeder_shared shared;
    struct wp_player *player = NULL;
    struct wp_ring *ring = NULL;
    float frames[2 * PERIOD];
    float device[2 * PERIOD];
    if (wp_player_create(&player, &config) ||
        wp_ring_create(&ring, 2 * sizeof(float), 8 * PERIOD)) {
        fail("no memory");
    }
    struct wp_feeder feeder = {.ring = ring, .shared = &shared, .n_channels = 2};
    wp_player_play(player, peal);
    for (int i = 0; i < N_PERIODS; i++) {
        const double start_s = now_s();
        wp_player_render(player, frames, PERIOD);
        wp_ring_write(ring, frames, PERIOD);
        const double rendered_s = now_s();
        wp_feeder_fill(&feeder, device, PERIOD);
        calling_s[i] = now_s() - rendered_s;
        rendering_s[i] = rendered_s - start_s;
    }
    wp_player_destroy(player);
    wp_ring_destroy(ring);
}

static void measure(struct wp_peal_config *config, const char *what)
{
    static double rendering_s[N_PERIODS];
    static double calling_s[N_PERIODS];
    struct wp_peal *peal;
    config->rate_hz = RATE_HZ;
    config->duration_s = 1e9;
    if (wp_peal_create(&peal, config, NULL)) {
        fail("no peal");
    }
    run(peal, rendering_s, calling_s);
    wp_peal_destroy(peal);
    printf("%s\n", what);
    print_shares("  render thread", rendering_s);
    print_shares("  callback", calling_s);
}

int main(int argc, char **argv)
{
    static struct wp_set set;
    struct wp_strike_list list;
    struct wp_weather weather;
    struct wp_wind_config wind;
    if (argc != 3) {
        fail("expected two set files");
    }
    struct wp_chime *chime = solve(&set, argv[1]);
    strike_often(&list, &set);
    struct wp_peal_config listed = {.set = &set, .chime = chime, .strikes = &list};
    measure(&listed, "480 partials, 8 strikes a second");
    wp_chime_destroy(chime);
    chime = solve(&set, argv[2]);
    if (wp_weather_fixed(&weather, 4.0, 8.0, 240.0, 3600.0)) {
        fail("no weather");
    }
    wp_wind_config_default(&wind);
    wind.weather = &weather;
    struct wp_peal_config blown = {.set = &set, .chime = chime, .wind = &wind, .seed = 1};
    measure(&blown, "six tubes in a breeze of 4 m/s with gusts of 8 m/s");
    wp_chime_destroy(chime);
    wp_weather_finish(&weather);
    return 0;
}
