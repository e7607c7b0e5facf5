/* SPDX-License-Identifier: MIT */
/* Processor time in which a striker with a sail, or kicked by coils, makes the strikes of a day. */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

#include "windpeal/strike.h"

enum { RECORDS = 1440 };

static double now_s(void)
{
    struct timespec time;
    clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &time);
    return (double)time.tv_sec + 1e-9 * (double)time.tv_nsec;
}

/* The wind of a day in records of a minute: its mean from this value up to three times as much. */
static void fill(struct wp_record *records, double least_m_s)
{
    for (int i = 0; i < RECORDS; i++) {
        const double mean_m_s = least_m_s * (2.0 + sin(0.01 * i) * cos(0.7 * i));
        records[i] = (struct wp_record){.t_s = 60.0 * (i + 1),
                                        .mean_m_s = mean_m_s,
                                        .gust_m_s = 1.5 * mean_m_s,
                                        .from_deg = 240.0 + 10.0 * sin(0.3 * i),
                                        .temperature_c = (double)NAN,
                                        .pressure_pa = (double)NAN};
    }
}

/* Makes and prints a day; false: could not. */
static bool day(const struct wp_strike_context *context, const struct wp_weather *weather,
                const char *name)
{
    struct wp_wind_config config;
    struct wp_wind *wind = NULL;
    struct wp_drive *drive = NULL;
    wp_wind_config_default(&config);
    config.weather = weather;
    config.is_as_given = true;
    const double begin_s = now_s();
    bool is_fine = !wp_wind_create(&wind, &config);
    if (is_fine) {
        const struct wp_drive_config drive_config = {context, wind, config.step_s, 1, NULL};
        is_fine = !wp_drive_create(&drive, &drive_config);
    }
    size_t n_strikes = 0;
    struct wp_strike strike;
    while (is_fine && wp_drive_next(drive, 86400.0, &strike)) {
        n_strikes++;
    }
    wp_drive_destroy(drive);
    wp_wind_destroy(wind);
    printf("a day of %s in %.2f s, %zu strikes\n", name, now_s() - begin_s, n_strikes);
    return is_fine;
}

#define TUBES "tubes: {outer_diameter: 32 mm, wall: 1.6 mm, notes: [A3, C4, D4, E4, G4, A4]}\n"

static const char sail_text[] = TUBES "drive: {sail: {area: 80 cm2, below: 300 mm, mass: 20 g}}\n";
static const char coils_text[] = TUBES "layout: {ring: {radius: 64 mm}}\n"
                                       "drive: {coils: {}}\n";
static const char busy_text[] = TUBES "layout: {ring: {radius: 64 mm}}\n"
                                      "drive: {coils: {fastest: 0.8 s, pivot_friction: 0 mm}}\n";

/* Two days of a set, the second one with more wind; false: could not. */
static bool days(const char *text, const char *name)
{
    struct wp_set set;
    struct wp_chime_config chime_config;
    struct wp_chime *chime = NULL;
    struct wp_layout layout;
    struct wp_striker striker;
    struct wp_record *records = calloc(RECORDS, sizeof *records);
    wp_chime_config_default(&chime_config);
    if (!records || wp_set_parse(&set, "bench", text, strlen(text), NULL) ||
        wp_chime_create(&chime, &set, &chime_config, NULL) ||
        wp_layout_init(&layout, &set, chime, NULL) || wp_striker_init(&striker, &set, NULL)) {
        return false;
    }
    const struct wp_strike_context context = {&set, chime, &layout, &striker};
    const struct wp_weather weather = {
        .records = records, .n_records = RECORDS, .interval_s = 60.0};
    bool is_fine = true;
    for (int i = 0; i < 2; i++) {
        printf("%s, ", name);
        fill(records, i == 0 ? 0.8 : 2.0);
        is_fine = day(&context, &weather, i == 0 ? "light wind" : "moderate wind") && is_fine;
    }
    free(records);
    wp_chime_destroy(chime);
    return is_fine;
}

int main(void)
{
    const bool is_blown = days(sail_text, "sail");
    const bool is_kicked = days(coils_text, "coils");
    const bool is_busy = days(busy_text, "busy coils");
    return is_blown && is_kicked && is_busy ? 0 : 1;
}
