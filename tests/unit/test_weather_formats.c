/* SPDX-License-Identifier: MIT */
/*
 * One eve at Brenlow, which exists only here, as sixteen kinds of station write it: the files of
 * tests/data/weather were written from the table below, each by its format's public definition
 * (named in the reader's file), and must give the table back as far as the format can say it.
 */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#include "../weather_text.h"

enum { RECORDS = 8 };

/* 2026-04-11T22:00:00Z: date -u -d 2026-04-11T22:00 +%s */
static const double start_s = 1775944800.0;

/* The eve, every half hour. A calm has no direction; the fourth record has no wind, two no gust. */
static const struct wp_record eve[RECORDS] = {
    {0.0, 0.0, NAN, NAN, 9.4, 100960.0},       {1800.0, 1.5, 4.1, 200.0, 9.3, 100950.0},
    {3600.0, 3.1, 6.2, 220.0, 9.1, 100930.0},  {5400.0, NAN, NAN, NAN, 9.0, 100920.0},
    {7200.0, 5.1, 9.8, 240.0, 8.8, 100900.0},  {9000.0, 7.2, 13.4, 260.0, 8.5, 100870.0},
    {10800.0, 6.2, NAN, 280.0, 8.1, 100890.0}, {12600.0, 8.2, 15.4, 340.0, 7.6, 100940.0}};

/* What a format cannot say: gusts, half hours, that the wind is missing. */
enum { NO_GUSTS = 1, NO_HALF_HOURS = 2, NO_MISSING = 4 };

/* A file, what its reader must be told, and how far its digits reach. */
struct file {
    const char *name;
    const char *format;
    const char *columns;
    double utc_offset_s;
    enum wp_date_order date_order;
    double speed_m_s;   /* half of its last digit, a little more for doubles */
    double from_deg;    /* likewise; sixteen points reach 11.25 */
    double air_c;       /* NAN: the format has no temperature */
    double pressure_pa; /* NAN: no pressure */
    unsigned int lacks; /* bits below */
};

static const struct file files[] = {
    {"commas.csv", "delimited text", NULL, 0.0, WP_ORDER_UNKNOWN, 1e-9, 0.0, 1e-9, 1e-6, 0},
    /* 0.05 km/h; local time, two hours ahead */
    {"semicolons.csv", "delimited text", NULL, 7200.0, WP_ORDER_UNKNOWN, 0.0139, 0.0, 1e-9, 1e-6,
     0},
    /* 0.05 mph; 0.05 F */
    {"tabs.txt", "delimited text", NULL, 0.0, WP_ORDER_MONTH_FIRST, 0.0224, 11.25, 0.028, NAN, 0},
    {"packed-epoch.csv", "delimited text", "time=1,speed=3,gust=4,from=5", 0.0, WP_ORDER_UNKNOWN,
     1e-9, 0.0, NAN, NAN, 0},
    /* half a knot, a degree, an hectopascal that is cut off */
    {"reports.metar", "METAR reports", NULL, 0.0, WP_ORDER_UNKNOWN, 0.2573, 0.0, 0.5, 100.0, 0},
    /* half a knot; half of 0.01 inHg */
    {"asos.dat", "ASOS 5-minute text", NULL, 0.0, WP_ORDER_UNKNOWN, 0.2573, 0.0, 0.5, 17.0, 0},
    {"buoy.txt", "NDBC text", NULL, 0.0, WP_ORDER_UNKNOWN, 1e-9, 0.0, 1e-9, 1e-6, 0},
    /* 0.005 mph, 0.005 F, 0.0005 inHg */
    {"push.log", "station push requests", NULL, 0.0, WP_ORDER_UNKNOWN, 0.00224, 0.0, 0.0028, 1.7,
     0},
    /* 0.005 km/h */
    {"flat.jsonl", "JSON", NULL, 0.0, WP_ORDER_UNKNOWN, 0.00139, 0.0, 1e-9, NAN, 0},
    {"nested.json", "JSON", NULL, 0.0, WP_ORDER_UNKNOWN, 1e-9, 0.0, 1e-9, 1e-6, 0},
    {"anemometer.nmea", "NMEA 0183", NULL, 0.0, WP_ORDER_UNKNOWN, 1e-9, 1e-9, NAN, NAN,
     NO_GUSTS | NO_MISSING},
    {"isd.csv", "NOAA ISD, CSV", NULL, 0.0, WP_ORDER_UNKNOWN, 1e-9, 0.0, 1e-9, 1e-6, 0},
    {"isd-lite.txt", "NOAA ISD-Lite", NULL, 0.0, WP_ORDER_UNKNOWN, 1e-9, 0.0, 1e-9, 1e-6,
     NO_GUSTS | NO_HALF_HOURS},
    {"house.epw", "EPW", NULL, 0.0, WP_ORDER_UNKNOWN, 1e-9, 0.0, 1e-9, 1e-6, NO_GUSTS},
    {"ten-minutes.txt", "agency 10-minute text", NULL, 0.0, WP_ORDER_UNKNOWN, 1e-9, 0.0, NAN, NAN,
     0},
    {"hourly.txt", "agency hourly text", NULL, 0.0, WP_ORDER_UNKNOWN, 1e-9, 0.0, 1e-9, 1e-6,
     NO_HALF_HOURS},
};

