/* SPDX-License-Identifier: MIT */
/* Numbers with units as people write them, to and from SI. */
#include "windpeal/quantity.h"

#include <math.h>
#include <stdbool.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include "base/decimal.h"

/*
 * SI value = (number - offset) * numerator / denominator; whole numerators and denominators
 * keep whole numbers correctly rounded ("32 mm" is the double nearest to 0.032). Inch, foot, pound,
 * pound-force, knot and mile are exact by definition: NIST SP 811 (2008), appendix B.
 */
struct unit {
    enum wp_dimension dimension;
    const char *name; /* as cleaned by clean_unit */
    bool is_any_case; /* SI symbols are not: a capital M is not a small m */
    double numerator;
    double denominator;
    double offset;
};

static const struct unit units[] = {
    {WP_LENGTH, "m", false, 1, 1, 0},
    {WP_LENGTH, "cm", false, 1, 100, 0},
    {WP_LENGTH, "mm", false, 1, 1000, 0},
    {WP_LENGTH, "um", false, 1, 1000000, 0},
    {WP_LENGTH, "km", false, 1000, 1, 0},
    {WP_LENGTH, "in", true, 254, 10000, 0},
    {WP_LENGTH, "inch", true, 254, 10000, 0},
    {WP_LENGTH, "\"", false, 254, 10000, 0},
    {WP_LENGTH, "ft", true, 3048, 10000, 0},
    {WP_AREA, "m2", false, 1, 1, 0},
    {WP_AREA, "cm2", false, 1, 10000, 0},
    {WP_AREA, "mm2", false, 1, 1000000, 0},
    {WP_AREA, "in2", true, 64516, 100000000, 0},
    {WP_MASS, "kg", false, 1, 1, 0},
    {WP_MASS, "g", false, 1, 1000, 0},
    {WP_MASS, "mg", false, 1, 1000000, 0},
    {WP_MASS, "oz", true, 45359237, 1600000000, 0},
    {WP_MASS, "lb", true, 45359237, 100000000, 0},
    {WP_LINEAR_DENSITY, "kg/m", false, 1, 1, 0},
    {WP_LINEAR_DENSITY, "g/m", false, 1, 1000, 0},
    {WP_LINEAR_DENSITY, "mg/m", false, 1, 1000000, 0},
    {WP_LINEAR_DENSITY, "oz/ft", true, 45359237, 487680000, 0},
    {WP_DENSITY, "kg/m3", false, 1, 1, 0},
    {WP_DENSITY, "g/cm3", false, 1000, 1, 0},
    {WP_DENSITY, "lb/in3", true, 453592370000, 16387064, 0},
    {WP_PRESSURE, "Pa", false, 1, 1, 0},
    {WP_PRESSURE, "hPa", false, 100, 1, 0},
    {WP_PRESSURE, "kPa", false, 1000, 1, 0},
    {WP_PRESSURE, "MPa", false, 1000000, 1, 0},
    {WP_PRESSURE, "GPa", false, 1000000000, 1, 0},
    {WP_PRESSURE, "psi", false, 44482216152605, 6451600000, 0},
    {WP_PRESSURE, "ksi", false, 44482216152605, 6451600, 0},
    {WP_PRESSURE, "Mpsi", false, 444822161526050, 64516, 0},
    {WP_SPEED, "m/s", false, 1, 1, 0},
    {WP_SPEED, "mps", true, 1, 1, 0},
    {WP_SPEED, "cm/s", false, 1, 100, 0},
    {WP_SPEED, "km/h", true, 1000, 3600, 0},
    {WP_SPEED, "kmh", true, 1000, 3600, 0},
    {WP_SPEED, "kph", true, 1000, 3600, 0},
    {WP_SPEED, "mph", true, 44704, 100000, 0},
    {WP_SPEED, "mi/h", true, 44704, 100000, 0},
    {WP_SPEED, "kt", true, 1852, 3600, 0},
    {WP_SPEED, "kn", true, 1852, 3600, 0},
    {WP_SPEED, "knot", true, 1852, 3600, 0},
    {WP_SPEED, "knots", true, 1852, 3600, 0},
    {WP_SPEED, "ft/s", true, 3048, 10000, 0},
    {WP_DURATION, "s", false, 1, 1, 0},
    {WP_DURATION, "ms", false, 1, 1000, 0},
    {WP_DURATION, "min", true, 60, 1, 0},
    {WP_DURATION, "h", false, 3600, 1, 0},
    {WP_DURATION, "d", false, 86400, 1, 0},
    {WP_RESISTANCE, "kg/s", false, 1, 1, 0},
    {WP_RESISTANCE, "g/s", false, 1, 1000, 0},
    {WP_RESISTANCE, "Ns/m", false, 1, 1, 0},
    {WP_FORCE, "N", false, 1, 1, 0},
    {WP_FORCE, "mN", false, 1, 1000, 0},
    {WP_VOLTAGE, "V", false, 1, 1, 0},
    {WP_VOLTAGE, "mV", false, 1, 1000, 0},
    {WP_CURRENT, "A", false, 1, 1, 0},
    {WP_CURRENT, "mA", false, 1, 1000, 0},
    {WP_OHM, "ohm", true, 1, 1, 0},
    {WP_OHM, "mohm", false, 1, 1000, 0},
    {WP_OHM, "kohm", false, 1000, 1, 0},
    {WP_INDUCTANCE, "H", false, 1, 1, 0},
    {WP_INDUCTANCE, "mH", false, 1, 1000, 0},
    {WP_INDUCTANCE, "uH", false, 1, 1000000, 0},
    {WP_HEAT_CAPACITY, "J/K", false, 1, 1, 0},
    {WP_HEAT_RESISTANCE, "K/W", false, 1, 1, 0},
    {WP_RATE, "/s", false, 1, 1, 0},
    {WP_RATE, "/min", true, 1, 60, 0},
    {WP_RATE, "/h", false, 1, 3600, 0},
    {WP_FREQUENCY, "Hz", true, 1, 1, 0},
    {WP_FREQUENCY, "kHz", true, 1000, 1, 0},
    {WP_TEMPERATURE, "C", false, 1, 1, 0},
    {WP_TEMPERATURE, "degC", false, 1, 1, 0},
    {WP_TEMPERATURE, "F", false, 5, 9, 32},
    {WP_TEMPERATURE, "degF", false, 5, 9, 32},
    {WP_TEMPERATURE, "K", false, 1, 1, 273.15},
    {WP_PER_KELVIN, "/K", false, 1, 1, 0},
    {WP_PER_KELVIN, "ppm/K", false, 1, 1000000, 0},
    {WP_CONDUCTIVITY, "W/mK", false, 1, 1, 0},
    {WP_CONDUCTIVITY, "W/m/K", false, 1, 1, 0},
    {WP_SPECIFIC_HEAT, "J/kgK", false, 1, 1, 0},
    {WP_SPECIFIC_HEAT, "J/kg/K", false, 1, 1, 0},
    {WP_SPECIFIC_HEAT, "kJ/kgK", false, 1000, 1, 0},
    {WP_SHARE, "%", false, 1, 100, 0},
    {WP_ANGLE, "deg", true, 1, 1, 0},
    {WP_ANGLE, "", false, 1, 1, 0},
    {WP_DECIBELS, "dB", true, 1, 1, 0},
    {WP_DECIBELS, "", false, 1, 1, 0},
    {WP_NUMBER, "", false, 1, 1, 0},
};

