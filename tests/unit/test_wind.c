/* SPDX-License-Identifier: MIT */
/* The generated wind against its records: means, calm, edges, repeatability. */
#include "windpeal/wind.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

#include "../near.h"
#include "../wind_station.h"

static double tolerance(double mean_m_s)
{
    return fmax(0.15, 0.03 * mean_m_s);
}

/* Checks the mean of every record, all of interval_s. */
static void assert_means_met(const struct station *station, const struct wp_wind_config *config)
{
    const size_t n_records = station->weather.n_records;
    const size_t per_record = (size_t)lround(station->weather.interval_s / config->step_s);
    struct wp_wind_sample *samples = station_samples(config, n_records * per_record);
    for (size_t k = 0; k < n_records; k++) {
        const double got = station_mean(samples, k * per_record, (k + 1) * per_record);
        const double want = station->records[k].mean_m_s;
        assert_near(got, want, tolerance(want));
    }
    free(samples);
}

static void record_means_are_met(void **state)
{
    (void)state;
    const double means[12] = {5.0, 5.5, 7.0, 12.0, 9.0, 3.0, 2.0, 2.4, 6.0, 6.0, 1.0, 4.0};
    const double intervals_s[3] = {5.0, 60.0, 600.0};
    for (size_t i = 0; i < 3; i++) {
        struct station station;
        station_init(&station, 12, intervals_s[i], 0.0, 0.0);
        for (size_t k = 0; k < 12; k++) {
            station.records[k].mean_m_s = means[k];
            station.records[k].gust_m_s = 1.6 * means[k];
        }
        const struct wp_wind_config config = station_config(&station, 3 + i);
        assert_means_met(&station, &config);
    }
}

static void alternating_records_keep_mean_and_sign(void **state)
{
    (void)state;
    struct station station;
    station_init(&station, 20, 60.0, 2.0, 3.0);
    for (size_t k = 1; k < 20; k += 2) {
        station.records[k].mean_m_s = 8.0;
        station.records[k].gust_m_s = 10.0;
    }
    station.records[6].mean_m_s = 0.0;
    const struct wp_wind_config config = station_config(&station, 9);
    assert_means_met(&station, &config);
}

static void light_wind_is_not_biased(void **state)
{
    (void)state;
    const double means[5] = {0.3, 0.5, 1.0, 1.5, 2.0};
    for (size_t i = 0; i < 5; i++) {
        struct station station;
        station_init(&station, 1, 600.0, means[i], 2.5 * means[i]);
        const struct wp_wind_config config = station_config(&station, i);
        struct wp_wind_sample *samples = station_samples(&config, 36000);
        assert_near(station_mean(samples, 0, 36000), means[i], 0.02 * means[i]);
        for (size_t k = 0; k < 36000; k++) {
            assert_true(samples[k].speed_m_s >= 0.0);
        }
        free(samples);
    }
}

static void calm_is_still(void **state)
{
    (void)state;
    struct station station;
    station_init(&station, 3, 60.0, 0.0, 0.0);
    const struct wp_wind_config config = station_config(&station, 1);
    struct wp_wind_sample *samples = station_samples(&config, 1800);
    for (size_t i = 0; i < 1800; i++) {
        assert_true(samples[i].speed_m_s == 0.0);
        assert_true(samples[i].from_deg >= 0.0 && samples[i].from_deg < 360.0);
    }
    free(samples);
}

static void speed_and_direction_belong_to_the_components(void **state)
{
    (void)state;
    struct station station;
    station_init(&station, 1, 600.0, 4.0, 7.0);
    const struct wp_wind_config config = station_config(&station, 4);
    struct wp_wind_sample *samples = station_samples(&config, 6000);
    for (size_t i = 0; i < 6000; i++) {
        const struct wp_wind_sample *s = &samples[i];
        assert_near(s->speed_m_s, hypot(s->along_m_s, s->across_m_s), 1e-9);
        /* Air that moves to the left of its way comes more from the right of it: backing. */
        const double left_deg = atan2(s->across_m_s, s->along_m_s) * 180.0 / acos(-1.0);
        const double error_deg = remainder(240.0 - left_deg - s->from_deg, 360.0);
        assert_near(error_deg, 0.0, 1e-9);
        assert_near(s->t_s, (double)i * 0.1, 1e-9);
    }
    free(samples);
}

