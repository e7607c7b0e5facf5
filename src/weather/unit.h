/* SPDX-License-Identifier: MIT */
#ifndef WINDPEAL_WEATHER_UNIT_H
#define WINDPEAL_WEATHER_UNIT_H

#include <stdbool.h>

/* Units of wind, air temperature and air pressure as stations use them. */

enum wp_unit {
    WP_UNIT_NONE,
    WP_UNIT_M_S,
    WP_UNIT_KM_H,
    WP_UNIT_MPH,
    WP_UNIT_KNOT,
    WP_UNIT_FT_S,
    WP_UNIT_CM_S,
    WP_UNIT_BEAUFORT,
    WP_UNIT_CELSIUS,
    WP_UNIT_FAHRENHEIT,
    WP_UNIT_KELVIN,
    WP_UNIT_HPA, /* also mb, millibar */
    WP_UNIT_KPA,
    WP_UNIT_PA,
    WP_UNIT_INCH_HG,
    WP_UNIT_MM_HG,
    WP_UNIT_DEGREE,
    WP_UNIT_TEN_DEGREES,
    WP_UNIT_SECOND,
    WP_UNIT_MILLISECOND,
    WP_UNIT_COUNT, /* not a unit: their number */
};

/* As the project writes it: "km/h". Static text; "" for WP_UNIT_NONE. */
const char *wp_unit_name(enum wp_unit unit);

/* True for the units of speed, Beaufort among them. */
bool wp_unit_is_speed(enum wp_unit unit);

/* True for the units of pressure. */
bool wp_unit_is_pressure(enum wp_unit unit);

/*
 * A value in a unit, in m/s, degrees Celsius, pascals, degrees or seconds. Speeds by the exact
 * definitions of NIST SP 811 (2008), appendix B; the knot 1852 m/h. Beaufort: wp_beaufort_m_s.
 */
double wp_unit_to_si(enum wp_unit unit, double value);

/*
 * Speed in m/s of a Beaufort number, 0.836 B^1.5: the equivalence that WMO used from 1946 on (WMO,
 * "The Beaufort scale of wind force", Reports on marine science affairs 3, 1970). NAN outside of 0
 * to 12, where the scale ends.
 */
double wp_beaufort_m_s(double force);

#endif
