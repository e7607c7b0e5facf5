/* SPDX-License-Identifier: MIT */
/* Claims about logs of live sessions. */
#include "windpeal/session.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#include "../near.h"
#include "windpeal/wind.h"

/* 2026-11-25T13:30:00Z: days from 1970-01-01 by the proleptic Gregorian calendar. */
static const double start_s = 1795613400.0;

enum { N_RECORDS = 40 };

/* Values with more digits than the log keeps, some of them missing. */
static void make_records(struct wp_record *records)
{
    for (size_t i = 0; i < N_RECORDS; i++) {
        records[i] = (struct wp_record){
            .t_s = start_s + 0.1 * (double)(7 + 61 * i),
            .mean_m_s = 3.0 + sqrt((double)i) / 3.0,
            .gust_m_s = i % 3 == 1 ? (double)NAN : 6.0 + sqrt((double)i) / 1.7,
            .from_deg = i % 5 == 2 ? (double)NAN : fmod(200.0 + 100.0 / 7.0 * (double)i, 360.0),
            .temperature_c = i % 2 == 1 ? (double)NAN : 10.0 - (double)i / 7.0,
            .pressure_pa = 101325.0 - (double)i / 3.0,
        };
        wp_session_round(&records[i], start_s);
    }
}

static char *write_log(const struct wp_record *records, size_t n_records, double duration_s)
{
    char *text = NULL;
    size_t size = 0;
    FILE *file = open_memstream(&text, &size);
    assert_true(wp_session_print_heading(file, start_s) > 0);
    for (size_t i = 0; i < n_records; i++) {
        assert_true(wp_session_print(file, &records[i], start_s) > 0);
    }
    if (duration_s > 0.0) {
        assert_true(wp_session_print_end(file, duration_s) > 0);
    }
    fclose(file);
    return text;
}

static void same_value(double got, double want)
{
    assert_true((isnan(got) && isnan(want)) || got == want);
}

static void what_was_logged_reads_back_bit_by_bit(void **state)
{
    (void)state;
    struct wp_record records[N_RECORDS];
    struct wp_weather weather;
    make_records(records);
    char *text = write_log(records, N_RECORDS, 260.1);
    assert_int_equal(wp_weather_parse(&weather, "log", text, strlen(text), NULL, NULL), WP_OK);
    assert_string_equal(weather.format, "session log");
    assert_true(weather.is_session);
    assert_int_equal(weather.n_records, N_RECORDS);
    for (size_t i = 0; i < N_RECORDS; i++) {
        same_value(weather.records[i].t_s, records[i].t_s);
        same_value(weather.records[i].mean_m_s, records[i].mean_m_s);
        same_value(weather.records[i].gust_m_s, records[i].gust_m_s);
        same_value(weather.records[i].from_deg, records[i].from_deg);
        same_value(weather.records[i].temperature_c, records[i].temperature_c);
        same_value(weather.records[i].pressure_pa, records[i].pressure_pa);
    }
    double from_s;
    double to_s;
    wp_weather_span(&weather, &from_s, &to_s);
    assert_near(from_s, start_s, 0.0);
    assert_near(to_s - from_s, 260.1, 1e-6);
    wp_weather_finish(&weather);
    free(text);
}

/* Rounding may move a value by half of its last digit and does nothing the second time. */
static void rounding_is_small_and_happens_once(void **state)
{
    (void)state;
    struct wp_record record = {start_s + 12.3, 4.123456, 9.87654, 123.456, 7.777, 101325.123};
    wp_session_round(&record, start_s);
    assert_near(record.mean_m_s, 4.1235, 1e-12);
    assert_near(record.from_deg, 123.46, 1e-12);
    assert_near(record.pressure_pa, 101325.1, 1e-9);
    struct wp_record again = record;
    wp_session_round(&again, start_s);
    assert_memory_equal(&again, &record, sizeof record);
}

/* The live wind takes the records one by one; the log's wind knows them beforehand. */
static void the_log_blows_as_the_session_did(void **state)
{
    (void)state;
    struct wp_record records[N_RECORDS];
    struct wp_weather weather;
    struct wp_wind *live;
    struct wp_wind *logged;
    make_records(records);
    char *text = write_log(records, N_RECORDS, 0.0);
    assert_int_equal(wp_weather_parse(&weather, "log", text, strlen(text), NULL, NULL), WP_OK);
    struct wp_wind_config config;
    wp_wind_config_default(&config);
    config.is_live = true;
    config.is_as_given = true;
    config.start_s = start_s;
    assert_int_equal(wp_wind_create(&live, &config), WP_OK);
    config.weather = &weather;
    assert_int_equal(wp_wind_create(&logged, &config), WP_OK);
    double sum = 0.0;
    for (size_t step = 0, next = 0; step < 3000; step++) {
        struct wp_wind_sample one;
        struct wp_wind_sample other;
        if (next < N_RECORDS && records[next].t_s < start_s + 0.1 * (double)step + 1.0) {
            assert_int_equal(wp_wind_report(live, &records[next++]), WP_OK);
        }
        wp_wind_step(live, &one);
        wp_wind_step(logged, &other);
        assert_memory_equal(&one, &other, sizeof one);
        sum += one.speed_m_s;
    }
    assert_true(sum / 3000.0 > 2.0);
    wp_wind_destroy(live);
    wp_wind_destroy(logged);
    wp_weather_finish(&weather);
    free(text);
}