/* Largest change from sample to sample among those that are (or are not) next to an edge. */
static double largest_step(const struct wp_wind_sample *samples, size_t n, size_t per_record,
                           bool is_at_edge)
{
    double largest = 0.0;
    for (size_t i = 1; i < n; i++) {
        if ((i % per_record == 0) == is_at_edge) {
            largest = fmax(largest, fabs(samples[i].speed_m_s - samples[i - 1].speed_m_s));
        }
    }
    return largest;
}

static void record_edges_leave_no_joint(void **state)
{
    (void)state;
    struct station station;
    station_init(&station, 60, 60.0, 2.0, 3.5);
    for (size_t k = 1; k < 60; k += 2) {
        station.records[k].mean_m_s = 8.0;
        station.records[k].gust_m_s = 12.0;
    }
    const struct wp_wind_config config = station_config(&station, 9);
    struct wp_wind_sample *samples = station_samples(&config, 36000);
    assert_true(largest_step(samples, 36000, 600, true) < largest_step(samples, 36000, 600, false));
    free(samples);
}

static void wind_goes_on_after_the_last_record(void **state)
{
    (void)state;
    struct station station;
    station_init(&station, 2, 60.0, 3.0, 5.0);
    station.records[1].mean_m_s = 6.0;
    station.records[1].gust_m_s = 9.0;
    const struct wp_wind_config config = station_config(&station, 2);
    struct wp_wind_sample *samples = station_samples(&config, 1200 + 12000);
    /* The last record's mean holds over the ten minutes of a WMO mean. */
    assert_near(station_mean(samples, 1200, 7200), 6.0, 0.18);
    assert_near(station_mean(samples, 7200, 13200), 6.0, 0.18);
    free(samples);
}

static void gap_is_bridged_without_a_jump(void **state)
{
    (void)state;
    struct station station;
    station_init(&station, 12, 60.0, 2.0, (double)NAN);
    for (size_t k = 4; k < 9; k++) {
        station.records[k].mean_m_s = (double)NAN;
    }
    for (size_t k = 9; k < 12; k++) {
        station.records[k].mean_m_s = 10.0;
    }
    struct wp_wind_config config = station_config(&station, 2);
    config.intensity = 0.05;
    struct wp_wind_sample *samples = station_samples(&config, 7200);
    const double early = station_mean(samples, 2400, 3000);
    const double late = station_mean(samples, 4800, 5400);
    assert_true(early < late);
    /* Standard deviation of a mean over 300 s: sigma sqrt(2 (L / U) / T), 0.13 m/s at most. */
    assert_near(station_mean(samples, 2400, 5400), 6.0, 0.6);
    assert_near(station_mean(samples, 5400, 6000), 10.0, 0.3);
    free(samples);
}

static void hourly_records_are_joined_by_a_slope(void **state)
{
    (void)state;
    struct station station;
    station_init(&station, 3, 3600.0, 3.0, (double)NAN);
    station.records[1].mean_m_s = 9.0;
    const struct wp_wind_config config = station_config(&station, 2);
    struct wp_wind_sample *samples = station_samples(&config, 72000);
    /* The first record speaks of the ten minutes before its time; start_s = 0 lies before. */
    assert_near(station_mean(samples, 30000, 36000), 3.0, 0.15);
    assert_near(station_mean(samples, 66000, 72000), 9.0, 0.27);
    assert_near(station_mean(samples, 48000, 54000), 6.0, 1.2);
    free(samples);
}

/* Checks a start that is n_later steps later against the wind from the start of the records. */
static void assert_same_later(const struct wp_wind_config *config, size_t n_later)
{
    enum { SAMPLES = 5000 };
    struct wp_wind_config later = *config;
    later.start_s += (double)n_later * config->step_s;
    struct wp_wind_sample *whole = station_samples(config, n_later + SAMPLES);
    struct wp_wind_sample *part = station_samples(&later, SAMPLES);
    for (size_t i = 0; i < SAMPLES; i++) {
        assert_true(part[i].along_m_s == whole[i + n_later].along_m_s);
        assert_true(part[i].from_deg == whole[i + n_later].from_deg);
    }
    free(whole);
    free(part);
}