static struct wp_weather load(const struct file *file)
{
    char path[512];
    struct wp_weather weather;
    struct wp_weather_config config;
    struct wp_diags diags;
    const char *const root = getenv("WP_SOURCE_ROOT");
    wp_diags_init(&diags);
    wp_weather_config_default(&config);
    config.utc_offset_s = file->utc_offset_s;
    config.date_order = file->date_order;
    config.columns = file->columns;
    (void)snprintf(path, sizeof path, "%s/tests/data/weather/%s", root ? root : ".", file->name);
    if (wp_weather_load(&weather, path, &config, &diags)) {
        fail_msg("%s:%d: %s", path, diags.items[0].mark.line, diags.items[0].message);
    }
    return weather;
}

static void assert_value(double got, double want, double tolerance, const char *what,
                         const struct file *file, double t_s)
{
    const bool is_right =
        isnan(want) || isnan(tolerance) ? isnan(got) : fabs(got - want) <= tolerance;
    if (!is_right) {
        fail_msg("%s at %g s: %s is %g, not %g", file->name, t_s, what, got, want);
    }
}

static void assert_record(const struct wp_record *got, const struct wp_record *want,
                          const struct file *file)
{
    const double t_s = want->t_s;
    assert_value(got->t_s, start_s + t_s, 0.0, "time", file, t_s);
    assert_value(got->mean_m_s, want->mean_m_s, file->speed_m_s, "mean", file, t_s);
    assert_value(got->gust_m_s, file->lacks & NO_GUSTS ? (double)NAN : want->gust_m_s,
                 file->speed_m_s, "gust", file, t_s);
    assert_value(got->from_deg, want->from_deg, file->from_deg, "direction", file, t_s);
    assert_value(got->temperature_c, want->temperature_c, file->air_c, "temperature", file, t_s);
    assert_value(got->pressure_pa, want->pressure_pa, file->pressure_pa, "pressure", file, t_s);
}

static void every_format_gives_the_eve_back(void **state)
{
    (void)state;
    for (size_t i = 0; i < sizeof files / sizeof files[0]; i++) {
        struct wp_weather weather = load(&files[i]);
        size_t n = 0;
        assert_string_equal(weather.format, files[i].format);
        for (size_t k = 0; k < RECORDS; k++) {
            const bool is_hour = fmod(eve[k].t_s, 3600.0) == 0.0;
            const bool is_left_out = (files[i].lacks & NO_MISSING) && isnan(eve[k].mean_m_s);
            if (((files[i].lacks & NO_HALF_HOURS) && !is_hour) || is_left_out) {
                continue;
            }
            assert_true(n < weather.n_records);
            assert_record(&weather.records[n++], &eve[k], &files[i]);
        }
        assert_int_equal(weather.n_records, n);
        wp_weather_finish(&weather);
    }
}

