/* SPDX-License-Identifier: MIT */
/* What the user says of a table: columns by number or name, order of dates, year, scale. */
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

static struct wp_weather_config told(const char *columns)
{
    struct wp_weather_config config;
    wp_weather_config_default(&config);
    config.columns = columns;
    return config;
}

static void columns_are_found_by_number_or_name(void **state)
{
    (void)state;
    static const struct {
        const char *columns;
        const char *text;
    } tables[] = {
        {"time=1,speed=3,from=4", "2026-11-25T06:00Z,x,5,200\n"},
        {"speed=3,time=1,from=4", "# no heading\n2026-11-25T06:00Z;x;5,0;200\n"},
        {"date=2,time=1,speed=4,from=3", "06:00 2026-11-25 200 5\n"},
        {"speed=b,from=4", "time,a,b,c\n2026-11-25T06:00Z,1,5,200\n"},
        {"speed=3", "time,wind 1,wind 2,direction\n2026-11-25T06:00Z,1,5,200\n"},
        {"time=1,speed=2,from=3", "1795586400 5 200\n"},
        /* What is told takes away the one of two that is not meant. */
        {"gust=2", "time,wind 1,wind 2,direction\n2026-11-25T06:00Z,9,5,200\n"},
    };
    for (size_t i = 0; i < sizeof tables / sizeof tables[0]; i++) {
        const struct wp_weather_config config = told(tables[i].columns);
        struct wp_weather weather = weather_of(tables[i].text, &config);
        assert_int_equal(weather.n_records, 1);
        assert_near(weather.records[0].t_s, six_s, 0.0);
        assert_near(weather.records[0].mean_m_s, 5.0, 0.0);
        assert_near(weather.records[0].from_deg, 200.0, 0.0);
        wp_weather_finish(&weather);
    }
}

static void nonsense_about_columns_is_refused(void **state)
{
    (void)state;
    static const struct {
        const char *columns;
        enum wp_status status;
        const char *message;
    } mistakes[] = {
        {"speed", WP_E_SYNTAX, "cannot be understood"},
        {"speed=0", WP_E_SYNTAX, "cannot be understood"},
        {"speed=1.5", WP_E_SYNTAX, "cannot be understood"},
        {"height=2", WP_E_SYNTAX, "cannot be understood"},
        {"time=1,speed=1", WP_E_SYNTAX, "cannot be understood"},
        {"speed=2,speed=3", WP_E_SYNTAX, "cannot be understood"},
        {"speed=velo", WP_E_UNKNOWN_NAME, "no column is called 'velo'; expected one of 'time', "},
        {"speed=9,time=1", WP_E_EMPTY, "cut short"},
    };
    for (size_t i = 0; i < sizeof mistakes / sizeof mistakes[0]; i++) {
        static const char text[] = "time,wind\n2026-11-25T06:00Z,1\n";
        const struct wp_weather_config config = told(mistakes[i].columns);
        struct wp_weather weather;
        struct wp_diags diags;
        wp_diags_init(&diags);
        const enum wp_status status =
            wp_weather_parse(&weather, "a.csv", text, sizeof text - 1, &config, &diags);
        if (status != mistakes[i].status || diags.n_items != 1 ||
            !strstr(diags.items[0].message, mistakes[i].message)) {
            fail_msg("'%s': status %d: %s", mistakes[i].columns, (int)status,
                     diags.items[0].message);
        }
    }
}

