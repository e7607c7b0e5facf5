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

/* The wind of a day in records of a minute, at the striker: all of it of about one force. */
static void fill(struct wp_record *records, double middle_m_s)
{
    for (int i = 0; i < RECORDS; i++) {
        const double mean_m_s = middle_m_s * (1.0 + 0.18 * sin(0.01 * i) * cos(0.7 * i));
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

static const char coils_text[] = TUBES "layout: {ring: {radius: 64 mm}}\n"
                                       "drive: {coils: {}}\n";
static const char busy_text[] = TUBES "layout: {ring: {radius: 64 mm}}\n"
                                      "drive: {coils: {fastest: 0.8 s, pivot_friction: 0 mm}}\n";

/* Days of a set; false: could not. */
static bool days(const struct wp_set *set)
{
    /* Middles of Beaufort's forces 3 and 4 (WMO-No. 306, code table 1100). */
    static const struct {
        const char *name;
        double middle_m_s;
    } winds[] = {{"force 3", 4.4}, {"force 4", 6.7}};
    struct wp_chime_config chime_config;
    struct wp_chime *chime = NULL;
    struct wp_layout layout;
    struct wp_striker striker;
    struct wp_record *records = calloc(RECORDS, sizeof *records);
    wp_chime_config_default(&chime_config);
    if (!records || wp_chime_create(&chime, set, &chime_config, NULL) ||
        wp_layout_init(&layout, set, chime, NULL) || wp_striker_init(&striker, set, NULL)) {
        return false;
    }
    const struct wp_strike_context context = {set, chime, &layout, &striker};
    const struct wp_weather weather = {
        .records = records, .n_records = RECORDS, .interval_s = 60.0};
    bool is_fine = true;
    for (size_t i = 0; i < sizeof winds / sizeof winds[0]; i++) {
        printf("%s, ", set->name);
        fill(records, winds[i].middle_m_s);
        is_fine = day(&context, &weather, winds[i].name) && is_fine;
    }
    free(records);
    wp_chime_destroy(chime);
    return is_fine;
}

static bool days_of_text(const char *text, const char *name)
{
    struct wp_set set;
    if (wp_set_parse(&set, "bench", text, strlen(text), NULL)) {
        return false;
    }
    snprintf(set.name, sizeof set.name, "%s", name);
    return days(&set);
}

/* Arguments: set files. */
int main(int argc, char **argv)
{
    bool is_fine = true;
    for (int i = 1; i < argc; i++) {
        struct wp_set set;
        is_fine = !wp_set_load(&set, argv[i], NULL) && days(&set) && is_fine;
    }
    is_fine = days_of_text(coils_text, "coils") && is_fine;
    is_fine = days_of_text(busy_text, "busy coils") && is_fine;
    return is_fine ? 0 : 1;
}
