/* SPDX-License-Identifier: MIT */
/* Weather line by line: the format is told from the first lines, then each stands for itself. */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>

#include "weather/line_parser.h"

static const double arrival_s = 5000.0;

/* 2026-11-25T06:00:00Z: date -u -d 2026-11-25T06:00 +%s */
static const double six_s = 1795586400.0;

static struct wp_line_parser *new_parser(const struct wp_weather_config *config)
{
    struct wp_line_parser *parser = NULL;
    assert_int_equal(wp_line_parser_create(&parser, config), WP_OK);
    return parser;
}

static struct wp_line read_line(struct wp_line_parser *parser, const char *text)
{
    struct wp_line line;
    struct wp_diags diags;
    wp_diags_init(&diags);
    const struct wp_slice slice = {text, strlen(text)};
    if (wp_line_parser_read(parser, slice, arrival_s, &line, &diags)) {
        fail_msg("'%s': %s", text, diags.items[0].message);
    }
    assert_int_equal(diags.n_items, 0);
    return line;
}

static void assert_nothing(struct wp_line_parser *parser, const char *text)
{
    if (read_line(parser, text).outcome != WP_LINE_NOTHING) {
        fail_msg("'%s' came to something", text);
    }
}

static void assert_rejected(struct wp_line_parser *parser, const char *text, const char *reason)
{
    const struct wp_line line = read_line(parser, text);
    if (line.outcome != WP_LINE_REJECTED || !strstr(line.reason, reason)) {
        fail_msg("'%s': outcome %d, '%s'", text, (int)line.outcome, line.reason ? line.reason : "");
    }
}

static void assert_record(struct wp_line_parser *parser, const char *text, double t_s,
                          double mean_m_s)
{
    const struct wp_line line = read_line(parser, text);
    if (line.outcome != WP_LINE_RECORD || line.record.t_s != t_s ||
        !(fabs(line.record.mean_m_s - mean_m_s) < 1e-9)) {
        fail_msg("'%s': outcome %d, %g m/s at %g s", text, (int)line.outcome, line.record.mean_m_s,
                 line.record.t_s);
    }
    assert_int_equal(line.has_time, t_s != arrival_s);
}

static void table_begins_with_its_heading(void **state)
{
    (void)state;
    struct wp_line_parser *const parser = new_parser(NULL);
    assert_string_equal(wp_line_parser_format(parser), "");
    assert_nothing(parser, "# a logger at Brenlow");
    assert_nothing(parser, "");
    assert_nothing(parser, "time;wind;gust");
    assert_nothing(parser, ";km/h;km/h");
    assert_record(parser, "2026-11-25T06:00:00Z;36,0;72,0", six_s, 10.0);
    assert_string_equal(wp_line_parser_format(parser), "delimited text");
    assert_nothing(parser, "time;wind;gust");
    assert_nothing(parser, "2026-11-25T06:00:10Z;;");
    assert_rejected(parser, "soon;36,0;72,0", "without a readable time");
    assert_rejected(parser, "2026-11-25T06:00:20Z;calm-ish;", "wind speed that is no number");
    assert_record(parser, "2026-11-25T06:00:30Z;18,0;", six_s + 30.0, 5.0);
    assert_string_equal(wp_line_parser_understood(parser)->columns[1].meaning, "speed");
    assert_string_equal(wp_line_parser_understood(parser)->columns[1].unit, "km/h");
    assert_null(wp_line_parser_understood(parser)->records);
    wp_line_parser_destroy(parser);
}

static void objects_are_read_with_or_without_time(void **state)
{
    (void)state;
    struct wp_line_parser *const parser = new_parser(NULL);
    assert_record(parser, "{\"wind\": {\"speed_m_s\": \"3.5\"}}", arrival_s, 3.5);
    assert_record(parser, "{\"time\": 1795586400, \"wind\": {\"speed_m_s\": 4}}", six_s, 4.0);
    assert_nothing(parser, "{\"temperature_C\": 4}");
    assert_nothing(parser, "{\"time\": 1795586400, \"temperature_C\": 4}");
    assert_rejected(parser, "{\"wind\": {\"speed_m_s\": 3", "not of this format");
    assert_rejected(parser, "{\"wind\": {\"speed_m_s\": -3}}", "below 0");
    assert_string_equal(wp_line_parser_format(parser), "JSON");
    wp_line_parser_destroy(parser);
}

static void reports_take_their_month_from_the_reference(void **state)
{
    (void)state;
    struct wp_weather_config config;
    wp_weather_config_default(&config);
    config.reference_s = six_s + 600.0;
    struct wp_line_parser *const parser = new_parser(&config);
    assert_record(parser, "METAR EDXX 250600Z 36010MPS 9999=", six_s, 10.0);
    assert_nothing(parser, "METAR EDXX 250620Z NIL=");
    assert_record(parser, "EDXX 250630Z 36008MPS 9999=", six_s + 1800.0, 8.0);
    wp_line_parser_destroy(parser);
}

