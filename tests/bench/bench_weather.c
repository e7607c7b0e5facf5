/* SPDX-License-Identifier: MIT */
/* Reads a year of 1-minute records, as a table and as JSON, and prints how long it took and the
 * most memory it needed. */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/resource.h>
#include <time.h>

#include "windpeal/weather.h"

enum { MINUTES = 525600, LINE_SIZE = 128 };

/* A minute's values, made up. */
struct minute {
    char stamp[32];
    double mean_m_s;
    double from_deg;
    double temperature_c;
};

static struct minute make_minute(int minute)
{
    struct minute made = {.mean_m_s = 4.0 + 0.1 * (minute * 37 % 61 - 30) / 2.0,
                          .from_deg = minute * 7 % 361,
                          .temperature_c = 12.0 + minute % 97 / 10.0};
    wp_time_format(1767225600.0 + 60.0 * minute, made.stamp, sizeof made.stamp);
    return made;
}

/* As a console exports it. */
static int write_row(char *text, const struct minute *minute)
{
    return snprintf(text, LINE_SIZE, "%s,%.1f,%.1f,%.0f,%.1f\n", minute->stamp, minute->mean_m_s,
                    1.4 * minute->mean_m_s, minute->from_deg, minute->temperature_c);
}

/* As a receiver of radio sensors logs it. */
static int write_object(char *text, const struct minute *minute)
{
    return snprintf(text, LINE_SIZE,
                    "{\"time\": \"%s\", \"wind_avg_m_s\": %.1f, \"wind_max_m_s\": %.1f, "
                    "\"wind_dir_deg\": %.0f}\n",
                    minute->stamp, minute->mean_m_s, 1.4 * minute->mean_m_s, minute->from_deg);
}

static char *make_year(int (*write)(char *text, const struct minute *minute), const char *heading,
                       size_t *size)
{
    char *text = malloc((size_t)MINUTES * LINE_SIZE + LINE_SIZE);
    if (!text) {
        return NULL;
    }
    *size = (size_t)snprintf(text, LINE_SIZE, "%s", heading);
    for (int i = 0; i < MINUTES; i++) {
        const struct minute minute = make_minute(i);
        *size += (size_t)write(text + *size, &minute);
    }
    return text;
}

static double seconds_now(void)
{
    struct timespec now;
    clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &now);
    return (double)now.tv_sec + 1e-9 * (double)now.tv_nsec;
}

/* True when all records were there. */
static bool read_year(const char *name, char *text, size_t size)
{
    static struct wp_diags diags;
    struct wp_weather weather;
    struct rusage usage;
    wp_diags_init(&diags);
    const double start_s = seconds_now();
    const enum wp_status status = wp_weather_parse(&weather, name, text, size, NULL, &diags);
    const double took_s = seconds_now() - start_s;
    getrusage(RUSAGE_SELF, &usage);
    free(text);
    if (status) {
        printf("failed: %s\n", diags.items[0].message);
        return false;
    }
    printf("%s: %zu records, %.1f MB of text: %.3f s, %.1f MB/s; most memory so far %.1f MB, text "
           "included\n",
           weather.format, weather.n_records, 1e-6 * (double)size, took_s,
           1e-6 * (double)size / took_s, 1e-3 * (double)usage.ru_maxrss);
    const bool is_whole = weather.n_records == MINUTES && weather.n_rejected == 0;
    wp_weather_finish(&weather);
    return is_whole;
}

int main(void)
{
    size_t size = 0;
    char *text =
        make_year(write_row, "time,speed (m/s),gust (m/s),direction,temperature (C)\n", &size);
    bool is_whole = text && read_year("year.csv", text, size);
    text = make_year(write_object, "", &size);
    is_whole = text && read_year("year.jsonl", text, size) && is_whole;
    return is_whole ? 0 : 1;
}
