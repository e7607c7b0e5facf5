/* SPDX-License-Identifier: MIT */
/* Numbers with units: what is read, what is refused and how it is explained. */
#include "windpeal/quantity.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

struct reading {
    const char *text;
    enum wp_dimension dimension;
    double value;
};

static void assert_readings(const struct reading *readings, size_t n)
{
    for (size_t i = 0; i < n; i++) {
        double value = NAN;
        const enum wp_status status =
            wp_quantity_parse(readings[i].text, readings[i].dimension, &value, NULL, 0);
        if (status || !(fabs(value - readings[i].value) <= 1e-15 * fabs(readings[i].value))) {
            fail_msg("'%s': status %d, %.17g instead of %.17g", readings[i].text, (int)status,
                     value, readings[i].value);
        }
    }
}

static void metric_units_are_powers_of_ten(void **state)
{
    (void)state;
    const struct reading readings[] = {
        {"32 mm", WP_LENGTH, 0.032},
        {"32mm", WP_LENGTH, 0.032},
        {"1.6 mm", WP_LENGTH, 0.0016},
        {"12 cm", WP_LENGTH, 0.12},
        {"25 um", WP_LENGTH, 25e-6},
        {"25 \xC2\xB5m", WP_LENGTH, 25e-6},
        {"1.2 km", WP_LENGTH, 1200.0},
        {" 2 m ", WP_LENGTH, 2.0},
        {"-60 mm", WP_LENGTH, -0.06},
        {"+1e3 mm", WP_LENGTH, 1.0},
        {"80 cm2", WP_AREA, 0.008},
        {"80 cm\xC2\xB2", WP_AREA, 0.008},
        {"80 cm^2", WP_AREA, 0.008},
        {"60 g", WP_MASS, 0.06},
        {"250 mg", WP_MASS, 250e-6},
        {"1 g/m", WP_LINEAR_DENSITY, 0.001},
        {"2700 kg/m3", WP_DENSITY, 2700.0},
        {"2700 kg/m\xC2\xB3", WP_DENSITY, 2700.0},
        {"2.7 g/cm3", WP_DENSITY, 2700.0},
        {"68.9 GPa", WP_PRESSURE, 68.9e9},
        {"1013.25 hPa", WP_PRESSURE, 101325},
        {"5 m/s", WP_SPEED, 5.0},
        {"5 mps", WP_SPEED, 5.0},
    };
    assert_readings(readings, sizeof readings / sizeof readings[0]);
}

/* NIST SP 811 (2008), appendix B.8: "exact" factors and, for the psi, seven figures. */
static void other_units_are_those_of_sp_811(void **state)
{
    (void)state;
    const struct reading readings[] = {
        {"1 in", WP_LENGTH, 0.0254},
        {"1 ft", WP_LENGTH, 0.3048},
        {"1 in2", WP_AREA, 6.4516e-4},
        {"1 lb", WP_MASS, 0.45359237},
        {"16 oz", WP_MASS, 0.45359237},
        {"16 oz/ft", WP_LINEAR_DENSITY, 0.45359237 / 0.3048},
        {"1 lb/in3", WP_DENSITY, 0.45359237 / 16.387064e-6},
        {"1 mph", WP_SPEED, 0.44704},
        {"1 kt", WP_SPEED, 1852.0 / 3600.0},
        {"1 kn", WP_SPEED, 1852.0 / 3600.0},
        {"36 knots", WP_SPEED, 18.52},
        {"3.6 km/h", WP_SPEED, 1.0},
        {"1 ft/s", WP_SPEED, 0.3048},
        {"50 F", WP_TEMPERATURE, 10.0},
        {"-40 \xC2\xB0"
         "F",
         WP_TEMPERATURE, -40.0},
        {"20 \xC2\xB0"
         "C",
         WP_TEMPERATURE, 20.0},
        {"273.15 K", WP_TEMPERATURE, 0.0},
    };
    assert_readings(readings, sizeof readings / sizeof readings[0]);
    double psi = NAN;
    double mega = NAN;
    assert_int_equal(wp_quantity_parse("1 psi", WP_PRESSURE, &psi, NULL, 0), WP_OK);
    assert_int_equal(wp_quantity_parse("1 Mpsi", WP_PRESSURE, &mega, NULL, 0), WP_OK);
    assert_true(fabs(psi - 6894.757) < 5e-4);
    assert_true(fabs(mega / psi - 1e6) < 1e-6);
}

