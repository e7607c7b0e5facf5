/* SPDX-License-Identifier: MIT */
/* Processor time to generate a day of wind at 10 and at 100 Hz. */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <time.h>

#include "windpeal/wind.h"

static double now_s(void)
{
    struct timespec time;
    clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &time);
    return (double)time.tv_sec + 1e-9 * (double)time.tv_nsec;
}

/* Seconds for a day in steps of step_s over records of one minute; negative: could not. */
static double day(const struct wp_weather *weather, double step_s)
{
    struct wp_wind_config config;
    wp_wind_config_default(&config);
    config.weather = weather;
    config.step_s = step_s;
    const double begin_s = now_s();
    struct wp_wind *wind = NULL;
    if (wp_wind_create(&wind, &config)) {
        return -1.0;
    }
    const long n = lround(86400.0 / step_s);
    struct wp_wind_sample sample;
    double sum = 0.0;
    for (long i = 0; i < n; i++) {
        wp_wind_step(wind, &sample);
        sum += sample.speed_m_s;
    }
    wp_wind_destroy(wind);
    const double took_s = now_s() - begin_s;
    printf("wind: a day at %.0f Hz in %.2f s (%.0f ns a step), mean %.3f m/s\n", 1.0 / step_s,
           took_s, 1e9 * took_s / (double)n, sum / (double)n);
    return took_s;
}

int main(void)
{
    enum { RECORDS = 1440 };
    struct wp_record *records = calloc(RECORDS, sizeof *records);
    if (!records) {
        return 1;
    }
    for (int i = 0; i < RECORDS; i++) {
        const double mean_m_s = 4.0 + 2.0 * sin(0.01 * i) + sin(0.7 * i);
        records[i] = (struct wp_record){.t_s = 60.0 * (i + 1),
                                        .mean_m_s = mean_m_s,
                                        .gust_m_s = 1.5 * mean_m_s,
                                        .from_deg = 240.0 + 10.0 * sin(0.3 * i)};
    }
    const struct wp_weather weather = {
        .records = records, .n_records = RECORDS, .interval_s = 60.0};
    const int is_bad = day(&weather, 0.1) < 0.0 || day(&weather, 0.01) < 0.0;
    free(records);
    return is_bad;
}
