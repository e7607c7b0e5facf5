/* SPDX-License-Identifier: MIT */
/* windpeal wind on files that leave something open: the question, and the option that answers it.
 */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>

#include <cmocka.h>

#include "claims.h"

/* The first record of a file, read with an option; NULL option: without. */
static double first_of(const char *file, const char *option, const char *value, const char *key)
{
    struct program_run run;
    if (option) {
        RUN(&run, "wind", file, option, value, "--json", "--records");
    } else {
        RUN(&run, "wind", file, "--json", "--records");
    }
    claim_exit(&run, 0);
    json_t *root = program_json(&run);
    const double number = claim_number(json_array_get(json_object_get(root, "data"), 0), key);
    json_decref(root);
    program_run_finish(&run);
    return number;
}

/* Times by date -u -d ... +%s. */
static void open_dates_are_asked_about(void **state)
{
    (void)state;
    program_write_file("dates.csv", "time,wind (m/s)\n3/4/2026 06:00,5\n");
    program_write_file("no-year.csv", "date,time,wind (m/s)\n25.11.,06:00,5\n");
    program_write_file("day.metar", "METAR EDXX 250600Z 24010MPS 9999=\n");
    claim_fails(2, WORDS("wind", "dates.csv"), WORDS("dates.csv:2:1", "--date-order dmy"));
    assert_true(first_of("dates.csv", "--date-order", "dmy", "t") == 1775196000.0);
    assert_true(first_of("dates.csv", "--date-order", "mdy", "t") == 1772604000.0);
    claim_fails(2, WORDS("wind", "no-year.csv"), WORDS("no year", "--year"));
    assert_true(first_of("no-year.csv", "--year", "2026", "t") == 1795586400.0);
    assert_true(first_of("day.metar", "--year", "2026-11", "t") == 1795586400.0);
    claim_fails(2, WORDS("wind", "day.metar", "--year", "1999"), WORDS("--year, as 2026-11"));
    claim_fails(2, WORDS("wind", "day.metar", "--year", "soon"), WORDS("soon", "2026-11"));
    claim_fails(2, WORDS("wind", "day.metar", "--year", "2026-13"), WORDS("2026-13"));
}

static void open_columns_are_asked_about(void **state)
{
    (void)state;
    program_write_file("bare.csv", "1795586400,x,5,200\n1795587000,x,6,210\n");
    program_write_file("two.csv", "time,wind 1,wind 2\n2026-11-25T06:00Z,4,5\n");
    program_write_file("speeds.txt", "5\n6\n");
    claim_fails(2, WORDS("wind", "bare.csv"), WORDS("no heading", "--columns time=1,speed=2"));
    assert_true(first_of("bare.csv", "--columns", "time=1,speed=3,from=4", "from_deg") == 200.0);
    claim_fails(2, WORDS("wind", "two.csv"), WORDS("both fit", "--columns speed=2"));
    assert_true(first_of("two.csv", "--columns", "speed=wind 2", "mean_m_s") == 5.0);
    claim_fails(2, WORDS("wind", "two.csv", "--columns", "speed=7,wind"), WORDS("what=number"));
    claim_fails(2, WORDS("wind", "speeds.txt"), WORDS("no time", "--interval"));
    assert_true(first_of("speeds.txt", "--interval", "2 s", "t") == 2.0);
}