static void later_start_gives_the_same_wind(void **state)
{
    (void)state;
    struct station station;
    station_init(&station, 30, 60.0, 5.0, 8.0);
    const struct wp_wind_config config = station_config(&station, 2);
    const size_t joined[4] = {1, 600, 7000, 7203};
    for (size_t i = 0; i < 4; i++) {
        assert_same_later(&config, joined[i]);
    }
    /* Hourly records speak of ten minutes: from 3000 s, then from 6600 s on. */
    station_init(&station, 3, 3600.0, 5.0, 8.0);
    struct wp_wind_config hourly = station_config(&station, 2);
    hourly.start_s = 3000.0;
    const size_t apart[4] = {3000, 20000, 36000, 37000};
    for (size_t i = 0; i < 4; i++) {
        assert_same_later(&hourly, apart[i]);
    }
}

static double variance_of(const struct wp_wind_sample *samples, size_t n)
{
    const double mean = station_mean(samples, 0, n);
    double sum = 0.0;
    for (size_t i = 0; i < n; i++) {
        sum += (samples[i].speed_m_s - mean) * (samples[i].speed_m_s - mean);
    }
    return sum / (double)n;
}

/* What the records tell of the turbulence must not come on top of it a second time. */
static void records_of_a_wind_give_its_variance_back(void **state)
{
    (void)state;
    enum { RECORDS = 720, PER_RECORD = 200, SAMPLES = RECORDS * PER_RECORD };
    struct station steady;
    station_init(&steady, 24, 600.0, 5.0, (double)NAN);
    struct wp_wind_config config = station_config(&steady, 31);
    config.intensity = 0.2;
    struct wp_wind_sample *first = station_samples(&config, SAMPLES);
    struct station station;
    station_init(&station, RECORDS, 20.0, 5.0, (double)NAN);
    for (size_t k = 0; k < RECORDS; k++) {
        station.records[k].mean_m_s = station_mean(first, k * PER_RECORD, (k + 1) * PER_RECORD);
    }
    config = station_config(&station, 32);
    config.intensity = 0.2;
    struct wp_wind_sample *again = station_samples(&config, SAMPLES);
    /* 20-s means hold 53 % of the variance: counted twice it would be too much by that. Two
     * independent variances over 4 h differ by sqrt(2) * sqrt(1.14 (L / U) / T) = 4 %. */
    assert_near(variance_of(again, SAMPLES) / variance_of(first, SAMPLES), 1.0, 0.16);
    free(first);
    free(again);
}

static void another_seed_gives_another_wind(void **state)
{
    (void)state;
    struct station station;
    station_init(&station, 1, 600.0, 5.0, 8.0);
    const struct wp_wind_config config = station_config(&station, 2);
    const struct wp_wind_config other = station_config(&station, 3);
    struct wp_wind_sample *a = station_samples(&config, 1000);
    struct wp_wind_sample *b = station_samples(&other, 1000);
    size_t n_equal = 0;
    for (size_t i = 0; i < 1000; i++) {
        n_equal += a[i].speed_m_s == b[i].speed_m_s ? 1 : 0;
    }
    assert_true(n_equal == 0);
    free(a);
    free(b);
}

/* FNV-1a over the bits of a double, lowest byte first. */
static uint64_t hashed(uint64_t hash, double value)
{
    uint64_t bits;
    memcpy(&bits, &value, sizeof bits);
    for (int i = 0; i < 8; i++) {
        hash = (hash ^ ((bits >> (8 * i)) & 0xFFU)) * 0x100000001B3U;
    }
    return hash;
}

static void same_seed_gives_the_same_bits_everywhere(void **state)
{
    (void)state;
    struct station station;
    station_init(&station, 8, 60.0, 3.0, 5.0);
    const double means[8] = {3.0, 4.5, 0.4, 6.0, 6.5, 5.0, 9.0, 2.0};
    for (size_t k = 0; k < 8; k++) {
        station.records[k].mean_m_s = means[k];
        station.records[k].gust_m_s = 1.7 * means[k];
        station.records[k].from_deg = 50.0 * (double)k;
    }
    station.records[6].gust_m_s = (double)NAN;
    struct wp_wind_config config = station_config(&station, 42);
    config.is_as_given = false;
    config.height_m = 2.0;
    config.roughness_m = 0.25;
    struct wp_wind_sample *samples = station_samples(&config, 10000);
    uint64_t hash = 0xCBF29CE484222325U;
    for (size_t i = 0; i < 10000; i++) {
        hash = hashed(hash, samples[i].along_m_s);
        hash = hashed(hash, samples[i].across_m_s);
        hash = hashed(hash, samples[i].speed_m_s);
        hash = hashed(hash, samples[i].from_deg);
    }
    free(samples);
    /* Frozen: the same under gcc and clang, -O0 and -O3. */
    assert_int_equal(hash, 0x95B43E778994B3BAU);
}