static void fractions_are_read_as_on_a_rule(void **state)
{
    (void)state;
    const struct reading readings[] = {
        {"47 1/2 in", WP_LENGTH, 47.5 * 0.0254}, {"1 1/4in", WP_LENGTH, 1.25 * 0.0254},
        {"1/16 in", WP_LENGTH, 0.0254 / 16.0},   {"3/2 in", WP_LENGTH, 1.5 * 0.0254},
        {"1 1/4\"", WP_LENGTH, 1.25 * 0.0254},   {"-1 1/2 in", WP_LENGTH, -1.5 * 0.0254},
        {"12 INCH", WP_LENGTH, 0.3048},
    };
    assert_readings(readings, sizeof readings / sizeof readings[0]);
}

static void rates_and_compound_units_are_read(void **state)
{
    (void)state;
    const struct reading readings[] = {
        {"0.2 kg/s", WP_RESISTANCE, 0.2},
        {"50 g/s", WP_RESISTANCE, 0.05},
        {"3 Ns/m", WP_RESISTANCE, 3.0},
        {"300 mN", WP_FORCE, 0.3},
        {"24 V", WP_VOLTAGE, 24.0},
        {"600 mA", WP_CURRENT, 0.6},
        {"0.04 kohm", WP_OHM, 40.0},
        {"40 \xE2\x84\xA6", WP_OHM, 40.0},
        {"50 mH", WP_INDUCTANCE, 0.05},
        {"25 J/K", WP_HEAT_CAPACITY, 25.0},
        {"22 K/W", WP_HEAT_RESISTANCE, 22.0},
        {"6 /s", WP_RATE, 6.0},
        {"6/s", WP_RATE, 6.0},
        {"6 1/s", WP_RATE, 6.0},
        {"30 /min", WP_RATE, 0.5},
        {"1/4 /s", WP_RATE, 0.25},
        {"23.4e-6 /K", WP_PER_KELVIN, 23.4e-6},
        {"-5e-4 1/K", WP_PER_KELVIN, -5e-4},
        {"23.4 ppm/K", WP_PER_KELVIN, 23.4e-6},
        {"200 W/mK", WP_CONDUCTIVITY, 200.0},
        {"200 W/(m K)", WP_CONDUCTIVITY, 200.0},
        {"200 W/(m\xC2\xB7K)", WP_CONDUCTIVITY, 200.0},
        {"900 J/kg/K", WP_SPECIFIC_HEAT, 900.0},
        {"0.9 kJ/(kg K)", WP_SPECIFIC_HEAT, 900.0},
        {"0.3 %", WP_SHARE, 0.003},
        {"0.3%", WP_SHARE, 0.003},
        {"0.25", WP_NUMBER, 0.25},
        {"-6 dB", WP_DECIBELS, -6.0},
        {"240", WP_ANGLE, 240.0},
        {"240 deg", WP_ANGLE, 240.0},
        {"240\xC2\xB0", WP_ANGLE, 240.0},
        {"2 min", WP_DURATION, 120.0},
        {"0.5 h", WP_DURATION, 1800.0},
        {"1 d", WP_DURATION, 86400.0},
        {"440 Hz", WP_FREQUENCY, 440.0},
        {"16 kHz", WP_FREQUENCY, 16000.0},
        {"1e-4", WP_NUMBER, 1e-4},
    };
    assert_readings(readings, sizeof readings / sizeof readings[0]);
}

