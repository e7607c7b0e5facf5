/* SPDX-License-Identifier: MIT */
/*
 * Wind groups composed by the rules of WMO-No. 306, Manual on Codes, volume I.1, FM 15 METAR,
 * regulation 15.5 (dddffGfmfm, VRB, 00000, P99KT, P49MPS, dnVdx) and 15.11 (T'T'/T'dT'd), the
 * regulations quoted from memory. Three-digit speeds in knots: United States practice (Federal
 * Meteorological Handbook No. 1, chapter 12.6.5, from memory).
 */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>

#include "../near.h"
#include "windpeal/weather.h"

/* 1 knot = 1852 m an hour (NIST SP 811, table 8). */
static const double knot_m_s = 1852.0 / 3600.0;

struct report {
    const char *text;
    double mean_m_s;
    double gust_m_s;
    double from_deg;
    double temperature_c;
};

static void assert_value(double got, double want, const char *text)
{
    if (isnan(want) ? !isnan(got) : !(fabs(got - want) <= 1e-9)) {
        fail_msg("'%s': %g instead of %g", text, got, want);
    }
}

static void assert_reports(const struct report *reports, size_t n)
{
    for (size_t i = 0; i < n; i++) {
        struct wp_weather weather;
        struct wp_diags diags;
        wp_diags_init(&diags);
        if (wp_weather_metar(&weather, reports[i].text, 600.0, &diags)) {
            fail_msg("'%s': %s", reports[i].text, diags.items[0].message);
        }
        const struct wp_record *const record = &weather.records[0];
        assert_value(record->mean_m_s, reports[i].mean_m_s, reports[i].text);
        assert_value(record->gust_m_s, reports[i].gust_m_s, reports[i].text);
        assert_value(record->from_deg, reports[i].from_deg, reports[i].text);
        assert_value(record->temperature_c, reports[i].temperature_c, reports[i].text);
        wp_weather_finish(&weather);
    }
}

#define ASSERT_REPORTS(reports) assert_reports(reports, sizeof reports / sizeof reports[0])

static void groups_alone_are_read(void **state)
{
    (void)state;
    const struct report reports[] = {
        {"24015KT", 15.0 * knot_m_s, NAN, 240.0, NAN},
        {"24015G25KT", 15.0 * knot_m_s, 25.0 * knot_m_s, 240.0, NAN},
        {"36004KT", 4.0 * knot_m_s, NAN, 360.0, NAN},
        {"04008G14MPS", 8.0, 14.0, 40.0, NAN},
        {"09036KMH", 10.0, NAN, 90.0, NAN},
        {"090100G180KMH", 100.0 / 3.6, 50.0, 90.0, NAN},
        {"00000KT", 0.0, NAN, NAN, NAN},
        {"00000MPS", 0.0, NAN, NAN, NAN},
        {"VRB02KT", 2.0 * knot_m_s, NAN, NAN, NAN},
        {"VRB03G15KT", 3.0 * knot_m_s, 15.0 * knot_m_s, NAN, NAN},
        {"240P99KT", 99.0 * knot_m_s, NAN, 240.0, NAN},
        {"240P49MPS", 49.0, NAN, 240.0, NAN},
        {"24080GP99KT", 80.0 * knot_m_s, 99.0 * knot_m_s, 240.0, NAN},
        {"270112G130KT", 112.0 * knot_m_s, 130.0 * knot_m_s, 270.0, NAN},
        {"///08KT", 8.0 * knot_m_s, NAN, NAN, NAN},
        {"24015G//KT", 15.0 * knot_m_s, NAN, 240.0, NAN},
    };
    ASSERT_REPORTS(reports);
}

static void whole_reports_are_read(void **state)
{
    (void)state;
    const struct report reports[] = {
        {"METAR EDXX 250630Z 22009G17KT 190V260 9999 SCT035 07/04 Q1012 NOSIG=", 9.0 * knot_m_s,
         17.0 * knot_m_s, 220.0, 7.0},
        {"SPECI COR EDXX 250741Z 25019G34KT 4000 +SHRA BKN015CB M02/M06 Q1011 RMK PK WND "
         "26036/0738=",
         19.0 * knot_m_s, 34.0 * knot_m_s, 250.0, -2.0},
        {"METAR EDXX 250830Z AUTO 00515KT 9999 BKN020 M00/M01 Q1012 TEMPO 02025G38KT=",
         15.0 * knot_m_s, NAN, 5.0, 0.0},
        {"METAR UUXX 250800Z 35008MPS CAVOK 21/ Q1011=", 8.0, NAN, 350.0, 21.0},
        {"METAR KXXX 250951Z 28014KT 1 1/2SM R24/1200FT CLR ///// A3001 RMK T10281100",
         14.0 * knot_m_s, NAN, 280.0, NAN},
        {"EDXX 250600Z 00000KT 0050 FG VV001 06/06 Q1013", 0.0, NAN, NAN, 6.0},
    };
    ASSERT_REPORTS(reports);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(groups_alone_are_read),
        cmocka_unit_test(whole_reports_are_read),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