static const char *const expectations[] = {
    [WP_LENGTH] = "a length with a unit, such as '32 mm' or '1 1/4 in'",
    [WP_AREA] = "an area with a unit, such as '80 cm2' or '12 in2'",
    [WP_MASS] = "a mass with a unit, such as '60 g' or '2 oz'",
    [WP_LINEAR_DENSITY] = "a mass per length with a unit, such as '1 g/m' or '0.01 oz/ft'",
    [WP_DENSITY] = "a density with a unit, such as '2700 kg/m3' or '2.7 g/cm3'",
    [WP_PRESSURE] = "a pressure or modulus with a unit, such as '68.9 GPa' or '10 Mpsi'",
    [WP_SPEED] = "a speed with a unit, such as '5 m/s', '18 km/h', '11 mph' or '10 kt'",
    [WP_DURATION] = "a time with a unit, such as '10 s', '500 ms' or '2 min'",
    [WP_RESISTANCE] = "a mechanical resistance with a unit, such as '0.2 kg/s'",
    [WP_FORCE] = "a force with a unit, such as '6 N' or '300 mN'",
    [WP_VOLTAGE] = "a voltage with a unit, such as '24 V'",
    [WP_CURRENT] = "a current with a unit, such as '0.6 A' or '600 mA'",
    [WP_OHM] = "an electric resistance with a unit, such as '40 ohm'",
    [WP_INDUCTANCE] = "an inductance with a unit, such as '0.1 H' or '50 mH'",
    [WP_HEAT_CAPACITY] = "a heat capacity with a unit, such as '25 J/K'",
    [WP_HEAT_RESISTANCE] = "a resistance to heat with a unit, such as '22 K/W'",
    [WP_RATE] = "a rate with a unit, such as '6 /s' or '30 /min'",
    [WP_FREQUENCY] = "a frequency with a unit, such as '440 Hz' or '16 kHz'",
    [WP_TEMPERATURE] = "a temperature with a unit, such as '20 C' or '68 F'",
    [WP_PER_KELVIN] = "a change per kelvin with a unit, such as '23.4e-6 /K' or '23.4 ppm/K'",
    [WP_CONDUCTIVITY] = "a heat conductivity with a unit, such as '200 W/mK'",
    [WP_SPECIFIC_HEAT] = "a specific heat with a unit, such as '900 J/kgK'",
    [WP_SHARE] = "a share in percent, such as '0.3 %'",
    [WP_ANGLE] = "an angle in degrees, such as '240' or '240 deg'",
    [WP_DECIBELS] = "decibels, such as '-6 dB'",
    [WP_NUMBER] = "a plain number, such as '0.33' or '1e-4'",
};