static void whole_metric_numbers_are_correctly_rounded(void **state)
{
    (void)state;
    for (int i = 1; i < 3000; i++) {
        char text[32];
        char metres[32];
        double value = NAN;
        (void)snprintf(text, sizeof text, "%d mm", i);
        (void)snprintf(metres, sizeof metres, "%de-3", i);
        assert_int_equal(wp_quantity_parse(text, WP_LENGTH, &value, NULL, 0), WP_OK);
        assert_true(value == strtod(metres, NULL));
    }
}

struct refusal {
    const char *text;
    enum wp_dimension dimension;
    enum wp_status status;
};

static void wrong_text_is_refused_and_value_untouched(void **state)
{
    (void)state;
    const struct refusal refusals[] = {
        {"", WP_LENGTH, WP_E_SYNTAX},
        {"mm", WP_LENGTH, WP_E_SYNTAX},
        {"thick", WP_LENGTH, WP_E_SYNTAX},
        {"nan mm", WP_LENGTH, WP_E_SYNTAX},
        {"1,6 mm", WP_LENGTH, WP_E_SYNTAX},
        {"1.6.2 mm", WP_LENGTH, WP_E_SYNTAX},
        {"1 2 mm", WP_LENGTH, WP_E_SYNTAX},
        {"1/0 in", WP_LENGTH, WP_E_SYNTAX},
        {"1/2/3 in", WP_LENGTH, WP_E_SYNTAX},
        {"47 3/2 in", WP_LENGTH, WP_E_SYNTAX},
        {"1.5 1/2 in", WP_LENGTH, WP_E_SYNTAX},
        {"1e400 mm", WP_LENGTH, WP_E_SYNTAX},
        {"1e306 km", WP_LENGTH, WP_E_SYNTAX},
        {"5 - 6 mm", WP_LENGTH, WP_E_SYNTAX},
        {"32", WP_LENGTH, WP_E_UNIT},
        {"32 Mm", WP_LENGTH, WP_E_UNIT},
        {"32 MM", WP_LENGTH, WP_E_UNIT},
        {"3 m m", WP_LENGTH, WP_E_UNIT},
        {"32 mm long", WP_LENGTH, WP_E_UNIT},
        {"32 g", WP_LENGTH, WP_E_UNIT},
        {"32 mm", WP_MASS, WP_E_UNIT},
        {"60 G", WP_MASS, WP_E_UNIT},
        {"5 mpa", WP_PRESSURE, WP_E_UNIT},
        {"20", WP_TEMPERATURE, WP_E_UNIT},
        {"20 c", WP_TEMPERATURE, WP_E_UNIT},
        {"5", WP_SPEED, WP_E_UNIT},
        {"5 m", WP_DURATION, WP_E_UNIT},
        {"5 %", WP_NUMBER, WP_E_UNIT},
        {"5 mm", WP_SHARE, WP_E_UNIT},
        {"0.3", WP_SHARE, WP_E_UNIT},
        {"5 an unreasonably long unit of length", WP_LENGTH, WP_E_UNIT},
    };
    for (size_t i = 0; i < sizeof refusals / sizeof refusals[0]; i++) {
        double value = 77.0;
        const enum wp_status status =
            wp_quantity_parse(refusals[i].text, refusals[i].dimension, &value, NULL, 0);
        if (status != refusals[i].status || value != 77.0) {
            fail_msg("'%s': status %d, value %g", refusals[i].text, (int)status, value);
        }
    }
}