static void a_session_without_reports_is_a_log(void **state)
{
    (void)state;
    struct wp_weather weather;
    char *text = write_log(NULL, 0, 10.0);
    assert_int_equal(wp_weather_parse(&weather, "log", text, strlen(text), NULL, NULL), WP_OK);
    assert_int_equal(weather.n_records, 0);
    assert_near(weather.end_s - weather.start_s, 10.0, 1e-6);
    wp_weather_finish(&weather);
    free(text);
}

static void averages_are_kept(void **state)
{
    (void)state;
    static const struct wp_averages written = {120.0, 5.5, 600.0};
    struct wp_weather weather;
    char *text = NULL;
    size_t size = 0;
    FILE *file = open_memstream(&text, &size);
    wp_session_print_heading(file, start_s);
    assert_true(wp_session_print_averages(file, &written) > 0);
    wp_session_print_end(file, 10.0);
    fclose(file);
    assert_int_equal(wp_weather_parse(&weather, "log", text, size, NULL, NULL), WP_OK);
    assert_true(weather.averaging_s == 120.0 && weather.gust_s == 5.5);
    assert_true(weather.gust_over_s == 600.0);
    wp_weather_finish(&weather);
    free(text);
}

static void damaged_logs_are_refused_at_their_place(void **state)
{
    (void)state;
    static const struct {
        const char *text;
        int line;
        int column;
    } cases[] = {
        {"# windpeal session from yesterday\nt_s,mean_m_s\n", 1, 25},
        {"# windpeal session from 2026-11-25T13:30:00Z\nt,mean\n", 2, 1},
        {"# windpeal session from 2026-11-25T13:30:00Z\n"
         "t_s,mean_m_s,gust_m_s,from_deg,temperature_c,pressure_pa\n1,2,3\n",
         3, 1},
        {"# windpeal session from 2026-11-25T13:30:00Z\n"
         "t_s,mean_m_s,gust_m_s,from_deg,temperature_c,pressure_pa\n1.0,fast,,,,\n",
         3, 5},
        {"# windpeal session from 2026-11-25T13:30:00Z\n"
         "t_s,mean_m_s,gust_m_s,from_deg,temperature_c,pressure_pa\n1.0,400,,,,\n",
         3, 5},
        {"# windpeal session from 2026-11-25T13:30:00Z\n"
         "t_s,mean_m_s,gust_m_s,from_deg,temperature_c,pressure_pa\n2.0,4,,,,\n1.0,4,,,,\n",
         4, 1},
        {"# windpeal session from 2026-11-25T13:30:00Z\n"
         "t_s,mean_m_s,gust_m_s,from_deg,temperature_c,pressure_pa\n"
         "# windpeal session averages in s, of means, gusts, gusts told of: 600,3,4000\n",
         3, 67},
        {"# windpeal session from 2026-11-25T13:30:00Z\n"
         "t_s,mean_m_s,gust_m_s,from_deg,temperature_c,pressure_pa\n"
         "# windpeal session averages in s, of means, gusts, gusts told of: 600,0,600\n",
         3, 67},
    };
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        struct wp_weather weather;
        struct wp_diags diags;
        wp_diags_init(&diags);
        assert_int_equal(
            wp_weather_parse(&weather, "log", cases[i].text, strlen(cases[i].text), NULL, &diags),
            WP_E_SYNTAX);
        assert_int_equal(diags.items[0].mark.line, cases[i].line);
        assert_int_equal(diags.items[0].mark.column, cases[i].column);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(what_was_logged_reads_back_bit_by_bit),
        cmocka_unit_test(rounding_is_small_and_happens_once),
        cmocka_unit_test(the_log_blows_as_the_session_did),
        cmocka_unit_test(a_session_without_reports_is_a_log),
        cmocka_unit_test(averages_are_kept),
        cmocka_unit_test(damaged_logs_are_refused_at_their_place),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