enum { UNIT_MAX = 15 };

static bool is_digit(char c)
{
    return c >= '0' && c <= '9';
}

static const char *skip_blanks(const char *at)
{
    while (*at == ' ' || *at == '\t') {
        at++;
    }
    return at;
}

static char lower_ascii(char c)
{
    return (char)(c >= 'A' && c <= 'Z' ? c - 'A' + 'a' : c);
}

/* Spellings that mean the same. */
static const char *const spellings[][2] = {
    {"\xC2\xB0", "deg"},     /* degree sign */
    {"\xC2\xB2", "2"},       /* superscript two */
    {"\xC2\xB3", "3"},       /* superscript three */
    {"\xCE\xA9", "ohm"},     /* Greek capital omega */
    {"\xE2\x84\xA6", "ohm"}, /* ohm sign */
    {"\xC2\xB5", "u"},       /* micro sign */
    {"\xCE\xBC", "u"},       /* Greek mu */
    {"^2", "2"},
    {"^3", "3"},
};

/* Marks without meaning in a compound divisor, "W/(m K)": dropped behind the slash only, so that
 * "3 m m" stays wrong. */
static const char *const separators[] = {" ", "\t", "(", ")", "\xC2\xB7"};

/* What stands for the start of text in a clean unit; sets how many characters that start has. */
static const char *clean_piece(const char *text, bool is_behind_slash, size_t *taken)
{
    for (size_t i = 0; i < sizeof spellings / sizeof spellings[0]; i++) {
        *taken = strlen(spellings[i][0]);
        if (strncmp(text, spellings[i][0], *taken) == 0) {
            return spellings[i][1];
        }
    }
    for (size_t i = 0; is_behind_slash && i < sizeof separators / sizeof separators[0]; i++) {
        *taken = strlen(separators[i]);
        if (strncmp(text, separators[i], *taken) == 0) {
            return "";
        }
    }
    *taken = 1;
    return NULL;
}

/* Copies a unit with one spelling for each; false when it is longer than any unit. */
static bool clean_unit(const char *text, char clean[UNIT_MAX + 1])
{
    size_t length = 0;
    bool is_behind_slash = false;
    size_t taken;
    for (; *skip_blanks(text); text += taken) {
        const char *piece = clean_piece(text, is_behind_slash, &taken);
        const size_t size = piece ? strlen(piece) : 1;
        if (length + size > UNIT_MAX) {
            return false;
        }
        memcpy(clean + length, piece ? piece : text, size);
        length += size;
        is_behind_slash = is_behind_slash || *text == '/';
    }
    clean[length] = '\0';
    return true;
}

static bool is_unit(const struct unit *unit, const char *clean)
{
    const char *name = unit->name;
    while (*name &&
           (*name == *clean || (unit->is_any_case && lower_ascii(*name) == lower_ascii(*clean)))) {
        name++;
        clean++;
    }
    return *name == *clean;
}

static const struct unit *find_unit(enum wp_dimension dimension, const char *text)
{
    char clean[UNIT_MAX + 1];
    if (!clean_unit(skip_blanks(text), clean)) {
        return NULL;
    }
    const char *name = strncmp(clean, "1/", 2) == 0 ? clean + 1 : clean; /* 1/s is /s */
    for (size_t i = 0; i < sizeof units / sizeof units[0]; i++) {
        if (units[i].dimension == dimension && is_unit(&units[i], name)) {
            return &units[i];
        }
    }
    return NULL;
}

