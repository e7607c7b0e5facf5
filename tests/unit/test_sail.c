/* SPDX-License-Identifier: MIT */
/* Claims about the sail drive. */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

#include "drive_fixture.h"

enum { STRIKES_MAX = 20000 };

/* Ten minutes of a wind; intensity is sigma over mean. Tubes that are held do not swing. */
static size_t rows_in(double mean_m_s, double intensity, double from_deg, int is_held,
                      struct wp_strike *strikes)
{
    struct drive_fixture f;
    sail_open(&f, 11, 60.0);
    for (size_t i = 0; i < f.base.chime.n_tubes; i++) {
        f.base.chime.tubes[i].spec.is_held_rigid = is_held;
    }
    for (size_t i = 0; i < f.weather.n_records; i++) {
        f.weather.records[i].mean_m_s = mean_m_s;
        f.weather.records[i].from_deg = from_deg;
    }
    f.wind_config.intensity = intensity;
    drive_start(&f, 7);
    const size_t n = drive_collect(&f, 600.0, 10.0, strikes, STRIKES_MAX);
    drive_close(&f);
    return n;
}

static size_t strikes_in(double mean_m_s, double intensity, double from_deg,
                         struct wp_strike *strikes)
{
    return rows_in(mean_m_s, intensity, from_deg, 0, strikes);
}

static struct wp_strike *room(void)
{
    struct wp_strike *strikes = calloc(STRIKES_MAX, sizeof *strikes);
    assert_non_null(strikes);
    return strikes;
}

static void light_wind_is_silent(void **state)
{
    (void)state;
    struct wp_strike *strikes = room();
    assert_int_equal(strikes_in(0.0, 0.2, 270.0, strikes), 0);
    assert_int_equal(strikes_in(0.6, 0.2, 270.0, strikes), 0);
    free(strikes);
}

/* Common practice, no source: in a gale without gusts the striker stays on the leeward tubes. */
static void steady_strong_wind_leans(void **state)
{
    (void)state;
    struct wp_strike *strikes = room();
    const size_t n_gusty = strikes_in(5.0, 0.3, 270.0, strikes);
    const size_t n_steady = strikes_in(10.0, 0.0, 270.0, strikes);
    assert_true(n_gusty > 200);
    assert_true(n_steady < n_gusty / 5);
    /* What there is of them comes at the beginning, when the striker is blown over. */
    assert_true(n_steady == 0 || strikes[n_steady - 1].t_s < 60.0);
    free(strikes);
}

/* From the west onto the tubes at 60 and 120 degrees, both at once, until the end. */
static void steady_wind_holds_the_striker_between_two_tubes(void **state)
{
    (void)state;
    struct wp_strike *strikes = room();
    const size_t n = rows_in(10.0, 0.0, 270.0, 1, strikes);
    bool is_resting[6] = {false};
    for (size_t i = 0; i < n; i++) {
        if (!wp_strike_is_blow(&strikes[i])) {
            is_resting[strikes[i].tube] = strikes[i].speed_m_s == 0.0;
        }
    }
    assert_true(is_resting[1] && is_resting[2]);
    assert_false(is_resting[0] || is_resting[3] || is_resting[4] || is_resting[5]);
    free(strikes);
}

/* Rests and leaves of a tube take turns, and neither says more than where and when. */
static void striker_leaves_only_what_it_rested_on(void **state)
{
    (void)state;
    struct wp_strike *strikes = room();
    const size_t n = rows_in(5.0, 0.3, 270.0, 1, strikes);
    size_t n_rests = 0;
    bool is_resting[6] = {false};
    for (size_t i = 0; i < n; i++) {
        const struct wp_strike *row = &strikes[i];
        if (wp_strike_is_blow(row)) {
            continue;
        }
        const bool is_rest = row->speed_m_s == 0.0;
        assert_true(is_rest != is_resting[row->tube]);
        assert_true(is_rest || row->speed_m_s <= -1e-6);
        assert_true(row->impulse_n_s == 0.0 && row->height_m >= 0.03 - 1e-5);
        is_resting[row->tube] = is_rest;
        n_rests += is_rest;
    }
    assert_true(n_rests > 5);
    free(strikes);
}

/* From the west the tubes in the east are struck: 2 and 3 of six, at 60 and 120 degrees. */
static void the_wind_decides_the_tubes(void **state)
{
    (void)state;
    struct wp_strike *strikes = room();
    for (int turn = 0; turn < 6; turn++) {
        size_t n_leeward = 0;
        const double from_deg = 270.0 + 60.0 * turn;
        const size_t n = strikes_in(4.0, 0.15, fmod(from_deg, 360.0), strikes);
        for (size_t i = 0; i < n; i++) {
            const size_t tube = (strikes[i].tube + 6 - (size_t)turn) % 6;
            n_leeward += tube == 1 || tube == 2;
        }
        assert_true(n > 10);
        assert_true(2 * n_leeward > n);
    }
    free(strikes);
}

