/* SPDX-License-Identifier: MIT */
/* windpeal wind: what was understood, the generated wind, and weather that is wrong. */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#include "claims.h"

static const char wind_heading[] = "t_s,along_m_s,across_m_s,speed_m_s,from_deg\n";

static void report_tells_columns_and_units(void **state)
{
    (void)state;
    struct program_run run;
    RUN(&run, "wind", PROGRAM_WEATHER);
    claim_exit(&run, 0);
    claim_holds(run.out, "wind_speed_m_s");
    claim_holds(run.out, "wind_gust_m_s");
    claim_holds(run.out, "30, one every 60 s");
    program_run_finish(&run);
}

/* The figures are those that the weather of the folder was written with. */
static void json_tells_records_and_span(void **state)
{
    (void)state;
    struct program_run run;
    RUN(&run, "wind", PROGRAM_WEATHER, "--json", "--records");
    claim_exit(&run, 0);
    json_t *root = program_json(&run);
    assert_true(claim_number(root, "records") == 30.0);
    assert_true(claim_number(root, "missing") == 0.0);
    assert_true(claim_number(root, "rejected") == 0.0);
    assert_true(claim_number(root, "interval_s") == 60.0);
    assert_true(fabs(claim_number(root, "mean_m_s") - 5.25) < 1e-9);
    assert_true(fabs(claim_number(root, "max_gust_m_s") - 14.0) < 1e-9);
    /* The first record speaks of the minute before it. */
    assert_string_equal(json_string_value(json_object_get(root, "start")), "2026-04-11T13:59:00Z");
    assert_string_equal(json_string_value(json_object_get(root, "end")), "2026-04-11T14:29:00Z");
    assert_true(json_is_object(json_object_get(root, "columns")));
    assert_true(json_is_array(json_object_get(root, "notes")));
    const json_t *data = json_object_get(root, "data");
    assert_int_equal(json_array_size(data), 30);
    const json_t *second = json_array_get(data, 1);
    assert_true(claim_number(second, "t") == 1775916060.0); /* date -u -d 2026-04-11T14:01Z +%s */
    assert_true(fabs(claim_number(second, "mean_m_s") - 3.3) < 1e-9);
    assert_true(claim_number(second, "from_deg") == 231.0);
    assert_true(json_is_null(json_object_get(second, "temperature_c")));
    json_decref(root);
    program_run_finish(&run);
}

static void generated_wind_has_a_line_a_step(void **state)
{
    (void)state;
    struct program_run run;
    RUN(&run, "wind", PROGRAM_WEATHER, "-o", "wind.csv", "--every", "0.5 s", "--duration", "2 min");
    claim_exit(&run, 0);
    claim_holds(run.out, "no change with height");
    program_run_finish(&run);
    char *text = program_read_file("wind.csv", NULL);
    assert_int_equal(strncmp(text, wind_heading, sizeof wind_heading - 1), 0);
    assert_int_equal(program_count_lines(text), 241);
    assert_non_null(strstr(text, "\n0.0000,"));
    assert_non_null(strstr(text, "\n119.5000,"));
    free(text);
    assert_false(program_has_file("wind.csv.part"));
}

static void same_seed_same_wind(void **state)
{
    (void)state;
    struct program_run first;
    struct program_run again;
    struct program_run other;
    RUN(&first, "wind", PROGRAM_WEATHER, "-o", "-", "--duration", "30 s");
    RUN(&again, "wind", PROGRAM_WEATHER, "-o", "-", "--duration", "30 s", "--seed", "1");
    RUN(&other, "wind", PROGRAM_WEATHER, "-o", "-", "--duration", "30 s", "--seed", "2");
    claim_exit(&first, 0);
    assert_int_equal(program_count_lines(first.out), 301);
    assert_string_equal(first.out, again.out);
    assert_string_not_equal(first.out, other.out);
    program_run_finish(&first);
    program_run_finish(&again);
    program_run_finish(&other);
}

static void height_is_told(void **state)
{
    (void)state;
    struct program_run run;
    RUN(&run, "wind", PROGRAM_WEATHER, "-o", "-", "--duration", "1 s", "--height", "2 m");
    claim_exit(&run, 0);
    claim_holds(run.err, "wind at 2 m");
    program_run_finish(&run);
    claim_fails(2, WORDS("wind", PROGRAM_WEATHER, "--height", "2 m", "--no-height-change"),
                WORDS("--height", "--no-height-change", "exclude"));
}

