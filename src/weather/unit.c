/* SPDX-License-Identifier: MIT */
/* Brings wind, temperature and pressure from the station's units to SI units. */
#include "weather/unit.h"

#include <math.h>

struct unit {
    const char *name;
    double over; /* SI units in one: over / under, both whole or exact decimals */
    double under;
    double zero; /* where the scale's zero lies, in its own units */
    bool is_speed;
};

static const struct unit units[WP_UNIT_COUNT] = {
    [WP_UNIT_NONE] = {"", 1.0, 1.0, 0.0, false},
    [WP_UNIT_M_S] = {"m/s", 1.0, 1.0, 0.0, true},
    [WP_UNIT_KM_H] = {"km/h", 1000.0, 3600.0, 0.0, true},
    [WP_UNIT_MPH] = {"mph", 0.44704, 1.0, 0.0, true},
    [WP_UNIT_KNOT] = {"kt", 1852.0, 3600.0, 0.0, true},
    [WP_UNIT_FT_S] = {"ft/s", 0.3048, 1.0, 0.0, true},
    [WP_UNIT_CM_S] = {"cm/s", 1.0, 100.0, 0.0, true},
    [WP_UNIT_BEAUFORT] = {"Bft", 1.0, 1.0, 0.0, true},
    [WP_UNIT_CELSIUS] = {"C", 1.0, 1.0, 0.0, false},
    [WP_UNIT_FAHRENHEIT] = {"F", 5.0, 9.0, 32.0, false},
    [WP_UNIT_KELVIN] = {"K", 1.0, 1.0, 273.15, false},
    [WP_UNIT_HPA] = {"hPa", 100.0, 1.0, 0.0, false},
    [WP_UNIT_KPA] = {"kPa", 1000.0, 1.0, 0.0, false},
    [WP_UNIT_PA] = {"Pa", 1.0, 1.0, 0.0, false},
    [WP_UNIT_INCH_HG] = {"inHg", 3386.389, 1.0, 0.0, false},
    [WP_UNIT_MM_HG] = {"mmHg", 133.3224, 1.0, 0.0, false},
    [WP_UNIT_DEGREE] = {"deg", 1.0, 1.0, 0.0, false},
    [WP_UNIT_TEN_DEGREES] = {"10 deg", 10.0, 1.0, 0.0, false},
    [WP_UNIT_SECOND] = {"s", 1.0, 1.0, 0.0, false},
    [WP_UNIT_MILLISECOND] = {"ms", 1.0, 1000.0, 0.0, false},
};

const char *wp_unit_name(enum wp_unit unit)
{
    return units[unit].name;
}

bool wp_unit_is_speed(enum wp_unit unit)
{
    return units[unit].is_speed;
}

bool wp_unit_is_pressure(enum wp_unit unit)
{
    return unit >= WP_UNIT_HPA && unit <= WP_UNIT_MM_HG;
}

double wp_unit_to_si(enum wp_unit unit, double value)
{
    if (unit == WP_UNIT_BEAUFORT) {
        return wp_beaufort_m_s(value);
    }
    return (value - units[unit].zero) * units[unit].over / units[unit].under;
}

double wp_beaufort_m_s(double force)
{
    return force >= 0.0 && force <= 12.0 ? 0.836 * force * sqrt(force) : (double)NAN;
}