static void sentences_arrive_without_time(void **state)
{
    (void)state;
    struct wp_line_parser *const parser = new_parser(NULL);
    assert_record(parser, "$WIMWV,200.0,R,5.0,M,A", arrival_s, 5.0);
    assert_nothing(parser, "$GPZDA,060000,25,11,2026,,");
    assert_rejected(parser, "$WIMWV,200.0,R,5.0,M,A*00", "wrong checksum");
    assert_rejected(parser, "$WIMWV,,R,,M,V", "leaves empty or marks as invalid");
    wp_line_parser_destroy(parser);
}

static void requests_and_bare_speeds_are_read(void **state)
{
    (void)state;
    struct wp_line_parser *parser = new_parser(NULL);
    assert_record(parser, "GET /w?windspeedmph=10&winddir=200&dateutc=now HTTP/1.1", arrival_s,
                  4.4704);
    wp_line_parser_destroy(parser);
    struct wp_weather_config config;
    wp_weather_config_default(&config);
    config.unit = "km/h";
    config.scale = 0.5;
    parser = new_parser(&config);
    assert_record(parser, "36", arrival_s, 5.0);
    assert_rejected(parser, "fresh", "no number");
    wp_line_parser_destroy(parser);
}

/* What ends a feed: no line after it can be read either. */
static void open_questions_end_the_reading(void **state)
{
    (void)state;
    static const struct {
        const char *lines[2];
        enum wp_status status;
        const char *hint;
    } questions[] = {
        {{"time,wind (m/s)", "3/4/2026 06:00,1"}, WP_E_AMBIGUOUS, "--date-order"},
        {{"time,height", "2026-11-25T06:00Z,1"}, WP_E_MISSING, "--columns speed"},
        {{"METAR EDXX 250600Z 36010MPS=", ""}, WP_E_MISSING, "--year"},
        {{"<html>", ""}, WP_E_NOT_BUILT, "JSON"},
        {{"{\"wind_speed\": 1, \"time\": \"3/4/2026\"}", ""}, WP_E_AMBIGUOUS, "--date-order"},
        {{"{\"speed_1\": 1, \"speed_2\": 2}", ""}, WP_E_AMBIGUOUS, "--columns"},
    };
    for (size_t i = 0; i < sizeof questions / sizeof questions[0]; i++) {
        struct wp_line_parser *const parser = new_parser(NULL);
        struct wp_diags diags;
        struct wp_line line;
        enum wp_status status = WP_OK;
        wp_diags_init(&diags);
        for (size_t k = 0; k < 2 && !status; k++) {
            const struct wp_slice text = {questions[i].lines[k], strlen(questions[i].lines[k])};
            status = wp_line_parser_read(parser, text, arrival_s, &line, &diags);
        }
        if (status != questions[i].status || diags.n_items != 1 ||
            !strstr(diags.items[0].hint, questions[i].hint)) {
            fail_msg("'%s': status %d: %s; %s", questions[i].lines[0], (int)status,
                     diags.items[0].message, diags.items[0].hint);
        }
        assert_int_equal(line.outcome, WP_LINE_REJECTED);
        const struct wp_slice more = {"more", 4};
        assert_int_equal(wp_line_parser_read(parser, more, arrival_s, &line, &diags), status);
        wp_line_parser_destroy(parser);
    }
}

static void day_above_twelve_settles_the_order(void **state)
{
    (void)state;
    struct wp_line_parser *const parser = new_parser(NULL);
    assert_nothing(parser, "time,wind (m/s)");
    assert_record(parser, "25/11/2026 06:00,1", six_s, 1.0);
    /* 2026-12-03T06:00Z is eight days later. */
    assert_record(parser, "03/12/2026 06:00,2", six_s + 8.0 * 86400.0, 2.0);
    wp_line_parser_destroy(parser);
}

static void nonsense_in_the_configuration_is_refused(void **state)
{
    (void)state;
    struct wp_line_parser *parser = NULL;
    struct wp_weather_config config;
    wp_weather_config_default(&config);
    config.unit = "parsecs";
    assert_int_equal(wp_line_parser_create(&parser, &config), WP_E_UNIT);
    assert_null(parser);
    wp_line_parser_destroy(parser);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(table_begins_with_its_heading),
        cmocka_unit_test(objects_are_read_with_or_without_time),
        cmocka_unit_test(reports_take_their_month_from_the_reference),
        cmocka_unit_test(sentences_arrive_without_time),
        cmocka_unit_test(requests_and_bare_speeds_are_read),
        cmocka_unit_test(open_questions_end_the_reading),
        cmocka_unit_test(day_above_twelve_settles_the_order),
        cmocka_unit_test(nonsense_in_the_configuration_is_refused),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
