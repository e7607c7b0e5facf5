/* SPDX-License-Identifier: MIT */
/* Sound in rooms, and the powers that feed it. */

#include "../small_set.h"

#include "windpeal/level.h"

/* 0.161 V/T at 343 m/s and 0.163 V/T at 339 m/s (H. Kuttruff, Room Acoustics, ch. 5). */
static void absorption_is_sabines(void **state)
{
    (void)state;
    assert_near(wp_room_absorption_m2(200.0, 1.0, 343.2), 0.161 * 200.0, 0.05);
    assert_near(wp_room_absorption_m2(200.0, 2.0, 339.0), 0.163 * 100.0, 0.05);
}

/*
 * Balance of energy: a power W holds up the density E against the walls' absorption c E A / 4, and
 * p^2 = rho c^2 E (Kuttruff, ch. 5). At 20 C rho c = 413 instead of 400 makes 0.14 dB.
 */
static void diffuse_level_keeps_the_balance_of_energy(void **state)
{
    (void)state;
    const double density = 4.0 * 1e-4 / (343.2 * 12.0);
    const double pressure = sqrt(1.204 * 343.2 * 343.2 * density);
    assert_near(wp_diffuse_level_db(1e-4, 12.0), 20.0 * log10(pressure / 20e-6), 0.15);
    /* the formula itself: 100 dB of power into 4 m2 are 100 dB of pressure */
    assert_near(wp_diffuse_level_db(0.01, 4.0), 100.0, 1e-9);
    assert_near(wp_diffuse_level_db(0.01, 8.0), 100.0 - 10.0 * log10(2.0), 1e-9);
    assert_true(isinf(wp_diffuse_level_db(0.0, 10.0)));
}

/* What a partial radiates leaves its energy: P = eta_rad omega (M v^2 / 2), v from the blow. */
static void powers_are_what_radiation_takes_from_the_partials(void **state)
{
    (void)state;
    struct small_set small;
    double power_w[WP_PARTIALS_MAX];
    struct wp_contact contact;
    small_set_describe(&small.set, 1);
    small_set_solve(&small);
    const struct wp_tube *tube = &small.chime->tubes[0];
    const double height_m = small.layout.strike_height_m[0];
    wp_contact_solve(&contact, &small.striker, tube, height_m, 0.3);
    wp_strike_powers(&small.context, 0, 0.3, power_w);
    for (size_t i = 0; i < tube->n_partials; i++) {
        const struct wp_partial *partial = &tube->partials[i];
        const double v = wp_shape_at(&partial->shape, 1.0 - height_m / 0.6) * contact.impulse_n_s *
                         wp_contact_spectrum(&contact, partial->freq_hz) / tube->mass_kg;
        const double want =
            partial->losses.radiation * 2.0 * M_PI * partial->freq_hz * 0.5 * tube->mass_kg * v * v;
        assert_near(power_w[i], want, 1e-9 * want);
    }
    small_set_finish(&small);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(absorption_is_sabines),
        cmocka_unit_test(diffuse_level_keeps_the_balance_of_energy),
        cmocka_unit_test(powers_are_what_radiation_takes_from_the_partials),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