static void order_of_dates_can_be_told(void **state)
{
    (void)state;
    static const struct {
        enum wp_date_order order;
        const char *date;
        double t_s;
    } dates[] = {{WP_ORDER_DAY_FIRST, "3/4/2026", 1775174400.0},   /* 2026-04-03 */
                 {WP_ORDER_MONTH_FIRST, "3/4/2026", 1772582400.0}, /* 2026-03-04 */
                 {WP_ORDER_YEAR_FIRST, "3/4/26", 1051315200.0},    /* 2003-04-26 */
                 {WP_ORDER_YEAR_FIRST, "2026-04-03", 1775174400.0},
                 {WP_ORDER_UNKNOWN, "3 Apr 2026", 1775174400.0},
                 {WP_ORDER_UNKNOWN, "03-April-26", 1775174400.0}};
    for (size_t i = 0; i < sizeof dates / sizeof dates[0]; i++) {
        char text[64];
        struct wp_weather_config config = told(NULL);
        config.date_order = dates[i].order;
        (void)snprintf(text, sizeof text, "time,wind (m/s)\n%s 00:00,1\n", dates[i].date);
        struct wp_weather weather = weather_of(text, &config);
        assert_near(weather.records[0].t_s, dates[i].t_s, 0.0);
        wp_weather_finish(&weather);
    }
    const struct weather_mistake mistakes[] = {
        {"time,wind (m/s)\n3/4/2026 00:00,1\n", WP_E_AMBIGUOUS, 2, "day or month", "--date-order"},
        {"date,wind (m/s)\n25.11.,1\n", WP_E_MISSING, 2, "no year", "--year"},
        {"date,time,wind (m/s)\n25/11,06:00,1\n", WP_E_MISSING, 2, "no year", "--year"},
    };
    assert_mistakes(mistakes, 3);
}

static void year_can_be_told(void **state)
{
    (void)state;
    const char *const texts[] = {"date,time,wind (m/s)\n25.11.,06:00,1\n",
                                 "date,time,wind (m/s)\n25/11,6:00 AM,1\n",
                                 "time,wind (m/s)\n25-Nov 06:00,1\n"};
    for (size_t i = 0; i < sizeof texts / sizeof texts[0]; i++) {
        struct wp_weather_config config = told(NULL);
        config.year = 2026;
        struct wp_weather weather = weather_of(texts[i], &config);
        assert_near(weather.records[0].t_s, six_s, 0.0);
        wp_weather_finish(&weather);
    }
}

static void speeds_are_scaled_other_values_not(void **state)
{
    (void)state;
    struct wp_weather_config config = told(NULL);
    config.scale = 0.1;
    struct wp_weather weather = weather_of(
        "time,wind (m/s),gust (m/s),dir,temp (C)\n2026-11-25T06:00Z,80,120,200,6\n", &config);
    assert_near(weather.records[0].mean_m_s, 8.0, 1e-12);
    assert_near(weather.records[0].gust_m_s, 12.0, 1e-12);
    assert_near(weather.records[0].from_deg, 200.0, 0.0);
    assert_near(weather.records[0].temperature_c, 6.0, 0.0);
    wp_weather_finish(&weather);
    config.scale = 0.0;
    assert_int_equal(wp_weather_parse(&weather, "a", "time,wind\n", 10, &config, NULL), WP_E_RANGE);
}

static void every_repair_is_listed_with_its_line(void **state)
{
    (void)state;
    struct wp_weather weather = weather_of("time,wind (m/s),gust (m/s),dir\n"
                                           "2026-11-25T06:00Z,5,4,200\n"
                                           "2026-11-25T06:10Z,85,,200\n"
                                           "2026-11-25T06:20Z,5,x,400\n"
                                           "later,5,,\n"
                                           "2026-11-25T06:30Z,5,0,\n"
                                           "2026-11-25T06:30Z,6,,\n",
                                           NULL);
    static const struct {
        int line;
        const char *what;
        const char *found;
    } want[] = {{2, "gust below the mean", ""},     {3, "above 75 m/s", "85"},
                {4, "direction outside", "400"},    {4, "gust that is no number", "x"},
                {5, "without a readable", "later"}, {6, "gust of 0", ""},
                {7, "the last one counts", ""}};
    assert_int_equal(weather.n_repairs, sizeof want / sizeof want[0]);
    for (size_t i = 0; i < weather.n_repairs; i++) {
        assert_int_equal(weather.repairs[i].line, want[i].line);
        assert_non_null(strstr(weather.repairs[i].what, want[i].what));
        assert_string_equal(weather.repairs[i].found, want[i].found);
        assert_int_equal(weather.repairs[i].is_rejected, i == 4);
    }
    wp_weather_finish(&weather);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(columns_are_found_by_number_or_name),
        cmocka_unit_test(nonsense_about_columns_is_refused),
        cmocka_unit_test(order_of_dates_can_be_told),
        cmocka_unit_test(year_can_be_told),
        cmocka_unit_test(speeds_are_scaled_other_values_not),
        cmocka_unit_test(every_repair_is_listed_with_its_line),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
