/* SPDX-License-Identifier: MIT */
#ifndef WINDPEAL_STRIKER_AIR_DRAG_H
#define WINDPEAL_STRIKER_AIR_DRAG_H

/* What gravity and air do to hanging bodies. */

/* Standard acceleration of gravity, 3rd CGPM (1901). */
#define WP_GRAVITY_M_S2 9.80665

/* Pressure of the standard atmosphere at sea level (ISO 2533:1975). */
#define WP_STANDARD_PA 101325.0

/* Density of dry air, kg/m3: p / (R T), R = 287.05 J/(kg K) (ISO 2533:1975). */
static inline double wp_air_density(double temperature_c, double pressure_pa)
{
    return pressure_pa / (287.05 * (273.15 + temperature_c));
}

/* Force over speed squared, kg/m: density * coefficient * area / 2. */
static inline double wp_air_drag(double air_kg_m3, double coefficient, double area_m2)
{
    return 0.5 * air_kg_m3 * coefficient * area_m2;
}

#endif