static void start_may_be_given_in_three_ways(void **state)
{
    (void)state;
    static const char *const starts[] = {"2026-04-11T14:10:00Z", "14:10", "11 min"};
    char *first = NULL;
    for (size_t i = 0; i < 3; i++) {
        struct program_run run;
        RUN(&run, "wind", PROGRAM_WEATHER, "-o", "-", "--duration", "1 s", "--start", starts[i]);
        claim_exit(&run, 0);
        if (i == 0) {
            first = strdup(run.out);
        }
        assert_string_equal(run.out, first);
        program_run_finish(&run);
    }
    free(first);
    claim_fails(2, WORDS("wind", PROGRAM_WEATHER, "--start", "15:10"),
                WORDS("15:10", "outside the weather", "2026-04-11T13:59:00Z"));
    claim_fails(2, WORDS("wind", PROGRAM_WEATHER, "--start", "noon"), WORDS("noon", "14:30"));
}

static void weather_comes_from_one_source(void **state)
{
    (void)state;
    claim_fails(2, WORDS("wind"), WORDS("no weather given"));
    claim_fails(2, WORDS("wind", PROGRAM_WEATHER, "--wind", "5 m/s"), WORDS("more than one"));
    claim_fails(2, WORDS("wind", "--beaufort", "4", "--metar", "24015KT"), WORDS("more than one"));
    claim_fails(2, WORDS("wind", "--beaufort", "4", "--gust", "9 m/s"), WORDS("--gust", "--wind"));
    claim_fails(2, WORDS("wind", "--wind", "5 m/s", "--gust", "4 m/s"), WORDS("weaker"));
    claim_fails(2, WORDS("wind", PROGRAM_WEATHER, "--intensity", "20 %"), WORDS("--intensity"));
    claim_fails(2, WORDS("wind", "--beaufort", "4", "--intensity", "0.2"),
                WORDS("--intensity", "a share in percent"));
    claim_fails(2, WORDS("wind", "--metar", "hello"), WORDS("hello"));
    claim_fails(2, WORDS("wind", PROGRAM_WEATHER, "--every", "1 s"), WORDS("--every", "-o"));
    claim_fails(2, WORDS("wind", PROGRAM_WEATHER, "--duration", "1 min"),
                WORDS("--duration goes with -o"));
    claim_fails(2, WORDS("wind", PROGRAM_WEATHER, "--tz", "Mars"), WORDS("Mars", "+02:00"));
}

/* 24015G25KT: 15 kt from 240 degrees, gusts 25 kt (WMO-No. 306, FM 15); 1 kt = 1852 m / 3600 s. */
static void metar_is_understood(void **state)
{
    (void)state;
    struct program_run run;
    RUN(&run, "wind", "--metar", "24015G25KT", "--json", "--records");
    claim_exit(&run, 0);
    json_t *root = program_json(&run);
    assert_true(fabs(claim_number(root, "mean_m_s") - 15.0 * 1852.0 / 3600.0) < 1e-9);
    assert_true(fabs(claim_number(root, "max_gust_m_s") - 25.0 * 1852.0 / 3600.0) < 1e-9);
    assert_true(json_is_null(json_object_get(root, "start")));
    json_decref(root);
    program_run_finish(&run);
}

static void useless_weather_is_refused(void **state)
{
    (void)state;
    program_write_file("empty.csv", "");
    program_write_file("heading.csv", "time,wind_speed_m_s\n");
    program_write_file("calm.csv", "time,temperature_c\n2026-04-11T14:00Z,12\n"
                                   "2026-04-11T14:10Z,13\n");
    claim_fails(2, WORDS("wind", "empty.csv"), WORDS("empty.csv"));
    claim_fails(2, WORDS("wind", "heading.csv"), WORDS("heading.csv"));
    claim_fails(2, WORDS("wind", "calm.csv"), WORDS("calm.csv", "speed"));
    claim_fails(2, WORDS("wind", "none.csv"), WORDS("none.csv"));
}