/* Each hint names an option, which settles it. */
static void open_times_are_asked_about(void **state)
{
    (void)state;
    program_write_file("ticks.csv", "t,wind (m/s)\n0,3\n2,4\n");
    program_write_file("untimed.csv", "wind (m/s),dir\n3,200\n4,210\n");
    program_write_file("clock.csv", "time,wind (m/s)\n23:50,3\n00:00,4\n");
    program_write_file("serial.csv", "time,wind (m/s)\n46351.25,3\n");
    claim_fails(2, WORDS("wind", "ticks.csv"), WORDS("'t'", "--columns time=1", "--time-unit s"));
    claim_fails(2, WORDS("wind", "ticks.csv", "--columns", "time=1"), WORDS("--time-unit s"));
    program_write_file("states.csv", "sensor,state,changed\nwind,5,2026-11-25T06:00Z\n");
    claim_fails(2, WORDS("wind", "states.csv"), WORDS("no column of wind speed", "speed=2"));
    claim_fails(2, WORDS("wind", "states.csv", "--columns", "speed=2"), WORDS("time=3"));
    assert_true(first_of("states.csv", "--columns", "speed=2,time=3", "mean_m_s") == 5.0);
    assert_true(first_of("untimed.csv", "--interval", "10 min", "t") == 600.0);
    claim_fails(2, WORDS("wind", "untimed.csv"), WORDS("no column of times", "--interval"));
    claim_fails(2, WORDS("wind", "clock.csv"), WORDS("no date", "--date 2026-11-25"));
    assert_true(first_of("clock.csv", "--date", "2026-11-24", "t") == 1795564200.0);
    claim_fails(2, WORDS("wind", "clock.csv", "--date", "today"), WORDS("today", "2026-11-25"));
    assert_true(first_of("serial.csv", NULL, NULL, "t") == 1795586400.0);
    assert_true(first_of("serial.csv", "--time-unit", "s", "t") == 46351.25);
    struct program_run run;
    RUN(&run, "wind", "ticks.csv", "--columns", "time=1", "--time-unit", "s");
    claim_exit(&run, 0);
    claim_holds(run.out, "zone         none: time counts from some start");
    claim_holds(run.out, "2, one every 2 s");
    program_run_finish(&run);
}

static void stations_are_asked_about(void **state)
{
    (void)state;
    static const char *const files[] = {"two.csv", "two.jsonl", "two.metar"};
    program_write_file("two.csv", "time,station,wind (m/s)\n2026-11-25T06:00Z,EDXX,5\n"
                                  "2026-11-25T06:05Z,EDYY,8\n2026-11-25T06:10Z,EDXX,6\n");
    program_write_file("two.jsonl", "{\"time\": 1795586400, \"id\": \"EDXX\", \"wind_m_s\": 5}\n"
                                    "{\"time\": 1795586400, \"id\": \"EDYY\", \"wind_m_s\": 8}\n"
                                    "{\"time\": 1795586410, \"id\": \"EDXX\", \"wind_m_s\": 5}\n"
                                    "{\"time\": 1795586410, \"id\": \"EDYY\", \"wind_m_s\": 8}\n");
    program_write_file("two.metar", "METAR EDXX 250600Z 24005MPS 9999=\n"
                                    "METAR EDYY 250600Z 24008MPS 9999=\n");
    for (size_t i = 0; i < sizeof files / sizeof files[0]; i++) {
        claim_fails(2, WORDS("wind", files[i]),
                    WORDS(files[i], "'EDXX', 'EDYY'", "--station 'EDXX'"));
        claim_fails(2, WORDS("wind", files[i], "--station", "EDZZ"),
                    WORDS("no record here is of station 'EDZZ'", "'EDXX', 'EDYY'"));
        assert_true(first_of(files[i], "--station", "EDXX", "mean_m_s") == 5.0);
        assert_true(first_of(files[i], "--station", "edyy", "mean_m_s") == 8.0);
    }
    program_write_file("rows.csv", "time,wind (m/s)\n2026-11-25T06:00Z,1\n2026-11-25T06:00Z,2\n"
                                   "2026-11-25T06:10Z,1\n2026-11-25T06:10Z,2\n"
                                   "2026-11-25T06:20Z,1\n2026-11-25T06:20Z,2\n");
    claim_fails(2, WORDS("wind", "rows.csv"), WORDS("rows.csv:3:1", "--same-time last"));
    claim_fails(2, WORDS("wind", "rows.csv", "--station", "A"), WORDS("--columns station=2"));
    assert_true(first_of("rows.csv", "--same-time", "first", "mean_m_s") == 1.0);
    assert_true(first_of("rows.csv", "--same-time", "last", "mean_m_s") == 2.0);
    claim_fails(2, WORDS("wind", "--wind", "5 m/s", "--station", "A"), WORDS("--station", "file"));
}

