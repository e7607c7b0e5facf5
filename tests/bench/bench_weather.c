/* SPDX-License-Identifier: MIT */
/* Reads a year of 1-minute records and prints how long it took and the most memory it needed. */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/resource.h>
#include <time.h>

#include "windpeal/weather.h"

enum { MINUTES = 525600, LINE_SIZE = 64 };

/* A year as a station writes it: time, mean, gust, direction, temperature. */
static char *make_year(size_t *size)
{
    char *text = malloc((size_t)MINUTES * LINE_SIZE + LINE_SIZE);
    if (!text) {
        return NULL;
    }
    int used = snprintf(text, LINE_SIZE, "time,speed (m/s),gust (m/s),direction,temperature (C)\n");
    *size = (size_t)used;
    for (int minute = 0; minute < MINUTES; minute++) {
        char stamp[32];
        wp_time_format(1767225600.0 + 60.0 * minute, stamp, sizeof stamp);
        const double mean_m_s = 4.0 + 0.1 * (minute * 37 % 61 - 30) / 2.0;
        used = snprintf(text + *size, LINE_SIZE, "%s,%.1f,%.1f,%d,%.1f\n", stamp, mean_m_s,
                        1.4 * mean_m_s, minute * 7 % 361, 12.0 + minute % 97 / 10.0);
        *size += (size_t)used;
    }
    return text;
}

static double seconds_now(void)
{
    struct timespec now;
    clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &now);
    return (double)now.tv_sec + 1e-9 * (double)now.tv_nsec;
}

int main(void)
{
    static struct wp_diags diags;
    struct wp_weather weather;
    struct rusage usage;
    size_t size = 0;
    char *const text = make_year(&size);
    if (!text) {
        return 1;
    }
    wp_diags_init(&diags);
    const double start_s = seconds_now();
    const enum wp_status status = wp_weather_parse(&weather, "year.csv", text, size, NULL, &diags);
    const double took_s = seconds_now() - start_s;
    getrusage(RUSAGE_SELF, &usage);
    free(text);
    if (status) {
        printf("failed: %s\n", diags.items[0].message);
        return 1;
    }
    printf("%zu records, %.1f MB of text: %.3f s, %.1f MB/s; most memory %.1f MB, text included\n",
           weather.n_records, 1e-6 * (double)size, took_s, 1e-6 * (double)size / took_s,
           1e-3 * (double)usage.ru_maxrss);
    const bool is_whole = weather.n_records == MINUTES && weather.n_rejected == 0;
    wp_weather_finish(&weather);
    return is_whole ? 0 : 1;
}