static void station_reading_is_held_until_the_next(void **state)
{
    (void)state;
    struct station station;
    station_init(&station, 3, 60.0, 3.0, 5.0);
    station.records[1].mean_m_s = 4.0;
    station.records[1].from_deg = (double)NAN;
    station.records[2].mean_m_s = 6.0;
    struct wp_wind_config config = station_config(&station, 1);
    config.is_as_given = false;
    config.height_m = 2.0; /* a reading knows no height change */
    config.start_s = 30.0;
    struct wp_wind *wind = station_wind(&config);
    /* 29.9 s after the start is before the first time stamp: the first record stands in. */
    const double times[6] = {29.9, 40.0, 89.9, 90.0, 150.0, 1e5};
    const double means[6] = {3.0, 3.0, 3.0, 4.0, 6.0, 6.0};
    for (size_t i = 0; i < 6; i++) {
        double mean_m_s;
        double from_deg;
        wp_wind_reading(wind, times[i], &mean_m_s, &from_deg);
        assert_true(mean_m_s == means[i]);
        assert_true(isnan(from_deg) == (means[i] == 4.0));
    }
    assert_true(wp_wind_interval_s(wind) == 60.0);
    wp_wind_destroy(wind);
}

static void height_change_can_be_switched_off(void **state)
{
    (void)state;
    struct station station;
    station_init(&station, 1, 600.0, 6.0, 9.0);
    struct wp_wind_config config = station_config(&station, 1);
    config.height_m = 2.0;
    struct wp_wind *given = station_wind(&config);
    assert_true(wp_wind_height_factor(given) == 1.0);
    wp_wind_destroy(given);
    config.is_as_given = false;
    struct wp_wind *lowered = station_wind(&config);
    const double factor = wp_wind_height_factor(lowered);
    wp_wind_destroy(lowered);
    assert_true(factor < 0.8);
    struct wp_wind_sample *samples = station_samples(&config, 6000);
    assert_near(station_mean(samples, 0, 6000), 6.0 * factor, 0.15);
    free(samples);
}

static void impossible_configurations_are_refused(void **state)
{
    (void)state;
    struct station station;
    station_init(&station, 1, 600.0, 6.0, 9.0);
    const struct wp_wind_config good = station_config(&station, 1);
    struct wp_wind_config bad[8];
    for (size_t i = 0; i < 8; i++) {
        bad[i] = good;
        bad[i].is_as_given = false;
    }
    struct wp_weather empty = {.interval_s = 60.0};
    bad[0].height_m = 0.02; /* below the roughness length of 0.03 m */
    bad[1].step_s = 0.0;
    bad[2].step_s = (double)NAN;
    bad[3].weather = &empty;
    bad[4].averaging_s = -1.0;
    bad[5].station_height_m = 0.02;
    bad[6].intensity = 3.0;
    bad[7].start_s = (double)INFINITY;
    for (size_t i = 0; i < 8; i++) {
        struct wp_wind *wind = (struct wp_wind *)&station;
        assert_int_equal(wp_wind_create(&wind, &bad[i]), WP_E_RANGE);
        assert_null(wind);
    }
    wp_wind_destroy(NULL);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(record_means_are_met),
        cmocka_unit_test(alternating_records_keep_mean_and_sign),
        cmocka_unit_test(light_wind_is_not_biased),
        cmocka_unit_test(calm_is_still),
        cmocka_unit_test(speed_and_direction_belong_to_the_components),
        cmocka_unit_test(record_edges_leave_no_joint),
        cmocka_unit_test(wind_goes_on_after_the_last_record),
        cmocka_unit_test(gap_is_bridged_without_a_jump),
        cmocka_unit_test(hourly_records_are_joined_by_a_slope),
        cmocka_unit_test(later_start_gives_the_same_wind),
        cmocka_unit_test(records_of_a_wind_give_its_variance_back),
        cmocka_unit_test(another_seed_gives_another_wind),
        cmocka_unit_test(same_seed_gives_the_same_bits_everywhere),
        cmocka_unit_test(station_reading_is_held_until_the_next),
        cmocka_unit_test(height_change_can_be_switched_off),
        cmocka_unit_test(impossible_configurations_are_refused),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