static void codes_and_letters_can_be_told(void **state)
{
    (void)state;
    program_write_file("o.csv", "time,wind (m/s),dir\n2026-11-25T06:00Z,1,SO\n");
    program_write_file("o.jsonl", "{\"time\": 1795586400, \"wind_m_s\": 1, \"dir\": \"SO\"}\n");
    program_write_file("codes.csv", "time,wind (m/s)\n2026-11-25T06:00Z,50\n"
                                    "2026-11-25T06:10Z,nil wind\n2026-11-25T06:20Z,3\n");
    claim_fails(2, WORDS("wind", "o.csv"), WORDS("o.csv:2:1", "--letter-o east or west"));
    assert_true(first_of("o.csv", "--letter-o", "east", "from_deg") == 135.0);
    assert_true(first_of("o.csv", "--letter-o", "west", "from_deg") == 225.0);
    assert_true(first_of("o.jsonl", "--letter-o", "west", "from_deg") == 225.0);
    struct program_run run;
    RUN(&run, "wind", "codes.csv", "--missing", "50", "--json");
    claim_exit(&run, 0);
    json_t *root = program_json(&run);
    assert_true(claim_number(root, "max_gust_m_s") == 3.0);
    assert_true(claim_number(root, "missing") == 2.0);
    json_decref(root);
    program_run_finish(&run);
    RUN(&run, "wind", "codes.csv", "--missing", "nil wind");
    claim_exit(&run, 0);
    assert_null(strstr(run.out, "no number"));
    program_run_finish(&run);
}

static void speeds_can_be_scaled(void **state)
{
    (void)state;
    program_write_file("tenths.csv", "time,wind\n2026-11-25T06:00Z,50\n");
    assert_true(fabs(first_of("tenths.csv", "--scale", "0.1", "mean_m_s") - 5.0) < 1e-12);
    assert_true(fabs(first_of("tenths.csv", "--unit", "km/h", "mean_m_s") - 50.0 / 3.6) <
                1e-9); /* as printed */
    claim_fails(2, WORDS("wind", "tenths.csv", "--scale", "0"), WORDS("--scale"));
    claim_fails(2, WORDS("wind", "--wind", "5 m/s", "--scale", "2"), WORDS("--scale", "file"));
}

static void whatever_was_left_out_is_listed(void **state)
{
    (void)state;
    struct program_run run;
    program_write_file("faults.csv", "time,wind (m/s),gust (m/s)\n2026-11-25T06:00Z,5,4\n"
                                     "soon,5,\n2026-11-25T06:10Z,500,\n");
    RUN(&run, "wind", "faults.csv");
    claim_exit(&run, 0);
    claim_holds(run.out, "line 2       with a gust below the mean, taken as missing");
    claim_holds(run.out, "line 3       without a readable time, left out: 'soon'");
    claim_holds(run.out, "line 4       with a wind speed below 0 or above 75 m/s, taken as "
                         "missing: '500'");
    claim_holds(run.out, "1 without a mean wind, 1 rejected");
    program_run_finish(&run);
    RUN(&run, "wind", "faults.csv", "--json");
    claim_exit(&run, 0);
    json_t *root = program_json(&run);
    const json_t *repairs = json_object_get(root, "repairs");
    assert_int_equal(json_array_size(repairs), 3);
    assert_true(claim_number(json_array_get(repairs, 1), "line") == 3.0);
    assert_true(json_is_true(json_object_get(json_array_get(repairs, 1), "rejected")));
    assert_string_equal(json_string_value(json_object_get(json_array_get(repairs, 1), "found")),
                        "soon");
    assert_string_equal(json_string_value(json_object_get(root, "zone")), "told in every time");
    assert_true(json_is_null(json_object_get(root, "averaging_s")));
    json_decref(root);
    program_run_finish(&run);
}

