/* SPDX-License-Identifier: MIT */
/* Absorption of sound by air against the standards' printed tables. */

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "synth/air_loss.h"

/* dB/km for a midband of number k: 1000 Hz times 10^(k / 10), the exact frequency. */
static double loss_db_km(double celsius, double humidity_01, int k)
{
    return 1e3 * wp_air_loss_db_m(1000.0 * pow(10.0, 0.1 * k), celsius, humidity_01);
}

/*
 * ISO 9613-1:1993, table 1 (third octaves at exact midbands), as two independent projects quote it
 * in their tests. Three digits are printed: half of the last one is the tolerance.
 */
static void losses_are_those_of_iso_9613_1(void **state)
{
    (void)state;
    static const struct {
        double celsius, humidity_01;
        int k;
        double db_km, half_digit;
    } rows[] = {
        {-20, 0.10, -13, 0.589, 5e-4}, {-20, 1.00, 9, 41.1, 5e-2},  {-10, 0.70, 9, 86.2, 5e-2},
        {0, 0.15, 0, 18.3, 5e-2},      {10, 0.10, 9, 69.4, 5e-2},   {10, 0.70, 6, 32.8, 5e-2},
        {15, 0.70, 0, 4.08, 5e-3},     {20, 0.10, -9, 0.776, 5e-4}, {20, 0.70, -7, 0.776, 5e-4},
        {20, 0.70, 0, 4.98, 5e-3},     {20, 0.80, 0, 5.15, 5e-3},   {20, 1.00, 6, 19.4, 5e-2},
        {20, 0.10, 6, 109.0, 0.5},     {20, 0.15, 8, 175.0, 0.5},   {20, 0.80, -13, 0.0501, 5e-5},
        {30, 0.50, 0, 7.03, 5e-3},     {30, 0.70, 6, 23.1, 5e-2},   {50, 1.00, 0, 6.05, 5e-3},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        const double db_km = loss_db_km(rows[i].celsius, rows[i].humidity_01, rows[i].k);
        if (fabs(db_km - rows[i].db_km) > rows[i].half_digit * 1.001) {
            fail_msg("row %zu: %.5g dB/km, printed is %.5g", i, db_km, rows[i].db_km);
        }
    }
}

/* ISO 9613-2:1996, table 2 (octaves 63 Hz to 8 kHz), from memory; one decimal is printed. */
static void losses_are_those_of_iso_9613_2(void **state)
{
    (void)state;
    static const double at_20_70[] = {0.1, 0.3, 1.1, 2.8, 5.0, 9.0, 22.9, 76.6};
    static const double at_10_70[] = {0.1, 0.4, 1.0, 1.9, 3.7, 9.7, 32.8, 117.0};
    for (int octave = 0; octave < 8; octave++) {
        const int k = 3 * (octave - 4);
        const double warm = loss_db_km(20.0, 0.70, k);
        const double cool = loss_db_km(10.0, 0.70, k);
        assert_true(fabs(warm - at_20_70[octave]) <= 0.051);
        assert_true(fabs(cool - at_10_70[octave]) <= (octave == 7 ? 0.51 : 0.051));
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(losses_are_those_of_iso_9613_1),
        cmocka_unit_test(losses_are_those_of_iso_9613_2),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
