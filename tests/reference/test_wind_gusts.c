/* SPDX-License-Identifier: MIT */
/* Peak factors and generated gusts against Davenport (1964) and Wieringa (1973). */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "../near.h"
#include "../wind_station.h"
#include "davenport.h"

static void peak_factors_are_davenports(void **state)
{
    (void)state;
    const double cases[5][4] = {{600.0, 3.0, 5.0, 10.0},
                                {60.0, 3.0, 5.0, 10.0},
                                {600.0, 3.0, 15.0, 10.0},
                                {600.0, 1.0, 5.0, 10.0},
                                {120.0, 5.0, 2.0, 2.0}};
    for (size_t i = 0; i < 5; i++) {
        const double *c = cases[i];
        const double want = davenport(c[0], c[1], c[2], c[3]);
        assert_near(wp_wind_peak_factor(c[0], c[1], c[2], c[3]), want, 0.01 * want);
    }
}

/*
 * J. Wieringa, "Gust factors over open water and built-up country", Boundary-Layer Meteorology 3
 * (1973) 424-441 (constants from memory): G = 1 + [1.42 + 0.30 ln(990 / (U t) - 4)] / ln(z / z0)
 * for gusts of t seconds in ten minutes at 10 m; with sigma = U / ln(z / z0) the bracket is the
 * peak factor. An empirical fit to measurements, whose scatter in one record is 0.3: 7 %.
 */
static void peak_factors_agree_with_wieringas_measurements(void **state)
{
    (void)state;
    const double speeds_m_s[3] = {5.0, 10.0, 15.0};
    for (size_t i = 0; i < 3; i++) {
        const double want = 1.42 + 0.30 * log(990.0 / (speeds_m_s[i] * 3.0) - 4.0);
        assert_near(wp_wind_peak_factor(600.0, 3.0, speeds_m_s[i], 10.0), want, 0.07 * want);
    }
}

/* Strongest mean speed over 3 s that ends in samples first to end. */
static double strongest(const struct wp_wind_sample *samples, size_t first, size_t end)
{
    enum { GUST = 30 };
    double most = 0.0;
    double sum = 0.0;
    for (size_t i = first >= GUST ? first - GUST : first; i < end; i++) {
        sum += samples[i].speed_m_s;
        if (i >= GUST && i >= first) {
            sum -= samples[i - GUST].speed_m_s;
            most = fmax(most, sum / GUST);
        }
    }
    return most;
}

/* Mean over n records of the generated gust's excess, over that of the reported gust. */
static double gusts_met(double interval_s, double mean_m_s, double gust_m_s, uint64_t seed)
{
    enum { RECORDS = 60 };
    struct station station;
    station_init(&station, RECORDS, interval_s, mean_m_s, gust_m_s);
    const struct wp_wind_config config = station_config(&station, seed);
    const size_t per_record = (size_t)lround(interval_s / config.step_s);
    struct wp_wind_sample *samples = station_samples(&config, RECORDS * per_record);
    double sum = 0.0;
    for (size_t k = 1; k < RECORDS; k++) {
        sum += strongest(samples, k * per_record, (k + 1) * per_record) - mean_m_s;
    }
    free(samples);
    return sum / (RECORDS - 1) / (gust_m_s - mean_m_s);
}

/*
 * One record's strongest gust scatters by 13 % of its excess (0.33 sigma of 2.5) in ten minutes
 * and by 18 % in one: four standard deviations of 59 records are 7 and 9 %. Davenport's formula is
 * the limit for many gusts and stays 1 to 3 % above the mean of finite records, and steady records
 * take the trend out of each: 10 and 15 % in all.
 */
static void reported_gusts_are_met_on_average(void **state)
{
    (void)state;
    assert_near(gusts_met(600.0, 5.0, 8.0, 21), 1.0, 0.10);
    assert_near(gusts_met(600.0, 12.0, 19.0, 22), 1.0, 0.10);
    assert_near(gusts_met(60.0, 5.0, 7.0, 23), 1.0, 0.15);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(peak_factors_are_davenports),
        cmocka_unit_test(peak_factors_agree_with_wieringas_measurements),
        cmocka_unit_test(reported_gusts_are_met_on_average),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
