/* SPDX-License-Identifier: MIT */
/* Formats that are known but not read yet: refused by name, never taken for a table. */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>

#include "../weather_text.h"

static void foreign_formats_are_refused_by_name(void **state)
{
    (void)state;
    static const char hint[] = "CSV text with the columns time, speed, gust, direction";
    const struct weather_mistake mistakes[] = {
        {"CDF\x01\x02", WP_E_NOT_BUILT, 1, "NetCDF or HDF5: not in this version", hint},
        {"\x89HDF\r\n\x1A\n", WP_E_NOT_BUILT, 1, "NetCDF or HDF5", hint},
        {"GRIB\x02", WP_E_NOT_BUILT, 1, "GRIB or BUFR", hint},
        {"PK\x03\x04xl/workbook.xml", WP_E_NOT_BUILT, 1, "a packed file or a spreadsheet", hint},
        {"\x1F\x8B\x08", WP_E_NOT_BUILT, 1, "a packed file", hint},
        {"\xFF\xFEt", WP_E_NOT_BUILT, 1, "UTF-16 text", hint},
        {"\n{\"time\": \"2026-11-25T06:00Z\", \"wind_avg_m_s\": 3}\n", WP_E_NOT_BUILT, 1, "JSON",
         hint},
        {"[1, 2]\n", WP_E_NOT_BUILT, 1, "JSON", hint},
        {"<html>\n", WP_E_NOT_BUILT, 1, "XML or HTML", hint},
        {"LOCATION,Hill,-,-,none,0,47.0,9.0,1.0,400\n", WP_E_NOT_BUILT, 1, "EPW", hint},
        {"#YY  MM DD hh mm WDIR WSPD GST\n#yr  mo dy hr mn degT m/s  m/s\n"
         "2026 11 25 06 00 200  5.0  7.0\n",
         WP_E_NOT_BUILT, 1, "NDBC text", hint},
        {"\"STATION\",\"DATE\",\"WND\"\n\"1\",\"2026-11-25T06:00:00\",\"200,1,N,0050,1\"\n",
         WP_E_NOT_BUILT, 1, "NOAA ISD", hint},
        {"2026 11 25 06   123    45 10132   200    50     0     0 -9999\n", WP_E_NOT_BUILT, 1,
         "NOAA ISD", hint},
        {"12345KXXX XXX2026112506001200   10.0\n", WP_E_NOT_BUILT, 1, "ASOS text", hint},
        {"$WIMWV,200.0,T,5.0,M,A*11\r\n", WP_E_NOT_BUILT, 1, "NMEA 0183", hint},
        {"GET /update?ID=HILL&dateutc=2026-11-25+06%3A00&windspeedmph=9.3 HTTP/1.1\n",
         WP_E_NOT_BUILT, 1, "station push requests", hint},
        {"METAR EDXX 250600Z 20010KT 9999 FEW030 06/04 Q1013=\n", WP_E_NOT_BUILT, 1,
         "METAR reports", hint},
        {"EDXX 250600Z 20010KT 9999=\n", WP_E_NOT_BUILT, 1, "METAR reports", hint},
        {"HILL>APRS:_11250600c200s010g015t043\n", WP_E_NOT_BUILT, 1, "APRS packets", hint},
        {"wind,place=hill wind_speed=5.0,gust=7.0 1795586400000000000\n", WP_E_NOT_BUILT, 1,
         "line protocol", hint},
    };
    assert_mistakes(mistakes, sizeof mistakes / sizeof mistakes[0]);
}

/* Its speeds and bearings have units of wind, so it would pass for weather. */
static void strike_list_is_no_weather(void **state)
{
    (void)state;
    const struct weather_mistake mistakes[] = {
        {"t_s,tube,speed_m_s,bearing_deg\n0.1,1,0.3,20\n", WP_E_CONFLICT, 1, "list of strikes",
         "render --strikes"},
    };
    assert_mistakes(mistakes, 1);
}

static void zero_bytes_are_no_text(void **state)
{
    (void)state;
    static const char text[] = "time,wind\n\0\0\0";
    struct wp_weather weather;
    struct wp_diags diags;
    wp_diags_init(&diags);
    assert_int_equal(wp_weather_parse(&weather, "a.csv", text, sizeof text - 1, NULL, &diags),
                     WP_E_NOT_BUILT);
    assert_non_null(strstr(diags.items[0].message, "a binary file"));
}

static void tables_that_resemble_other_formats_are_read(void **state)
{
    (void)state;
    const char *const texts[] = {
        "# {json}\ntime,wind (m/s)\n2026-11-25T06:00Z,1\n",
        "# <tags> & more\ntime,wind (m/s)\n2026-11-25T06:00Z,1\n",
        "station,date,wind speed (m/s)\nKXXX,2026-11-25T06:00Z,1\n",
        "time,wind (m/s),metar\n2026-11-25T06:00Z,1,EDXX 250600Z 20010KT 9999\n",
    };
    for (size_t i = 0; i < sizeof texts / sizeof texts[0]; i++) {
        struct wp_weather weather = weather_of(texts[i], NULL);
        assert_int_equal(weather.n_records, 1);
        wp_weather_finish(&weather);
    }
}

static void offset_from_utc_is_less_than_a_day(void **state)
{
    (void)state;
    struct wp_weather weather;
    struct wp_weather_config config;
    wp_weather_config_default(&config);
    assert_null(config.unit);
    assert_false(config.is_offset_given);
    config.utc_offset_s = 1e6;
    assert_int_equal(wp_weather_parse(&weather, "a.csv", "time,wind\n", 10, &config, NULL),
                     WP_E_RANGE);
    config.utc_offset_s = NAN;
    assert_int_equal(wp_weather_parse(&weather, "a.csv", "time,wind\n", 10, &config, NULL),
                     WP_E_RANGE);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(foreign_formats_are_refused_by_name),
        cmocka_unit_test(strike_list_is_no_weather),
        cmocka_unit_test(zero_bytes_are_no_text),
        cmocka_unit_test(tables_that_resemble_other_formats_are_read),
        cmocka_unit_test(offset_from_utc_is_less_than_a_day),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
