/* SPDX-License-Identifier: MIT */
/* JSON: nesting, wrappers, numbers as text, what is missing, which key counts. */
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

static struct wp_record first_of(const char *text)
{
    struct wp_weather weather = weather_of(text, NULL);
    const struct wp_record record = weather.records[0];
    wp_weather_finish(&weather);
    return record;
}

static void shapes_of_one_report_give_one_record(void **state)
{
    (void)state;
    const char *const texts[] = {
        "{\"time\": \"2026-11-25T06:00Z\", \"wind_speed_kmh\": 36, \"wind_gust_kmh\": 54}\n",
        "{\"ts\": 1795586400, \"windSpeedKmh\": \"36.0\", \"windGustKmh\": \"54\"}\n",
        "{\"payload\": {\"epoch\": 1795586400000, \"wind\": {\"speed (km/h)\": 36, \"gust "
        "(km/h)\": 54}}}\n",
        "{\"observations\": [{\"dt\": 1795586400, \"wind\": {\"speed_m_s\": 10, \"gust_m_s\": "
        "15}}]}\n",
        "[\n  {\"time\": \"2026-11-25 07:00+01:00\",\n   \"weather\": [{\"id\": 1}],\n"
        "   \"wind_speed_ms\": 10, \"wind_gust_ms\": 15}\n]\n",
        "{\"ts\": 1795586400, \"wind_speed\": {\"min\": 4, \"avg\": 10, \"max\": 15, \"sd\": 2}}\n",
        "{\"ts\": 1795586400, \"wind\": {\"speed\": {\"value\": 36, \"unit\": \"km/h\"}, \"gust\": "
        "{\"unit\": \"m/s\", \"value\": 15}}}\n",
        "{\"ts\": 1795586400, \"wind_speed\": 36, \"wind_speed_unit\": \"km/h\", \"wind_gust\": "
        "54}\n",
        "{\"ts\": 1795586400, \"units\": {\"wind_speed\": \"km/h\"}, \"wind_speed\": 36, "
        "\"wind_gust\": 54}\n",
        "{\"units\": {\"windSpeed\": \"km/h\"}, \"observations\": [{\"ts\": 1795586400, "
        "\"windSpeed\": 36, \"windGust\": 54}]}\n",
        "garden/wind {\"ts\": 1795586400, \"speed_ms\": 10, \"gust_ms\": 15}\n",
        "{\"ts\": 1795586400, \"speed\": 36, \"gust\": 54, \"unit\": \"km/h\"}\n",
        "{\"ts\": 1795586400, \"wind_speed\": {\"last\": 10, \"sum\": 60, \"count\": 6, \"max\": "
        "15}}\n",
    };
    for (size_t i = 0; i < sizeof texts / sizeof texts[0]; i++) {
        const struct wp_record record = first_of(texts[i]);
        assert_near(record.t_s, six_s, 0.0);
        assert_near(record.mean_m_s, 10.0, 1e-12);
        assert_near(record.gust_m_s, 15.0, 1e-12);
    }
}

static void null_and_codes_are_missing(void **state)
{
    (void)state;
    struct wp_weather weather =
        weather_of("{\"time\": 1795586400, \"wind_speed\": null, \"temperature\": 6}\n"
                   "{\"time\": 1795586410, \"wind_speed\": -999, \"temperature\": 7}\n"
                   "{\"time\": 1795586420, \"wind_speed\": 5, \"wind_dir\": \"NNE\"}\n"
                   "{\"time\": 1795586430, \"wind_speed\": true}\n"
                   "{\"battery\": 3}\n",
                   NULL);
    assert_int_equal(weather.n_records, 3);
    assert_int_equal(weather.n_missing, 2);
    assert_int_equal(weather.n_repairs, 0);
    assert_near(weather.records[2].from_deg, 22.5, 0.0);
    assert_near(weather.records[1].temperature_c, 7.0, 0.0);
    wp_weather_finish(&weather);
}

