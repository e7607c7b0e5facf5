/* SPDX-License-Identifier: MIT */
/* Which format a file is taken for; what is known but not read is refused by name, never taken for
 * a table. */
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
        {"GRIB\x02", WP_E_NOT_BUILT, 1, "GRIB or BUFR: not in this version", hint},
        {"PK\x03\x04xl/workbook.xml", WP_E_NOT_BUILT, 1, "a packed file or a spreadsheet",
         "CSV text"},
        {"\x1F\x8B\x08", WP_E_NOT_BUILT, 1, "a packed file", "gunzip"},
        {"\xFF\xFEt", WP_E_NOT_BUILT, 1, "UTF-16 text", "iconv"},
        {"<html>\n", WP_E_NOT_BUILT, 1, "XML or HTML", hint},
        {"12345KXXX XXX2026112506001200   10.0\n", WP_E_NOT_BUILT, 1, "ASOS 1-minute text", hint},
        {"HILL>APRS:_11250600c200s010g015t043\n", WP_E_NOT_BUILT, 1, "APRS packets", hint},
        {"wind,place=hill wind_speed=5.0,gust=7.0 1795586400000000000\n", WP_E_NOT_BUILT, 1,
         "line protocol", hint},
    };
    assert_mistakes(mistakes, sizeof mistakes / sizeof mistakes[0]);
}

/* Magic bytes: "CDF" and 1, 2 or 5 (NetCDF file format specification, Unidata), 0x89 "HDF" (HDF5
 * file format specification, The HDF Group). */
static void arrays_are_refused_with_what_to_do(void **state)
{
    (void)state;
    const struct weather_mistake mistakes[] = {
        {"CDF\x01", WP_E_NOT_BUILT, 1, "NetCDF or HDF5", "ncdump"},
        {"CDF\x02", WP_E_NOT_BUILT, 1, "NetCDF or HDF5", "ncdump"},
        {"CDF\x05", WP_E_NOT_BUILT, 1, "NetCDF or HDF5", "ncdump"},
        {"\x89HDF\r\n\x1A\n", WP_E_NOT_BUILT, 1, "NetCDF or HDF5", "ncdump"},
    };
    assert_mistakes(mistakes, sizeof mistakes / sizeof mistakes[0]);
}

static void formats_are_told_by_their_first_lines(void **state)
{
    (void)state;
    static const struct {
        const char *format;
        const char *text;
    } files[] = {
        {"JSON", "\n{\"time\": \"2026-11-25T06:00Z\", \"wind_avg_m_s\": 3}\n"},
        {"JSON", "[{\"time\": 1795586400, \"wind_speed\": 3}]\n"},
        {"EPW", "LOCATION,Hill,-,-,none,0,47.0,9.0,1.0,400\n"
                "2026,11,25,7,0,x,6.1,3,80,97000,0,0,0,0,0,0,0,0,0,0,240,5.0,0\n"},
        {"NDBC text", "#YY  MM DD hh mm WDIR WSPD GST\n#yr  mo dy hr mn degT m/s  m/s\n"
                      "2026 11 25 06 00 200  5.0  7.0\n"},
        {"NDBC text", "YY MM DD hh WD WSPD GST\n96 11 25 06 200  5.0  7.0\n"},
        {"NOAA ISD, CSV", "\"STATION\",\"DATE\",\"WND\"\n"
                          "\"1\",\"2026-11-25T06:00:00\",\"200,1,N,0050,1\"\n"},
        {"NOAA ISD-Lite", "2026 11 25 06   123    45 10132   200    50     0     0 -9999\n"},
        {"ASOS 5-minute text", "12345KXXX XXX20261125000010611/25/26 00:00:31  5-MIN KXXX 250500Z "
                               "20010KT 10SM CLR 06/04 A2992\n"},
        {"NMEA 0183", "1795586400 $WIMWV,200.0,T,5.0,M,A\r\n"},
        {"station push requests",
         "GET /update?ID=HILL&dateutc=2026-11-25+06%3A00&windspeedmph=9.3 HTTP/1.1\n"},
        {"METAR reports", "2026/11/25 06:00\nEDXX 250600Z 20010KT 9999=\n"},
        {"agency hourly text", "# STN,YYYYMMDD,   HH,   DD,   FH,   FF,   FX\n"
                               "  999,20261125,    6,  200,   50,   50,   80\n"},
        {"agency 10-minute text", "STATIONS_ID;MESS_DATUM;  QN;FF_10;DD_10;eor\n"
                                  "       9999;202611250600;   3;   5.0; 200;eor\n"},
        {"delimited text", "time;wind (m/s)\n2026-11-25T06:00Z;5\n"},
        {"delimited text", "[Time];[Wind m/s]\n2026-11-25T06:00Z;5\n"},
    };
    for (size_t i = 0; i < sizeof files / sizeof files[0]; i++) {
        struct wp_weather weather = weather_of(files[i].text, NULL);
        assert_string_equal(weather.format, files[i].format);
        assert_int_equal(weather.n_records, 1);
        wp_weather_finish(&weather);
    }
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
    static const char wide[] = "t\0i\0m\0e\0,\0w\0i\0n\0d\0\n\0";
    wp_diags_init(&diags);
    assert_int_equal(wp_weather_parse(&weather, "a.csv", wide, sizeof wide - 1, NULL, &diags),
                     WP_E_NOT_BUILT);
    assert_non_null(strstr(diags.items[0].message, "UTF-16"));
}

/* As a logger leaves them that loses its power while it writes. */
static void lines_with_zero_bytes_are_left_out_and_told(void **state)
{
    (void)state;
    static const char table[] = "time,wind (m/s)\n2026-11-25T06:00Z,1\n2026-11-25T06:10Z,\0002\n"
                                "2026-11-25T06:20Z,1\n2026-11-25T06:30Z,1\n\0\0\0\0\0\0\0";
    static const char objects[] =
        "{\"time\":\"2026-11-25T06:00Z\",\"wind\":1}\n\n{\"time\":\"2026-11-25T0\0\n"
        "{\"time\":\"2026-11-25T06:20Z\",\"wind\":1}\n{\"time\":\"2026-11-25T06:30Z\",\"wind\":1}\n"
        "\0\0\0";
    static const struct {
        const char *text;
        size_t size;
    } files[] = {{table, sizeof table - 1}, {objects, sizeof objects - 1}};
    for (size_t i = 0; i < 2; i++) {
        struct wp_weather weather;
        struct wp_diags diags;
        wp_diags_init(&diags);
        assert_int_equal(
            wp_weather_parse(&weather, "a", files[i].text, files[i].size, NULL, &diags), WP_OK);
        assert_int_equal(weather.n_records, 3);
        assert_int_equal(weather.n_rejected, 2);
        assert_note(&weather, "2 lines with a zero byte, which is no text, left out (lines 3, 6)");
        assert_string_equal(weather.repairs[0].found, i == 0 ? "column 19" : "column 22");
        wp_weather_finish(&weather);
    }
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
        cmocka_unit_test(arrays_are_refused_with_what_to_do),
        cmocka_unit_test(formats_are_told_by_their_first_lines),
        cmocka_unit_test(strike_list_is_no_weather),
        cmocka_unit_test(zero_bytes_are_no_text),
        cmocka_unit_test(lines_with_zero_bytes_are_left_out_and_told),
        cmocka_unit_test(tables_that_resemble_other_formats_are_read),
        cmocka_unit_test(offset_from_utc_is_less_than_a_day),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