/* The strongest mean over 3 s of the minute that ends at end_s, by the written wind of 0.1 s. */
static double strongest_gust(const char *text, double end_s)
{
    double window[30] = {0.0};
    double sum = 0.0;
    double most = 0.0;
    size_t n = 0;
    for (const char *line = strchr(text, '\n'); line && line[1]; line = strchr(line + 1, '\n')) {
        double t_s;
        double speed_m_s;
        assert_int_equal(sscanf(line + 1, "%lf,%*f,%*f,%lf", &t_s, &speed_m_s), 2);
        if (t_s < end_s - 60.05 || t_s > end_s - 0.05) {
            continue;
        }
        sum += speed_m_s - window[n % 30];
        window[n % 30] = speed_m_s;
        n++;
        most = n >= 30 ? fmax(most, sum / 30.0) : most;
    }
    return most;
}

/* Some of the records of the folder's weather. */
static void gusts_come_out_exactly_where_wanted(void **state)
{
    (void)state;
    struct program_run run;
    RUN(&run, "wind", PROGRAM_WEATHER, "--exact-gusts", "-o", "exact.csv", "--records", "--json");
    claim_exit(&run, 0);
    json_t *root = program_json(&run);
    char *text = program_read_file("exact.csv", NULL);
    for (size_t i = 0; i < 30; i += 7) {
        const json_t *record = json_array_get(json_object_get(root, "data"), i);
        const double want_m_s = claim_number(record, "gust_m_s");
        const double got_m_s = strongest_gust(text, 60.0 * (double)(i + 1));
        assert_true(fabs(got_m_s - want_m_s) < 0.02 * want_m_s);
    }
    free(text);
    json_decref(root);
    program_run_finish(&run);
}

static void stamps_may_be_the_start(void **state)
{
    (void)state;
    struct program_run run;
    RUN(&run, "wind", PROGRAM_WEATHER, "--stamps", "start", "--json");
    claim_exit(&run, 0);
    json_t *root = program_json(&run);
    assert_string_equal(json_string_value(json_object_get(root, "start")), "2026-04-11T14:00:00Z");
    assert_string_equal(json_string_value(json_object_get(root, "end")), "2026-04-11T14:30:00Z");
    json_decref(root);
    program_run_finish(&run);
}

static void averages_may_be_given(void **state)
{
    (void)state;
    struct program_run run;
    RUN(&run, "wind", PROGRAM_WEATHER, "--averaging", "2 min", "--gust-time", "5 s");
    claim_exit(&run, 0);
    claim_holds(run.out, "means over 120 s, gusts over 5 s (as given)");
    program_run_finish(&run);
}

static void station_settings_fit_the_weather(void **state)
{
    (void)state;
    claim_fails(2, WORDS("wind", PROGRAM_WEATHER, "--exact-gusts"), WORDS("-o wind.csv"));
    claim_fails(2, WORDS("wind", PROGRAM_WEATHER, "--when-silent", "hold"), WORDS("live feed"));
    claim_fails(2, WORDS("wind", "--wind", "5 m/s", "--stamps", "start"), WORDS("no times"));
    claim_fails(2, WORDS("wind", "--wind", "5 m/s", "--exact-gusts", "-o", "x.csv"),
                WORDS("tells none"));
    claim_fails(2, WORDS("wind", PROGRAM_WEATHER, "--averaging", "10 s", "--gust-time", "20 s"),
                WORDS("--gust-time 20 s", "10 s"));
    claim_fails(2, WORDS("wind", PROGRAM_WEATHER, "--averaging", "2 h"), WORDS("0.1 s to 1 h"));
    claim_fails(2,
                WORDS("wind", PROGRAM_WEATHER, "--station-height", "0.5 m", "--station-roughness",
                      "1 m", "-o", "x.csv"),
                WORDS("0.5 m", "roughness of 1 m"));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(report_tells_columns_and_units),
        cmocka_unit_test(json_tells_records_and_span),
        cmocka_unit_test(generated_wind_has_a_line_a_step),
        cmocka_unit_test(same_seed_same_wind),
        cmocka_unit_test(height_is_told),
        cmocka_unit_test(start_may_be_given_in_three_ways),
        cmocka_unit_test(weather_comes_from_one_source),
        cmocka_unit_test(metar_is_understood),
        cmocka_unit_test(useless_weather_is_refused),
        cmocka_unit_test(gusts_come_out_exactly_where_wanted),
        cmocka_unit_test(stamps_may_be_the_start),
        cmocka_unit_test(averages_may_be_given),
        cmocka_unit_test(station_settings_fit_the_weather),
    };
    return cmocka_run_group_tests(tests, program_enter_folder, program_leave_folder);
}
