/* SPDX-License-Identifier: MIT */
/*
 * Files of tests/data/parses, whose numbers are invented, with their right parses beside them as
 * JSON. The parses were written apart from these readers.
 */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>

#include <cmocka.h>
#include <jansson.h>

#include "windpeal/weather.h"

enum { PATH_SIZE = 512 };

struct file {
    const char *name;
    double utc_offset_s; /* what the user must say */
};

static const struct file files[] = {
    {"european_semicolon.csv", 3600.0}, /* local time */
    {"heads_kmh.csv", 0.0},
    {"http_push.txt", 0.0},
    {"iso_ms.csv", 0.0},
    {"metar.txt", 0.0},
    {"ndbc_stdmet.txt", 0.0},
    {"radio_sensor.jsonl", 0.0},
};

static void name_path(const char *name, const char *ending, char path[PATH_SIZE])
{
    const char *const root = getenv("WP_SOURCE_ROOT");
    (void)snprintf(path, PATH_SIZE, "%s/tests/data/parses/%s%s", root ? root : ".", name, ending);
}

static struct wp_weather load(const struct file *file)
{
    char path[PATH_SIZE];
    struct wp_weather weather;
    struct wp_weather_config config;
    struct wp_diags diags;
    wp_diags_init(&diags);
    wp_weather_config_default(&config);
    config.utc_offset_s = file->utc_offset_s;
    config.is_offset_given = file->utc_offset_s != 0.0;
    config.year = 2026; /* of METARs, which tell the day only */
    config.month = 11;
    name_path(file->name, "", path);
    if (wp_weather_load(&weather, path, &config, &diags)) {
        fail_msg("%s:%d: %s", path, diags.items[0].mark.line, diags.items[0].message);
    }
    return weather;
}

static json_t *load_parse(const struct file *file)
{
    char path[PATH_SIZE];
    json_error_t error;
    name_path(file->name, ".expected.json", path);
    json_t *const parse = json_load_file(path, 0, &error);
    assert_true(json_array_size(parse) > 0);
    return parse;
}

/* null: not known. Doubles of one conversion by two ways differ by a few last digits. */
static void assert_value(double got, const json_t *record, const char *key, const struct file *file)
{
    const json_t *const value = json_object_get(record, key);
    assert_non_null(value);
    const double want = json_is_null(value) ? (double)NAN : json_number_value(value);
    if (isnan(want) ? !isnan(got) : !(fabs(got - want) <= 1e-9 * fmax(1.0, fabs(want)))) {
        fail_msg("%s at %.0f: %s is %.12g, not %.12g", file->name,
                 json_number_value(json_object_get(record, "t")), key, got, want);
    }
}

static void every_file_reads_as_its_parse(void **state)
{
    (void)state;
    for (size_t i = 0; i < sizeof files / sizeof files[0]; i++) {
        struct wp_weather weather = load(&files[i]);
        json_t *const parse = load_parse(&files[i]);
        assert_int_equal(weather.n_records, json_array_size(parse));
        for (size_t n = 0; n < weather.n_records; n++) {
            const struct wp_record *const got = &weather.records[n];
            const json_t *const want = json_array_get(parse, n);
            assert_value(got->t_s, want, "t", &files[i]);
            assert_value(got->mean_m_s, want, "ws", &files[i]);
            assert_value(got->gust_m_s, want, "gust", &files[i]);
            assert_value(got->from_deg, want, "dir", &files[i]);
            assert_value(got->temperature_c, want, "tc", &files[i]);
        }
        json_decref(parse);
        wp_weather_finish(&weather);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_file_reads_as_its_parse),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