/* Digits only, at most six, so that a fraction's parts are exact and cannot overflow. */
static const char *read_count(const char *at, double *count)
{
    const char *start = at;
    double sum = 0.0;
    while (is_digit(*at)) {
        sum = sum * 10.0 + (*at++ - '0');
    }
    if (at == start || at - start > 6) {
        return NULL;
    }
    *count = sum;
    return at;
}

/* "1/4" at the start of at; NULL when no fraction stands there. */
static const char *read_fraction(const char *at, double *fraction)
{
    double top;
    double bottom;
    const char *slash = read_count(at, &top);
    if (!slash || *slash != '/') {
        return NULL;
    }
    const char *end = read_count(slash + 1, &bottom);
    if (!end || bottom == 0.0) {
        return NULL;
    }
    *fraction = top / bottom;
    return end;
}

/* "47 1/2": whole digits, blanks, a fraction below 1; NULL when it is anything else. */
static const char *read_mixed(const char *at, double *number)
{
    double whole;
    double fraction;
    const char *after = read_count(at, &whole);
    if (!after || skip_blanks(after) == after) {
        return NULL;
    }
    const char *end = read_fraction(skip_blanks(after), &fraction);
    if (!end || fraction >= 1.0) {
        return NULL;
    }
    *number = whole + fraction;
    return end;
}

static const char *read_number(const char *text, double *number)
{
    const bool is_negative = *text == '-';
    const char *at = text + (*text == '-' || *text == '+');
    const char *end = read_mixed(at, number);
    if (!end) {
        end = read_fraction(at, number);
    }
    if (!end) {
        return wp_decimal_parse(text, number);
    }
    *number = is_negative ? -*number : *number;
    return end;
}

/* Where a unit may begin; what else follows a number is a slip in the number ("1,5", "1/2/3"). */
static bool is_number_broken(const char *rest)
{
    const char *at = skip_blanks(rest);
    if (strncmp(at, "1/", 2) == 0 && !is_digit(at[2])) {
        return false; /* the unit 1/s */
    }
    return strchr(",.+-", *at) ? *at != '\0' : is_digit(*at) || (*at == '/' && is_digit(at[1]));
}

static enum wp_status explain(enum wp_status status, const char *expected, char *why,
                              size_t why_size)
{
    if (why && why_size > 0) {
        (void)snprintf(why, why_size, "%s", expected);
    }
    return status;
}

enum wp_status wp_quantity_parse(const char *text, enum wp_dimension dimension, double *value,
                                 char *why, size_t why_size)
{
    const char *expected = expectations[dimension];
    double number;
    const char *rest = read_number(skip_blanks(text), &number);
    if (rest && *rest == ',') {
        expected = "a decimal point instead of the comma, such as '1.5'";
    }
    if (!rest || is_number_broken(rest)) {
        return explain(WP_E_SYNTAX, expected, why, why_size);
    }
    const struct unit *unit = find_unit(dimension, rest);
    if (!unit) {
        return explain(WP_E_UNIT, expected, why, why_size);
    }
    const double si = (number - unit->offset) * unit->numerator / unit->denominator;
    if (!isfinite(si)) {
        return explain(WP_E_SYNTAX, expected, why, why_size);
    }
    *value = si;
    return WP_OK;
}

void wp_length_format_mm(double length_m, char *text, size_t text_size)
{
    const long long tenths = llround(fabs(length_m) * 10000.0);
    (void)snprintf(text, text_size, "%s%lld.%lld mm", length_m < 0.0 && tenths > 0 ? "-" : "",
                   tenths / 10, tenths % 10);
}

/* Euclid's greatest common divisor; b > 0. */
static long long common_divisor(long long a, long long b)
{
    while (a != 0) {
        const long long rest = b % a;
        b = a;
        a = rest;
    }
    return b;
}

void wp_length_format_inch(double length_m, int denominator, char *text, size_t text_size)
{
    const long long steps = llround(fabs(length_m) / 0.0254 * denominator);
    const long long whole = steps / denominator;
    const long long shared = common_divisor(steps % denominator, denominator);
    const long long top = steps % denominator / shared;
    const long long bottom = denominator / shared;
    const char *sign = length_m < 0.0 && steps > 0 ? "-" : "";
    if (top == 0) {
        (void)snprintf(text, text_size, "%s%lld in", sign, whole);
    } else if (whole == 0) {
        (void)snprintf(text, text_size, "%s%lld/%lld in", sign, top, bottom);
    } else {
        (void)snprintf(text, text_size, "%s%lld %lld/%lld in", sign, whole, top, bottom);
    }
}
