/* SPDX-License-Identifier: MIT */
/* What the headings of station exports mean (common practice, no source). */
#include "weather/heading.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>

struct reading {
    const char *text;
    enum wp_meaning meaning;
    enum wp_unit unit;
};

static void assert_readings(const struct reading *readings, size_t n)
{
    for (size_t i = 0; i < n; i++) {
        struct wp_heading heading;
        wp_heading_read((struct wp_slice){readings[i].text, strlen(readings[i].text)}, &heading);
        if (heading.meaning != readings[i].meaning || heading.unit != readings[i].unit) {
            fail_msg("'%s' means %d in unit %d, not %d in %d", readings[i].text,
                     (int)heading.meaning, (int)heading.unit, (int)readings[i].meaning,
                     (int)readings[i].unit);
        }
    }
}

#define ASSERT_READINGS(readings) assert_readings(readings, sizeof readings / sizeof readings[0])

static void speeds_and_their_units_are_found(void **state)
{
    (void)state;
    const struct reading readings[] = {
        {"wind speed (m/s)", WP_MEANS_SPEED, WP_UNIT_M_S},
        {"Wind Speed [km/h]", WP_MEANS_SPEED, WP_UNIT_KM_H},
        {"wind_speed_mph", WP_MEANS_SPEED, WP_UNIT_MPH},
        {"windspeedmph", WP_MEANS_SPEED, WP_UNIT_MPH},
        {"windSpeed", WP_MEANS_SPEED, WP_UNIT_NONE},
        {"WSPD (kts)", WP_MEANS_SPEED, WP_UNIT_KNOT},
        {"ws_ms", WP_MEANS_SPEED, WP_UNIT_M_S},
        {"wind speed (m s-1)", WP_MEANS_SPEED, WP_UNIT_M_S},
        {"Wind", WP_MEANS_SPEED, WP_UNIT_NONE},
        {"wind_avg_km_h", WP_MEANS_SPEED, WP_UNIT_KM_H},
        {"Wind (10 min avg, kn)", WP_MEANS_SPEED, WP_UNIT_KNOT},
        {"Windgeschwindigkeit [Bft]", WP_MEANS_SPEED, WP_UNIT_BEAUFORT},
        {"Vitesse du vent (km/h)", WP_MEANS_SPEED, WP_UNIT_KM_H},
        {"Velocidad del viento", WP_MEANS_SPEED, WP_UNIT_NONE},
        {"FF_10", WP_MEANS_SPEED, WP_UNIT_NONE},
        {"speed_m_s", WP_MEANS_SPEED, WP_UNIT_M_S},
        {"Wind speed (ft/s)", WP_MEANS_SPEED, WP_UNIT_FT_S},
        {"Wind miles per hour", WP_MEANS_SPEED, WP_UNIT_MPH},
    };
    ASSERT_READINGS(readings);
}

static void gusts_are_told_from_means(void **state)
{
    (void)state;
    const struct reading readings[] = {
        {"wind gust (m/s)", WP_MEANS_GUST, WP_UNIT_M_S},
        {"windgustmph", WP_MEANS_GUST, WP_UNIT_MPH},
        {"Gust", WP_MEANS_GUST, WP_UNIT_NONE},
        {"B\xC3\xB6"
         "e [km/h]",
         WP_MEANS_GUST, WP_UNIT_KM_H},
        {"B\xF6"
         "en",
         WP_MEANS_GUST, WP_UNIT_NONE},
        {"Max wind speed (m/s)", WP_MEANS_GUST, WP_UNIT_M_S},
        {"Hi Speed", WP_MEANS_GUST, WP_UNIT_NONE},
        {"Rafales (km/h)", WP_MEANS_GUST, WP_UNIT_KM_H},
        {"wind_gust_3s_ms", WP_MEANS_GUST, WP_UNIT_M_S},
    };
    ASSERT_READINGS(readings);
}