static void refusal_says_what_was_expected(void **state)
{
    (void)state;
    double value = 0.0;
    char why[128];
    (void)wp_quantity_parse("32", WP_LENGTH, &value, why, sizeof why);
    assert_string_equal(why, "a length with a unit, such as '32 mm' or '1 1/4 in'");
    (void)wp_quantity_parse("1,6 mm", WP_LENGTH, &value, why, sizeof why);
    assert_string_equal(why, "a decimal point instead of the comma, such as '1.5'");
    for (int dimension = WP_LENGTH; dimension <= WP_NUMBER; dimension++) {
        why[0] = '\0';
        (void)wp_quantity_parse("?", (enum wp_dimension)dimension, &value, why, sizeof why);
        assert_true(strstr(why, "such as '") != NULL);
    }
    (void)wp_quantity_parse("32", WP_LENGTH, &value, why, 9);
    assert_string_equal(why, "a length");
}

static void examples_in_explanations_are_right(void **state)
{
    (void)state;
    for (int dimension = WP_LENGTH; dimension <= WP_NUMBER; dimension++) {
        char why[128] = "";
        double value = NAN;
        (void)wp_quantity_parse("?", (enum wp_dimension)dimension, &value, why, sizeof why);
        size_t n_examples = 0;
        for (char *at = strchr(why, '\''); at; n_examples++) {
            char *end = strchr(at + 1, '\'');
            assert_non_null(end);
            *end = '\0';
            assert_int_equal(
                wp_quantity_parse(at + 1, (enum wp_dimension)dimension, &value, NULL, 0), WP_OK);
            at = strchr(end + 1, '\'');
        }
        assert_true(n_examples > 0);
    }
}

static void lengths_are_written_for_the_shop(void **state)
{
    (void)state;
    char text[32];
    wp_length_format_mm(1.21044, text, sizeof text);
    assert_string_equal(text, "1210.4 mm");
    wp_length_format_mm(-0.00004, text, sizeof text);
    assert_string_equal(text, "0.0 mm");
    wp_length_format_mm(-0.0125, text, sizeof text);
    assert_string_equal(text, "-12.5 mm");
    wp_length_format_inch(47.65625 * 0.0254, 32, text, sizeof text);
    assert_string_equal(text, "47 21/32 in");
    wp_length_format_inch(47.5 * 0.0254, 32, text, sizeof text);
    assert_string_equal(text, "47 1/2 in");
    wp_length_format_inch(0.0254 / 16.0, 64, text, sizeof text);
    assert_string_equal(text, "1/16 in");
    wp_length_format_inch(-0.0254, 16, text, sizeof text);
    assert_string_equal(text, "-1 in");
    wp_length_format_inch(0.0254 * 0.6, 10, text, sizeof text);
    assert_string_equal(text, "3/5 in");
    wp_length_format_inch(0.0, 16, text, sizeof text);
    assert_string_equal(text, "0 in");
}

static void written_lengths_read_back(void **state)
{
    (void)state;
    for (int i = 1; i < 2000; i++) {
        char text[32];
        double value = NAN;
        wp_length_format_inch(i * 0.0254 / 32.0, 32, text, sizeof text);
        assert_int_equal(wp_quantity_parse(text, WP_LENGTH, &value, NULL, 0), WP_OK);
        assert_true(fabs(value - i * 0.0254 / 32.0) < 1e-15);
        wp_length_format_mm(i * 1e-4, text, sizeof text);
        assert_int_equal(wp_quantity_parse(text, WP_LENGTH, &value, NULL, 0), WP_OK);
        assert_true(fabs(value - i * 1e-4) < 1e-15);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(metric_units_are_powers_of_ten),
        cmocka_unit_test(other_units_are_those_of_sp_811),
        cmocka_unit_test(fractions_are_read_as_on_a_rule),
        cmocka_unit_test(rates_and_compound_units_are_read),
        cmocka_unit_test(whole_metric_numbers_are_correctly_rounded),
        cmocka_unit_test(wrong_text_is_refused_and_value_untouched),
        cmocka_unit_test(refusal_says_what_was_expected),
        cmocka_unit_test(examples_in_explanations_are_right),
        cmocka_unit_test(lengths_are_written_for_the_shop),
        cmocka_unit_test(written_lengths_read_back),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
