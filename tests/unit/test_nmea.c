/* SPDX-License-Identifier: MIT */
/* NMEA 0183: which sentence counts, checksums, times. Checksums here were formed by exclusive or
 * with Python. */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>

#include "../near.h"
#include "../weather_text.h"

/* 2026-11-25T06:00:00Z: date -u -d 2026-11-25T06:00 +%s */
static const double six_s = 1795586400.0;

static void best_sentence_of_a_file_counts(void **state)
{
    (void)state;
    static const struct {
        const char *text;
        double mean_m_s;
        double from_deg;
    } files[] = {
        {"$WIMWV,200.0,R,5.0,M,A\n$GPZDA,060000,25,11,2026,,\n", 5.0, 200.0},
        {"$WIMWV,200.0,R,5.0,M,A\n$WIMWV,210.0,T,36.0,K,A\n$GPZDA,060000,25,11,2026,,\n", 10.0,
         210.0},
        {"$WIMWD,220.0,T,,M,,N,8.0,M\n$WIMWV,210.0,T,36.0,K,A\n$GPZDA,060000,25,11,2026,,\n", 8.0,
         220.0},
        /* MWD without a direction is less than MWV, T. */
        {"$WIMWD,,T,,M,,N,8.0,M\n$WIMWV,210.0,T,36.0,K,A\n$GPZDA,060000,25,11,2026,,\n", 10.0,
         210.0},
    };
    for (size_t i = 0; i < sizeof files / sizeof files[0]; i++) {
        struct wp_weather weather = weather_of(files[i].text, NULL);
        assert_int_equal(weather.n_records, 1);
        assert_near(weather.records[0].t_s, six_s, 0.0);
        assert_near(weather.records[0].mean_m_s, files[i].mean_m_s, 1e-12);
        assert_near(weather.records[0].from_deg, files[i].from_deg, 1e-9);
        wp_weather_finish(&weather);
    }
}

/* K km/h, M m/s, N knots, S statute miles an hour */
static void units_are_read_by_their_letter(void **state)
{
    (void)state;
    static const struct {
        const char *letter;
        double mean_m_s;
    } units[] = {{"K", 10.0 / 3.6}, {"M", 10.0}, {"N", 18520.0 / 3600.0}, {"S", 4.4704}};
    for (size_t i = 0; i < sizeof units / sizeof units[0]; i++) {
        char text[96];
        (void)snprintf(text, sizeof text, "1795586400 $WIMWV,200.0,R,10.0,%s,A\n", units[i].letter);
        struct wp_weather weather = weather_of(text, NULL);
        assert_near(weather.records[0].mean_m_s, units[i].mean_m_s, 1e-12);
        assert_near(weather.records[0].t_s, six_s, 0.0);
        wp_weather_finish(&weather);
    }
}

static void winds_between_two_times_are_averaged(void **state)
{
    (void)state;
    /* Two of 4 m/s from 350 and 10 degrees, and a calm: north, 8/3 m/s. */
    struct wp_weather weather = weather_of("$GPRMC,055959,A,1,N,1,E,0,0,251126,,\n"
                                           "$WIMWV,350.0,R,4.0,M,A\n"
                                           "$WIMWV,10.0,R,4.0,M,A\n"
                                           "$WIMWV,,R,0.0,M,A\n"
                                           "$GPRMC,060000,A,1,N,1,E,0,0,251126,,\n",
                                           NULL);
    assert_int_equal(weather.n_records, 1);
    assert_near(weather.records[0].mean_m_s, 8.0 / 3.0, 1e-12);
    assert_near(fabs(remainder(weather.records[0].from_deg, 360.0)), 0.0, 1e-9);
    wp_weather_finish(&weather);
}

static void wrong_and_invalid_sentences_are_left_out(void **state)
{
    (void)state;
    struct wp_weather weather = weather_of("$WIMWV,200.0,R,5.0,M,A*27\n"
                                           "$GPZDA,060000,25,11,2026,,\n"
                                           "$WIMWV,200.0,R,6.0,M,A*25\n"
                                           "$WIMWV,,R,,M,V\n"
                                           "$WIMWV,200.0,R,7.0,M,A*25\n"
                                           "$GPZDA,060001,25,11,2026,,\n",
                                           NULL);
    assert_int_equal(weather.n_records, 2);
    assert_near(weather.records[0].mean_m_s, 5.0, 0.0);
    assert_near(weather.records[1].mean_m_s, 7.0, 0.0);
    assert_int_equal(weather.n_rejected, 2);
    assert_int_equal(weather.repairs[0].line, 3);
    assert_non_null(strstr(weather.repairs[0].what, "wrong checksum"));
    assert_int_equal(weather.repairs[1].line, 4);
    assert_non_null(strstr(weather.repairs[1].what, "invalid"));
    wp_weather_finish(&weather);
}

static void times_without_a_date_go_on_past_midnight(void **state)
{
    (void)state;
    struct wp_weather_config config;
    wp_weather_config_default(&config);
    config.reference_s = six_s;
    struct wp_weather weather = weather_of("$WIMWV,200.0,R,5.0,M,A\n$GPZDA,235959,,,,,\n"
                                           "$WIMWV,200.0,R,6.0,M,A\n$GPZDA,000001,,,,,\n",
                                           &config);
    assert_int_equal(weather.n_records, 2);
    assert_near(weather.records[0].t_s, six_s - 21600.0 + 86399.0, 0.0);
    assert_near(weather.records[1].t_s - weather.records[0].t_s, 2.0, 0.0);
    assert_note(&weather, "no date");
    wp_weather_finish(&weather);
}

static void sentences_without_any_time_need_an_interval(void **state)
{
    (void)state;
    const struct weather_mistake mistakes[] = {
        {"$WIMWV,200.0,R,5.0,M,A\n", WP_E_MISSING, 1, "no time goes with this", "--interval"},
    };
    struct wp_weather_config config;
    wp_weather_config_default(&config);
    assert_mistakes(mistakes, 1);
    config.interval_s = 0.5;
    struct wp_weather weather =
        weather_of("$WIMWV,200.0,R,5.0,M,A\n$WIMWV,200.0,R,6.0,M,A\n", &config);
    assert_near(weather.interval_s, 0.5, 0.0);
    assert_near(weather.records[1].t_s, 1.0, 0.0);
    wp_weather_finish(&weather);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(best_sentence_of_a_file_counts),
        cmocka_unit_test(units_are_read_by_their_letter),
        cmocka_unit_test(winds_between_two_times_are_averaged),
        cmocka_unit_test(wrong_and_invalid_sentences_are_left_out),
        cmocka_unit_test(times_without_a_date_go_on_past_midnight),
        cmocka_unit_test(sentences_without_any_time_need_an_interval),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