static void directions_and_temperatures_are_found(void **state)
{
    (void)state;
    const struct reading readings[] = {
        {"wind direction (\xC2\xB0)", WP_MEANS_FROM, WP_UNIT_NONE},
        {"winddir", WP_MEANS_FROM, WP_UNIT_NONE},
        {"wind_deg", WP_MEANS_FROM, WP_UNIT_DEGREE},
        {"Wind Dir (10s deg)", WP_MEANS_FROM, WP_UNIT_TEN_DEGREES},
        {"Windrichtung", WP_MEANS_FROM, WP_UNIT_NONE},
        {"DD_10", WP_MEANS_FROM, WP_UNIT_NONE},
        {"from_deg", WP_MEANS_FROM, WP_UNIT_DEGREE},
        {"temperature", WP_MEANS_TEMPERATURE, WP_UNIT_NONE},
        {"Outdoor temp (\xC2\xB0"
         "C)",
         WP_MEANS_TEMPERATURE, WP_UNIT_CELSIUS},
        {"tempf", WP_MEANS_TEMPERATURE, WP_UNIT_FAHRENHEIT},
        {"air temperature [K]", WP_MEANS_TEMPERATURE, WP_UNIT_KELVIN},
        {"Au\xC3\x9F"
         "entemperatur (\xE2\x84\x83)",
         WP_MEANS_TEMPERATURE, WP_UNIT_CELSIUS},
        {"outdoor temperature (\xE2\x84\x89)", WP_MEANS_TEMPERATURE, WP_UNIT_FAHRENHEIT},
        {"Lufttemperatur [\xB0"
         "C]",
         WP_MEANS_TEMPERATURE, WP_UNIT_CELSIUS},
    };
    ASSERT_READINGS(readings);
}

static void times_are_stamps_dates_or_clocks(void **state)
{
    (void)state;
    const struct reading readings[] = {
        {"time", WP_MEANS_CLOCK, WP_UNIT_NONE},
        {"Date", WP_MEANS_DATE, WP_UNIT_NONE},
        {"Date/Time (UTC)", WP_MEANS_STAMP, WP_UNIT_NONE},
        {"timestamp", WP_MEANS_STAMP, WP_UNIT_NONE},
        {"Datum", WP_MEANS_DATE, WP_UNIT_NONE},
        {"Uhrzeit (dd.mm)", WP_MEANS_CLOCK, WP_UNIT_NONE},
        {"ts_ms", WP_MEANS_STAMP, WP_UNIT_MILLISECOND},
        {"epoch (s)", WP_MEANS_STAMP, WP_UNIT_SECOND},
        {"t_s", WP_MEANS_STAMP, WP_UNIT_SECOND},
        {"station's time", WP_MEANS_CLOCK, WP_UNIT_NONE},
    };
    ASSERT_READINGS(readings);
}

static void neighbours_of_the_wind_are_not_used(void **state)
{
    (void)state;
    const char *const texts[] = {"wind chill (C)",
                                 "Wind Run (km)",
                                 "wind speed std (m/s)",
                                 "wind_speed_qc",
                                 "Gust direction",
                                 "Hi Dir",
                                 "time of max gust",
                                 "Wind Tx",
                                 "dew point temperature",
                                 "indoor temperature",
                                 "min temp",
                                 "temp_max",
                                 "humidity",
                                 "u wind (m/s)",
                                 "lull (m/s)",
                                 "",
                                 "10m",
                                 "heat index",
                                 "soil temperature"};
    for (size_t i = 0; i < sizeof texts / sizeof texts[0]; i++) {
        const struct reading reading = {texts[i], WP_MEANS_NOTHING, WP_UNIT_NONE};
        assert_readings(&reading, 1);
    }
}

static const char *unknown_unit(struct wp_heading *heading, const char *text)
{
    wp_heading_read((struct wp_slice){text, strlen(text)}, heading);
    return heading->unknown_unit;
}