static void nothing_usable_is_the_users_mistake(void **state)
{
    (void)state;
    static const char netcdf[] = "CDF\x01 wind";
    program_write_file("calm.jsonl", "{\"time\": 1795586400, \"battery\": 3}\n");
    program_write_file("broken.nmea", "$WIMWV,200.0,R,5.0,M,A*00\n");
    program_write_file("arrays.nc", netcdf);
    claim_fails(2, WORDS("wind", "calm.jsonl"), WORDS("calm.jsonl", "wind speed"));
    claim_fails(2, WORDS("wind", "broken.nmea"), WORDS("broken.nmea:1:1", "wrong checksum"));
    claim_fails(2, WORDS("wind", "arrays.nc"), WORDS("NetCDF", "ncdump"));
}

static void course_is_drawn(void **state)
{
    (void)state;
    struct program_run run;
    RUN(&run, "wind", PROGRAM_WEATHER);
    claim_exit(&run, 0);
    claim_holds(run.out, "from (UTC)          mean    gust  dir   m/s\n2026-04-11 13:59");
    claim_holds(run.out, "####");
    program_run_finish(&run);
}

/* Twelve stretches of one record each: half of them tell a gust, and one that tells none is the
 * strongest. */
static void gusts_are_drawn_where_they_were_told(void **state)
{
    (void)state;
    struct program_run run;
    char text[1024] = "time,wind (m/s),gust (m/s),direction\n";
    for (int i = 0; i < 12; i++) {
        const size_t used = strlen(text);
        snprintf(text + used, sizeof text - used, "2026-11-25T%02d:00Z,%s,%s,270\n", i + 6,
                 i == 3 ? "10" : "5", i % 2 == 0 ? "8" : "");
    }
    program_write_file("some-gusts.csv", text);
    RUN(&run, "wind", "some-gusts.csv");
    claim_exit(&run, 0);
    claim_holds(run.out, "2026-11-25 05:00     5.0     8.0  W     ##################...........\n");
    claim_holds(run.out, "2026-11-25 06:00     5.0       -  W     ##################\n");
    claim_holds(run.out,
                "2026-11-25 08:00    10.0       -  W     ####################################\n");
    claim_holds(run.out, "strongest mean (of a record without a gust) 10.00 m/s");
    program_run_finish(&run);
}

static void samples_have_bare_names(void **state)
{
    (void)state;
    struct program_run run;
    assert_int_equal(mkdir("weather-samples", 0700), 0);
    program_write_file("weather-samples/still-pond.csv", "time,wind (m/s)\n2026-11-25T06:00Z,5\n");
    RUN(&run, "wind", "still-pond");
    claim_exit(&run, 0);
    claim_holds(run.out, "weather-samples/still-pond.csv: delimited text");
    program_run_finish(&run);
    claim_fails(2, WORDS("wind", "wild-pond"), WORDS("wild-pond", "no such weather file"));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(open_dates_are_asked_about),
        cmocka_unit_test(open_columns_are_asked_about),
        cmocka_unit_test(open_times_are_asked_about),
        cmocka_unit_test(stations_are_asked_about),
        cmocka_unit_test(codes_and_letters_can_be_told),
        cmocka_unit_test(speeds_can_be_scaled),
        cmocka_unit_test(whatever_was_left_out_is_listed),
        cmocka_unit_test(nothing_usable_is_the_users_mistake),
        cmocka_unit_test(course_is_drawn),
        cmocka_unit_test(gusts_are_drawn_where_they_were_told),
        cmocka_unit_test(samples_have_bare_names),
    };
    return cmocka_run_group_tests(tests, program_enter_folder, program_leave_folder);
}