/* True when a record of that time is there, which tells the same where this one tells anything. */
static bool is_part_of(const struct wp_record *record, const struct wp_weather *whole)
{
    for (size_t i = 0; i < whole->n_records; i++) {
        const struct wp_record *const other = &whole->records[i];
        const double got[] = {record->mean_m_s, record->gust_m_s, record->from_deg,
                              record->temperature_c, record->pressure_pa};
        const double want[] = {other->mean_m_s, other->gust_m_s, other->from_deg,
                               other->temperature_c, other->pressure_pa};
        bool is_same = record->t_s == other->t_s;
        for (size_t k = 0; k < sizeof got / sizeof got[0]; k++) {
            is_same = is_same && (isnan(got[k]) || got[k] == want[k]);
        }
        if (is_same) {
            return true;
        }
    }
    return false;
}

/* A file that is still being written ends anywhere: its last line tells nothing, or what is true.
 * Cut within the last number of all nobody can see it, nor in METAR, whose reports have any length.
 */
static void cut_last_line_tells_nothing_wrong(void **state)
{
    (void)state;
    static const char *const names[] = {"commas.csv",   "buoy.txt",  "push.log",   "isd.csv",
                                        "isd-lite.txt", "house.epw", "hourly.txt", "flat.jsonl"};
    for (size_t i = 0; i < sizeof names / sizeof names[0]; i++) {
        char path[512];
        char text[16384];
        const char *const root = getenv("WP_SOURCE_ROOT");
        (void)snprintf(path, sizeof path, "%s/tests/data/weather/%s", root ? root : ".", names[i]);
        FILE *const file = fopen(path, "rb");
        assert_non_null(file);
        size_t size = fread(text, 1, sizeof text - 1, file);
        (void)fclose(file);
        text[size] = '\0';
        const struct wp_weather_config config = {
            .scale = 1.0, .reference_s = start_s, .day_s = NAN};
        struct wp_weather whole = weather_of(text, &config);
        const size_t last = (size_t)(strrchr(text, '\n') - text);
        text[last] = '\0';
        size = last;
        const size_t first = (size_t)(strrchr(text, '\n') - text) + 1;
        size_t n_rejected = 0;
        while (size > first && !strchr(",; &", text[size - 1])) {
            size--; /* the last number */
        }
        for (; size > first; size--) {
            text[size] = '\0';
            struct wp_weather weather = weather_of(text, &config);
            const size_t n = weather.n_records;
            n_rejected += weather.n_rejected > whole.n_rejected;
            assert_in_range(n, whole.n_records - 1, whole.n_records);
            for (size_t k = 0; k < n; k++) {
                assert_true(is_part_of(&weather.records[k], &whole));
            }
            wp_weather_finish(&weather);
        }
        if (n_rejected == 0) {
            fail_msg("%s: no cut was told", names[i]);
        }
        wp_weather_finish(&whole);
    }
}

/* WMO-No. 8, part I, chapter 5: means of ten minutes, gusts of 3 s; in the United States means of
 * two (Federal Meteorological Handbook No. 1); on buoys means of eight, gusts of 5 s (NDBC,
 * Measurement Descriptions and Units). */
static void averaging_is_what_the_format_defines(void **state)
{
    (void)state;
    static const struct {
        const char *name;
        double averaging_s;
        double gust_s;
    } known[] = {{"reports.metar", 600.0, 3.0}, {"asos.dat", 120.0, 3.0},
                 {"buoy.txt", 480.0, 5.0},      {"ten-minutes.txt", 600.0, 3.0},
                 {"hourly.txt", 3600.0, 3.0},   {"commas.csv", 0.0, 0.0}};
    for (size_t i = 0; i < sizeof known / sizeof known[0]; i++) {
        size_t k = 0;
        while (strcmp(files[k].name, known[i].name) != 0) {
            k++;
        }
        struct wp_weather weather = load(&files[k]);
        assert_true(weather.averaging_s == known[i].averaging_s);
        assert_true(weather.gust_s == known[i].gust_s);
        wp_weather_finish(&weather);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_format_gives_the_eve_back),
        cmocka_unit_test(cut_last_line_tells_nothing_wrong),
        cmocka_unit_test(averaging_is_what_the_format_defines),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
