/* SPDX-License-Identifier: MIT */
/* The Beaufort scale and units of speed and temperature against published tables. */
#include "weather/unit.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>

#include "../near.h"
#include "windpeal/weather.h"

/* Limits of the forces in m/s, ten-minute means at 10 m: WMO-No. 306, Manual on Codes, volume I.1,
 * section E, "Beaufort scale of wind" (table quoted from memory; national tables agree). */
static const double limits_m_s[13][2] = {
    {0.0, 0.2},   {0.3, 1.5},   {1.6, 3.3},   {3.4, 5.4},   {5.5, 7.9},   {8.0, 10.7}, {10.8, 13.8},
    {13.9, 17.1}, {17.2, 20.7}, {20.8, 24.4}, {24.5, 28.4}, {28.5, 32.6}, {32.7, 1e9}};

static void forces_lie_within_the_published_limits(void **state)
{
    (void)state;
    for (int force = 0; force <= 12; force++) {
        struct wp_weather weather;
        assert_int_equal(wp_weather_beaufort(&weather, force, 200.0, 600.0, NULL), WP_OK);
        const double mean_m_s = weather.records[0].mean_m_s;
        if (mean_m_s < limits_m_s[force][0] || mean_m_s > limits_m_s[force][1]) {
            fail_msg("force %d is %g m/s", force, mean_m_s);
        }
        wp_weather_finish(&weather);
    }
}

/* Between two forces the formula for half a force meets the limits within the 0.1 m/s to which the
 * table is rounded. */
static void limits_are_the_speeds_of_half_forces(void **state)
{
    (void)state;
    for (int force = 1; force <= 12; force++) {
        const double limit_m_s = 0.5 * (limits_m_s[force - 1][1] + limits_m_s[force][0]);
        assert_near(wp_beaufort_m_s(force - 0.5), limit_m_s, 0.1);
    }
}

/* NIST Special Publication 811 (2008), appendix B.8, factors to m/s with the digits printed there.
 */
static void speeds_follow_nist(void **state)
{
    (void)state;
    assert_near(wp_unit_to_si(WP_UNIT_MPH, 1.0), 4.4704e-1, 1e-16);
    assert_near(wp_unit_to_si(WP_UNIT_FT_S, 1.0), 3.048e-1, 1e-16);
    assert_near(wp_unit_to_si(WP_UNIT_KM_H, 1.0), 2.777778e-1, 5e-8);
    assert_near(wp_unit_to_si(WP_UNIT_KNOT, 1.0), 5.144444e-1, 5e-8);
    assert_near(wp_unit_to_si(WP_UNIT_M_S, 1.0), 1.0, 0.0);
    assert_near(wp_unit_to_si(WP_UNIT_CM_S, 1.0), 1e-2, 0.0);
}

/* The same, appendix B.8: t/C = (t/F - 32)/1.8, t/C = T/K - 273.15. */
static void temperatures_follow_nist(void **state)
{
    (void)state;
    assert_near(wp_unit_to_si(WP_UNIT_FAHRENHEIT, 212.0), 100.0, 1e-13);
    assert_near(wp_unit_to_si(WP_UNIT_FAHRENHEIT, -40.0), -40.0, 1e-13);
    assert_near(wp_unit_to_si(WP_UNIT_KELVIN, 293.15), 20.0, 1e-12);
    assert_near(wp_unit_to_si(WP_UNIT_CELSIUS, 20.0), 20.0, 0.0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(forces_lie_within_the_published_limits),
        cmocka_unit_test(limits_are_the_speeds_of_half_forces),
        cmocka_unit_test(speeds_follow_nist),
        cmocka_unit_test(temperatures_follow_nist),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
