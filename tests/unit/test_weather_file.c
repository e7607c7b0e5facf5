/* SPDX-License-Identifier: MIT */
/* Weather from files. */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>

#include "../weather_text.h"
#include "scratch_folder.h"

static enum wp_status load(const char *path, struct wp_weather *weather, struct wp_diags *diags)
{
    wp_diags_init(diags);
    return wp_weather_load(weather, path, NULL, diags);
}

static void file_is_read_whole(void **state)
{
    enum { ROWS = 20000 };
    char path[SCRATCH_PATH_MAX];
    struct wp_weather weather;
    struct wp_diags diags;
    FILE *const file = fopen(scratch_path(state, "a.csv", path), "wb");
    assert_non_null(file);
    fputs("time,wind (m/s)\n", file);
    for (int i = 0; i < ROWS; i++) {
        fprintf(file, "%d,%d.%d\n", 1795586400 + 60 * i, i % 9, i % 10);
    }
    fclose(file);
    assert_int_equal(load(path, &weather, &diags), WP_OK);
    assert_int_equal(weather.n_records, ROWS);
    assert_string_equal(weather.file, path);
    assert_true(weather.records[ROWS - 1].t_s == 1795586400.0 + 60.0 * (ROWS - 1));
    wp_weather_finish(&weather);
}

static void mistakes_name_the_file(void **state)
{
    char path[SCRATCH_PATH_MAX];
    struct wp_weather weather;
    struct wp_diags diags;
    scratch_write(state, "empty.csv", "");
    assert_int_equal(load(scratch_path(state, "empty.csv", path), &weather, &diags), WP_E_EMPTY);
    assert_string_equal(diags.items[0].file, path);
    assert_int_equal(load(scratch_path(state, "absent.csv", path), &weather, &diags), WP_E_NO_FILE);
    assert_string_equal(diags.items[0].file, path);
    assert_non_null(strstr(diags.items[0].message, "expected a file or '-'"));
}

static void folder_is_no_file(void **state)
{
    struct wp_weather weather;
    struct wp_diags diags;
    assert_int_equal(load(*state, &weather, &diags), WP_E_IO);
    assert_int_equal(diags.n_items, 1);
    assert_null(weather.records);
}

static void dash_is_standard_input(void **state)
{
    char path[SCRATCH_PATH_MAX];
    struct wp_weather weather;
    struct wp_diags diags;
    scratch_write(state, "in.csv", "time,wind (m/s)\n2026-11-25T06:00Z,1\n");
    assert_non_null(freopen(scratch_path(state, "in.csv", path), "rb", stdin));
    assert_int_equal(load("-", &weather, &diags), WP_OK);
    assert_string_equal(weather.file, "standard input");
    assert_int_equal(weather.n_records, 1);
    wp_weather_finish(&weather);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_setup_teardown(file_is_read_whole, scratch_create, scratch_remove),
        cmocka_unit_test_setup_teardown(mistakes_name_the_file, scratch_create, scratch_remove),
        cmocka_unit_test_setup_teardown(folder_is_no_file, scratch_create, scratch_remove),
        cmocka_unit_test_setup_teardown(dash_is_standard_input, scratch_create, scratch_remove),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