static void broken_lines_are_rejected_with_their_number(void **state)
{
    (void)state;
    struct wp_weather weather = weather_of("{\"time\": 1795586400, \"wind_speed\": 5}\n"
                                           "{\"time\": 1795586410, \"wind_sp\n"
                                           "3\n"
                                           "{\"time\": \"soon\", \"wind_speed\": 5}\n"
                                           "{\"time\": 1795586440, \"wind_speed\": 88}\n",
                                           NULL);
    assert_int_equal(weather.n_records, 2);
    assert_int_equal(weather.n_rejected, 3);
    assert_int_equal(weather.n_repairs, 4);
    for (size_t i = 0; i < 4; i++) {
        assert_int_equal(weather.repairs[i].line, 2 + i);
        assert_int_equal(weather.repairs[i].is_rejected, i < 3);
    }
    assert_string_equal(weather.repairs[2].found, "soon");
    wp_weather_finish(&weather);
}

/* Each first line is no JSON by RFC 8259 (sections 2, 6, 7 and 8.1), or holds a number or a zero
 * that no value can be, and nothing of it is taken: not even what makes it ambiguous. */
static void nothing_of_a_broken_object_is_taken(void **state)
{
    (void)state;
    const char *const broken[] = {
        "{\"ts\": 1795586400, \"wind_speed\": 5, }",
        "{\"ts\": 1795586400, \"wind_speed\": 05}",
        "{\"ts\": 1795586400, \"wind_speed\": 5} }",
        "{\"ts\": 1795586400, \"speed_1\": 1, \"speed_2\": 2",
        "{\"ts\": [1795586400, 1795586410], \"wind_speed\": [5",
        "{\"ts\": 1795586400, \"speed\": {\"value\": 2, \"unit\": \"furlongs\"}",
        "{\"ts\": 1795586400, \"wind_speed\": 1e999}",
        "{\"ts\": 1795586400, \"wind_speed\": 5, \"name\": \"\\u0000\"}",
        "{\"ts\": 1795586400, \"wind_speed\": 5, \"name\": \"\xC3\"}",
        "{\"ts\": 1795586400, \"wind_speed\": 5, \"name\": \"\\x\"}",
        "{\"ts\": 1795586400, \"wind_speed\": 5, \"name\": \"a\tb\"}",
        "{'ts': 1795586400, 'wind_speed': 5}",
    };
    for (size_t i = 0; i < sizeof broken / sizeof broken[0]; i++) {
        char text[256];
        (void)snprintf(text, sizeof text, "%s\n{\"ts\": 1795586460, \"wind_speed\": 7}\n",
                       broken[i]);
        struct wp_weather weather = weather_of(text, NULL);
        const bool is_one_too_many = i == 2; /* the object before it is whole */
        assert_int_equal(weather.n_records, 1 + is_one_too_many);
        assert_near(weather.records[is_one_too_many].mean_m_s, 7.0, 0.0);
        assert_int_equal(weather.n_rejected, 1);
        assert_int_equal(weather.repairs[0].line, 1);
        wp_weather_finish(&weather);
    }
}

/* Names within an object should be unique (RFC 8259, section 4); of two the last counts. Numbers
 * that mean nothing here may be longer than any integer. */
static void odd_members_spoil_no_report(void **state)
{
    (void)state;
    const struct wp_record record =
        first_of("{\"ts\": 1795586400, \"wind_speed\": 3, \"wind_speed\": 10, \"serial\": "
                 "123456789012345678901234567890}\n");
    assert_near(record.t_s, six_s, 0.0);
    assert_near(record.mean_m_s, 10.0, 0.0);
}

