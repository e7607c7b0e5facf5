/* SPDX-License-Identifier: MIT */
/* EPW: hours 1 to 24, the zone of LOCATION, typical years. */
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

#define REST "x,6.1,3,80,97000,0,0,0,0,0,0,0,0,0,0,240,5.0,0\n"
#define PLACE "LOCATION,Hill,-,-,none,0,47.0,9.0,1.0,400\n"

static void hours_end_where_they_are_counted(void **state)
{
    (void)state;
    static const struct {
        const char *time;
        double after_s; /* six o'clock */
    } times[] = {
        {"2026,11,25,7,0,", 0.0},           /* 06:00 to 07:00 at UTC+1 */
        {"2026,11,25,7,60,", 0.0},          /* the same, as others write it */
        {"2026,11,25,7,30,", -1800.0},      /* two values an hour */
        {"2026,11,24,24,0,", -7.0 * 3600.0} /* midnight at UTC+1 */
    };
    for (size_t i = 0; i < sizeof times / sizeof times[0]; i++) {
        char text[256];
        (void)snprintf(text, sizeof text, PLACE "%s" REST, times[i].time);
        struct wp_weather weather = weather_of(text, NULL);
        assert_near(weather.records[0].t_s, six_s + times[i].after_s, 0.0);
        assert_near(weather.records[0].mean_m_s, 5.0, 0.0);
        assert_near(weather.records[0].from_deg, 240.0, 0.0);
        assert_near(weather.records[0].temperature_c, 6.1, 0.0);
        assert_near(weather.records[0].pressure_pa, 97000.0, 0.0);
        wp_weather_finish(&weather);
    }
}

static void typical_years_need_a_name(void **state)
{
    (void)state;
    static const char text[] = PLACE "1999,1,31,24,0," REST "2004,2,1,1,0," REST;
    const struct weather_mistake mistakes[] = {
        {text, WP_E_AMBIGUOUS, 3, "(1999, 2004)", "--year"},
        {"LOCATION,Hill\n2004,2,1,1,0," REST, WP_E_SYNTAX, 1, "time zone", ""},
        {PLACE "2004,2,1,25,0," REST, WP_E_EMPTY, 2, "does not exist", ""},
    };
    struct wp_weather_config config;
    wp_weather_config_default(&config);
    assert_mistakes(mistakes, 3);
    config.year = 2026;
    struct wp_weather weather = weather_of(text, &config);
    assert_int_equal(weather.n_records, 2);
    assert_near(weather.interval_s, 3600.0, 0.0);
    wp_weather_finish(&weather);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(hours_end_where_they_are_counted),
        cmocka_unit_test(typical_years_need_a_name),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
