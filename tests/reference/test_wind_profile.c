/* SPDX-License-Identifier: MIT */
/* Wind over height against the logarithmic law of WMO-No. 8. */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "../near.h"
#include "../wind_station.h"

static double factor(double height_m, double roughness_m)
{
    struct station station;
    station_init(&station, 1, 600.0, 5.0, 8.0);
    struct wp_wind_config config = station_config(&station, 1);
    config.is_as_given = false;
    config.height_m = height_m;
    config.roughness_m = roughness_m;
    struct wp_wind *wind = station_wind(&config);
    const double result = wp_wind_height_factor(wind);
    wp_wind_destroy(wind);
    return result;
}

/*
 * WMO-No. 8, Guide to Instruments and Methods of Observation, part I, chapter 5: U(z) / U(10 m) =
 * ln(z / z0) / ln(10 / z0). Roughness lengths are those of its terrain table after Davenport and
 * Wieringa; 0.03 m is the open grass of a standard station. Values worked by hand.
 */
static void same_ground_follows_the_logarithmic_law(void **state)
{
    (void)state;
    assert_near(factor(2.0, 0.03), 0.7229, 1e-4);
    assert_near(factor(3.0, 0.03), 0.7927, 1e-4);
    assert_near(factor(20.0, 0.03), 1.1193, 1e-4);
}

/*
 * The same chapter's exposure correction (Wieringa 1986): through the wind at 60 m, U2 = U1 ln(60 /
 * z01) / ln(10 / z01) * ln(z / z02) / ln(60 / z02). From open grass to 2 m over rough ground of
 * 0.25 m: 7.6009 / 5.8091 * 2.0794 / 5.4806; to 10 m over 0.1 m: 1.3084 * 4.6052 / 6.3969.
 */
static void other_ground_is_reached_through_60_metres(void **state)
{
    (void)state;
    assert_near(factor(2.0, 0.25), 0.4964, 1e-4);
    assert_near(factor(10.0, 0.1), 0.9420, 1e-4);
    assert_near(factor(10.0, 0.03), 1.0, 1e-12);
}

/*
 * Intensity over even ground, sigma / U = 1 / ln(z / z0), from sigma = 2.5 u* and the law above
 * (H. A. Panofsky, J. A. Dutton, "Atmospheric Turbulence", Wiley 1984: 2.4 u*): 17.2 % at a
 * standard station. Over 20 records sigma is known to 7.3 % / sqrt(20) each way, and 2 % of it is
 * slower than a record: four standard deviations and that.
 */
static void wind_without_gusts_has_the_intensity_of_its_ground(void **state)
{
    (void)state;
    struct station station;
    station_init(&station, 20, 600.0, 5.0, (double)NAN);
    const struct wp_wind_config config = station_config(&station, 8);
    struct wp_wind_sample *samples = station_samples(&config, 120000);
    double sum = 0.0;
    double squares = 0.0;
    for (size_t i = 0; i < 120000; i++) {
        sum += samples[i].along_m_s;
        squares += samples[i].along_m_s * samples[i].along_m_s;
    }
    free(samples);
    const double mean = sum / 120000.0;
    const double sigma = sqrt(squares / 120000.0 - mean * mean);
    assert_near(sigma / 5.0, 0.1721, 0.1721 * (4.0 * 0.073 / sqrt(20.0) + 0.02));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(same_ground_follows_the_logarithmic_law),
        cmocka_unit_test(other_ground_is_reached_through_60_metres),
        cmocka_unit_test(wind_without_gusts_has_the_intensity_of_its_ground),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