static void strikes_ascend_and_are_possible(void **state)
{
    (void)state;
    struct wp_strike *strikes = room();
    const size_t n = strikes_in(6.0, 0.3, 200.0, strikes);
    assert_true(n > 100);
    for (size_t i = 0; i < n; i++) {
        assert_true(i == 0 || strikes[i].t_s >= strikes[i - 1].t_s);
        assert_true(strikes[i].tube < 6);
        if (!wp_strike_is_blow(&strikes[i])) {
            continue;
        }
        assert_true(strikes[i].speed_m_s >= 0.005 && strikes[i].speed_m_s < 5.0);
        assert_true(strikes[i].height_m >= 0.03 - 1e-5 && strikes[i].height_m < 0.25);
        assert_true(isnan(strikes[i].impulse_n_s)); /* whoever sounds or prints it solves it */
    }
    free(strikes);
}

static void strikes_do_not_depend_on_how_they_are_asked_for(void **state)
{
    (void)state;
    struct wp_strike *whole = room();
    struct wp_strike *parts = room();
    struct drive_fixture f;
    size_t n[2];
    for (int run = 0; run < 2; run++) {
        sail_open(&f, 11, 60.0);
        drive_start(&f, 3);
        n[run] = drive_collect(&f, 300.0, run ? 300.0 : 0.0137, run ? whole : parts, STRIKES_MAX);
        drive_close(&f);
    }
    assert_int_equal(n[0], n[1]);
    assert_true(n[0] > 50);
    assert_memory_equal(whole, parts, n[0] * sizeof *whole);
    free(whole);
    free(parts);
}

static void impossible_sails_are_refused(void **state)
{
    (void)state;
    static const struct wp_set_sail sails[] = {
        {0.0, 0.3, 0.02},    {NAN, 0.3, 0.02},   {0.008, -0.1, 0.02},
        {0.008, 0.3, -0.02}, {0.008, NAN, 0.02}, {0.008, 0.3, INFINITY},
    };
    struct drive_fixture f;
    sail_open(&f, 11, 60.0);
    assert_int_equal(wp_wind_create(&f.wind, &f.wind_config), WP_OK);
    for (size_t i = 0; i < sizeof sails / sizeof sails[0]; i++) {
        f.base.set.drive.sail = sails[i];
        const struct wp_drive_config config = {&f.base.context, f.wind, 0.1, 1, NULL};
        f.drive = (struct wp_drive *)&f;
        assert_int_equal(wp_drive_create(&f.drive, &config), WP_E_RANGE);
        assert_null(f.drive);
    }
    drive_close(&f);
}

/* Strikes in ten minutes of air as the records tell it, and a checksum of their times. */
static size_t strikes_in_air(double temperature_c, double pressure_pa, double *sum_s)
{
    struct drive_fixture f;
    struct wp_strike *strikes = room();
    sail_open(&f, 11, 60.0);
    for (size_t i = 0; i < f.weather.n_records; i++) {
        f.weather.records[i].mean_m_s = 3.0;
        f.weather.records[i].temperature_c = temperature_c;
        f.weather.records[i].pressure_pa = pressure_pa;
    }
    drive_start(&f, 7);
    const size_t n = drive_collect(&f, 600.0, 10.0, strikes, STRIKES_MAX);
    *sum_s = 0.0;
    for (size_t i = 0; i < n; i++) {
        *sum_s += strikes[i].t_s;
    }
    drive_close(&f);
    free(strikes);
    return n;
}

static void air_that_no_record_tells_is_the_sets(void **state)
{
    (void)state;
    double sums[3];
    struct drive_fixture f;
    sail_open(&f, 1, 60.0);
    const double temperature_c = f.base.set.temperature_c;
    drive_close(&f);
    const size_t n = strikes_in_air((double)NAN, (double)NAN, &sums[0]);
    assert_int_equal(strikes_in_air(temperature_c, (double)NAN, &sums[1]), n);
    assert_int_equal(strikes_in_air((double)NAN, 101325.0, &sums[2]), n);
    assert_true(sums[0] == sums[1] && sums[0] == sums[2]);
}

/* From 35 C at 950 hPa to -15 C at 1040 hPa the drag rises by 31 %, as a wind of 3 m/s would to
 * 3.4 m/s. */
static void cold_heavy_air_drives_harder(void **state)
{
    (void)state;
    double sum_s;
    const size_t n_thin = strikes_in_air(35.0, 95000.0, &sum_s);
    const size_t n_heavy = strikes_in_air(-15.0, 104000.0, &sum_s);
    assert_true(n_thin > 0);
    assert_true((double)n_heavy > 1.2 * (double)n_thin);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(light_wind_is_silent),
        cmocka_unit_test(steady_strong_wind_leans),
        cmocka_unit_test(steady_wind_holds_the_striker_between_two_tubes),
        cmocka_unit_test(striker_leaves_only_what_it_rested_on),
        cmocka_unit_test(the_wind_decides_the_tubes),
        cmocka_unit_test(strikes_ascend_and_are_possible),
        cmocka_unit_test(strikes_do_not_depend_on_how_they_are_asked_for),
        cmocka_unit_test(air_that_no_record_tells_is_the_sets),
        cmocka_unit_test(cold_heavy_air_drives_harder),
        cmocka_unit_test(impossible_sails_are_refused),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