static void brackets_around_no_unit_are_told(void **state)
{
    (void)state;
    struct wp_heading heading;
    assert_string_equal(unknown_unit(&heading, "wind (furlongs)"), "furlongs");
    assert_string_equal(unknown_unit(&heading, "wind speed (10 m)"), "");
    assert_string_equal(unknown_unit(&heading, "wind speed (average)"), "");
    assert_string_equal(unknown_unit(&heading, "wind speed (km/h)"), "");
}

static void better_fits_count_more(void **state)
{
    (void)state;
    const char *const better[] = {"wind speed", "wind speed (m/s)", "end time", "time utc",
                                  "outdoor temp"};
    const char *const worse[] = {"fan speed", "wind speed", "start time", "time", "temp"};
    for (size_t i = 0; i < sizeof better / sizeof better[0]; i++) {
        struct wp_heading a;
        struct wp_heading b;
        wp_heading_read((struct wp_slice){better[i], strlen(better[i])}, &a);
        wp_heading_read((struct wp_slice){worse[i], strlen(worse[i])}, &b);
        assert_int_equal(a.meaning, b.meaning);
        assert_true(a.fit > b.fit);
    }
}

static void units_alone_are_known(void **state)
{
    (void)state;
    const struct {
        const char *text;
        enum wp_unit unit;
    } units[] = {{"m/s", WP_UNIT_M_S},
                 {"(km/h)", WP_UNIT_KM_H},
                 {"m s-1", WP_UNIT_M_S},
                 {"knots", WP_UNIT_KNOT},
                 {"mph", WP_UNIT_MPH},
                 {"\xC2\xB0"
                  "C",
                  WP_UNIT_CELSIUS},
                 {"wind", WP_UNIT_NONE},
                 {"", WP_UNIT_NONE},
                 {"m/s gust", WP_UNIT_NONE}};
    for (size_t i = 0; i < sizeof units / sizeof units[0]; i++) {
        assert_int_equal(wp_heading_unit((struct wp_slice){units[i].text, strlen(units[i].text)}),
                         units[i].unit);
    }
}

/* The units of a barometer; NIST SP 811, appendix B: 1 inHg = 3386.389 Pa, 1 mmHg = 133.3224 Pa. */
static void pressures_and_their_units_are_found(void **state)
{
    (void)state;
    const struct reading readings[] = {
        {"pressure (hPa)", WP_MEANS_PRESSURE, WP_UNIT_HPA},
        {"Station Pressure [kPa]", WP_MEANS_PRESSURE, WP_UNIT_KPA},
        {"pressure_pa", WP_MEANS_PRESSURE, WP_UNIT_PA},
        {"Barometer (inHg)", WP_MEANS_PRESSURE, WP_UNIT_INCH_HG},
        {"baromin", WP_MEANS_PRESSURE, WP_UNIT_INCH_HG},
        {"Luftdruck in mmHg", WP_MEANS_PRESSURE, WP_UNIT_MM_HG},
        {"SLP (mb)", WP_MEANS_PRESSURE, WP_UNIT_HPA},
        {"pressure tendency (hPa)", WP_MEANS_NOTHING, WP_UNIT_NONE},
        {"vapour pressure (hPa)", WP_MEANS_NOTHING, WP_UNIT_NONE},
    };
    ASSERT_READINGS(readings);
    assert_true(wp_unit_to_si(WP_UNIT_INCH_HG, 1.0) == 3386.389);
    assert_true(wp_unit_to_si(WP_UNIT_MM_HG, 1.0) == 133.3224);
    assert_true(wp_unit_to_si(WP_UNIT_HPA, 1013.25) == 101325.0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(pressures_and_their_units_are_found),
        cmocka_unit_test(speeds_and_their_units_are_found),
        cmocka_unit_test(gusts_are_told_from_means),
        cmocka_unit_test(directions_and_temperatures_are_found),
        cmocka_unit_test(times_are_stamps_dates_or_clocks),
        cmocka_unit_test(neighbours_of_the_wind_are_not_used),
        cmocka_unit_test(brackets_around_no_unit_are_told),
        cmocka_unit_test(better_fits_count_more),
        cmocka_unit_test(units_alone_are_known),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
