/* SPDX-License-Identifier: MIT */
/* Absorption of sound by the air. */

#include "synth/air_loss.h"

#include <math.h>

/* ISO 9613-1:1993, 4.2: reference temperature, and the triple point of water. */
static const double REFERENCE_K = 293.15;
static const double TRIPLE_K = 273.16;

/* Formulas (3) to (5) and (B.3) of ISO 9613-1:1993; f_o and f_n are the relaxation frequencies of
 * oxygen and nitrogen, h the molar concentration of water vapour in per cent. */
double wp_air_loss_db_m(double freq_hz, double temperature_c, double humidity_01)
{
    const double kelvin = temperature_c + 273.15;
    const double warmth = kelvin / REFERENCE_K;
    const double saturation = pow(10.0, -6.8346 * pow(TRIPLE_K / kelvin, 1.261) + 4.6151);
    const double h = 100.0 * humidity_01 * saturation;
    const double f_o = 24.0 + 4.04e4 * h * (0.02 + h) / (0.391 + h);
    const double f_n =
        pow(warmth, -0.5) * (9.0 + 280.0 * h * exp(-4.170 * (pow(warmth, -1.0 / 3.0) - 1.0)));
    const double f2 = freq_hz * freq_hz;
    const double relaxation = 0.01275 * exp(-2239.1 / kelvin) / (f_o + f2 / f_o) +
                              0.1068 * exp(-3352.0 / kelvin) / (f_n + f2 / f_n);
    return 8.686 * f2 * (1.84e-11 * sqrt(warmth) + pow(warmth, -2.5) * relaxation);
}