/* What nests without end is broken, and the next line is read. */
static void deep_nesting_is_broken(void **state)
{
    (void)state;
    enum { DEEP = 200000 };
    static const char begin[] = "{\"ts\": 1795586400, \"wind_speed\": 5, \"a\": ";
    static const char end[] = "\n{\"ts\": 1795586460, \"wind_speed\": 7}\n";
    static char text[DEEP + sizeof begin + sizeof end];
    memcpy(text, begin, sizeof begin - 1);
    memset(text + sizeof begin - 1, '[', DEEP);
    memcpy(text + sizeof begin - 1 + DEEP, end, sizeof end);
    struct wp_weather weather = weather_of(text, NULL);
    assert_int_equal(weather.n_records, 1);
    assert_int_equal(weather.n_rejected, 1);
    assert_near(weather.records[0].mean_m_s, 7.0, 0.0);
    wp_weather_finish(&weather);
}

/* What stands in an object under a key of speeds must name a speed. */
static void objects_are_no_speeds(void **state)
{
    (void)state;
    struct wp_weather weather =
        weather_of("{\"ts\": 1795586400, \"wind_speed\": 5}\n"
                   "{\"ts\": 1795586410, \"wind_speed\": {\"battery\": 9}}\n"
                   "{\"ts\": 1795586420, \"wind_speed\": {\"history\": {\"a\": 9, \"b\": 7}}}\n"
                   "{\"ts\": 1795586430, \"wind_speed\": [7, 9]}\n"
                   "{\"ts\": 1795586440, \"wind\": {\"direction\": 90}}\n",
                   NULL);
    assert_int_equal(weather.n_records, 5);
    assert_int_equal(weather.n_missing, 4);
    assert_near(weather.records[4].from_deg, 90.0, 0.0);
    assert_note(&weather, "3 lines with a wind speed that is no number, taken as missing (lines 2, "
                          "3, 4)");
    assert_string_equal(weather.repairs[0].found, "{...}");
    assert_string_equal(weather.repairs[2].found, "[...]");
    wp_weather_finish(&weather);
}

static void two_keys_alike_are_asked_about(void **state)
{
    (void)state;
    static const char text[] = "{\"ts\": 1795586400, \"speed_1\": 1, \"speed_2\": 2}\n";
    const struct weather_mistake mistakes[] = {
        {text, WP_E_AMBIGUOUS, 1, "keys 'speed_1' and 'speed_2' both fit", "--columns"},
        {"{\"wind_speed\": 2}\n", WP_E_MISSING, 1, "no time goes with this", "--interval"},
        {"{\"hourly\": {\"time\": [1795586400, 1795590000], \"wind_speed\": [1, 2]}}\n",
         WP_E_SYNTAX, 1, "an array stands under 'hourly.time'", "an object for each report"},
        {"{\"ts\": 1795586400, \"battery\": 2}\n", WP_E_EMPTY, 1, "tells a wind speed", ""},
        {"{\"ts\": 1795586400, \"speed\": {\"value\": 2, \"unit\": \"furlongs\"}}\n", WP_E_UNIT, 1,
         "'furlongs' under 'speed.unit' is no known unit", "--unit"},
    };
    struct wp_weather_config config;
    assert_mistakes(mistakes, sizeof mistakes / sizeof mistakes[0]);
    wp_weather_config_default(&config);
    config.columns = "speed=speed_2";
    struct wp_weather weather = weather_of(text, &config);
    assert_near(weather.records[0].mean_m_s, 2.0, 0.0);
    wp_weather_finish(&weather);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(shapes_of_one_report_give_one_record),
        cmocka_unit_test(null_and_codes_are_missing),
        cmocka_unit_test(broken_lines_are_rejected_with_their_number),
        cmocka_unit_test(nothing_of_a_broken_object_is_taken),
        cmocka_unit_test(odd_members_spoil_no_report),
        cmocka_unit_test(deep_nesting_is_broken),
        cmocka_unit_test(objects_are_no_speeds),
        cmocka_unit_test(two_keys_alike_are_asked_about),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
