/* SPDX-License-Identifier: MIT */
#ifndef TESTS_FOURIER_H
#define TESTS_FOURIER_H

/* A Fourier transform that owes nothing to the program's. */

#include <complex.h>
#include <math.h>
#include <stddef.h>

/* A power of two of values, in place; sign -1 forward, 1 back without the division (Cooley & Tukey,
 * Math. Comput. 19 (1965) 297). */
static inline void fourier(double complex *values, size_t n, double sign)
{
    for (size_t i = 1, j = 0; i < n; i++) {
        size_t bit = n >> 1;
        for (; j & bit; bit >>= 1) {
            j ^= bit;
        }
        j ^= bit;
        if (i < j) {
            const double complex swapped = values[i];
            values[i] = values[j];
            values[j] = swapped;
        }
    }
    for (size_t length = 2; length <= n; length *= 2) {
        for (size_t k = 0; k < length / 2; k++) {
            const double angle = sign * 2.0 * M_PI * (double)k / (double)length;
            const double complex turn = cos(angle) + sin(angle) * (double complex)I;
            for (size_t i = k; i < n; i += length) {
                const double complex odd = values[i + length / 2] * turn;
                values[i + length / 2] = values[i] - odd;
                values[i] += odd;
            }
        }
    }
}

#endif
