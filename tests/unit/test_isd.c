/* SPDX-License-Identifier: MIT */
/* NOAA ISD: type and quality codes of the CSV, missing values and calm of ISD-Lite. */
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

/* Quality codes 2, 3, 6 and 7 are suspect or erroneous; type 9 with a speed of 0000 is calm; type V
 * with a direction of 999 is variable (ISD documentation, mandatory data section). */
static void codes_are_understood(void **state)
{
    (void)state;
    static const struct {
        const char *wind;
        double mean_m_s;
        double from_deg;
        size_t n_repairs;
    } groups[] = {{"200,1,N,0050,1", 5.0, 200.0, 0}, {"999,9,C,0000,1", 0.0, NAN, 0},
                  {"999,9,9,0000,1", 0.0, NAN, 0},   {"999,1,V,0015,1", 1.5, NAN, 0},
                  {"999,9,9,9999,9", NAN, NAN, 0},   {"200,1,N,0050,3", NAN, 200.0, 1},
                  {"200,2,N,0050,1", 5.0, NAN, 1},   {"200,5,H,0900,5", NAN, 200.0, 1}};
    for (size_t i = 0; i < sizeof groups / sizeof groups[0]; i++) {
        char text[256];
        (void)snprintf(text, sizeof text,
                       "\"STATION\",\"DATE\",\"WND\",\"TMP\"\n"
                       "\"1\",\"2026-11-25T06:00:00\",\"%s\",\"-0101,1\"\n"
                       "\"1\",\"2026-11-25T07:00:00\",\"200,1,N,0040,1\",\"+9999,9\"\n",
                       groups[i].wind);
        struct wp_weather weather = weather_of(text, NULL);
        const struct wp_record *const record = &weather.records[0];
        assert_int_equal(weather.n_records, 2);
        assert_near(record->t_s, six_s, 0.0);
        assert_true(isnan(groups[i].mean_m_s) ? isnan(record->mean_m_s) != 0
                                              : record->mean_m_s == groups[i].mean_m_s);
        assert_true(isnan(groups[i].from_deg) ? isnan(record->from_deg) != 0
                                              : record->from_deg == groups[i].from_deg);
        assert_near(record->temperature_c, -10.1, 1e-12);
        assert_true(isnan(weather.records[1].temperature_c));
        assert_int_equal(weather.n_repairs, groups[i].n_repairs);
        wp_weather_finish(&weather);
    }
}

static void file_without_wind_is_refused(void **state)
{
    (void)state;
    const struct weather_mistake mistakes[] = {
        {"\"STATION\",\"DATE\",\"WND\"\n\"1\",\"2026-11-25T06:00:00\",\"999,9,9,9999,9\"\n",
         WP_E_EMPTY, 2, "none has a wind speed", "wind speed"},
        {"\"STATION\",\"DATE\",\"WND\"\n", WP_E_EMPTY, 1, "tells a wind speed", "holds wind"},
    };
    assert_mistakes(mistakes, 2);
}

static void lite_rows_have_tenths_and_their_own_calm(void **state)
{
    (void)state;
    struct wp_weather weather =
        weather_of("2026 11 25 06    61 -9999 10132     0     0 -9999 -9999 -9999\n"
                   "2026 11 25 07   -12    45 -9999   360   123     0     0 -9999\n"
                   "2026 11 25 08 -9999 -9999 -9999 -9999 -9999 -9999 -9999 -9999\n"
                   "2026 02 30 08    61 -9999 10132   200    50 -9999 -9999 -9999\n",
                   NULL);
    assert_int_equal(weather.n_records, 3);
    assert_int_equal(weather.n_missing, 1);
    assert_int_equal(weather.n_rejected, 1);
    assert_near(weather.records[0].mean_m_s, 0.0, 0.0);
    assert_true(isnan(weather.records[0].from_deg));
    assert_near(weather.records[0].temperature_c, 6.1, 1e-12);
    assert_near(weather.records[1].mean_m_s, 12.3, 1e-12);
    assert_near(weather.records[1].from_deg, 360.0, 0.0);
    assert_near(weather.records[1].temperature_c, -1.2, 1e-12);
    wp_weather_finish(&weather);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(codes_are_understood),
        cmocka_unit_test(file_without_wind_is_refused),
        cmocka_unit_test(lite_rows_have_tenths_and_their_own_calm),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
