/* SPDX-License-Identifier: MIT */
#ifndef TESTS_REFERENCE_DAVENPORT_H
#define TESTS_REFERENCE_DAVENPORT_H

/* The peak factor of gusts by its published formula. */

#include <math.h>

static inline double sinc2(double x)
{
    const double angle = acos(-1.0) * x;
    return angle > 0.0 ? pow(sin(angle) / angle, 2.0) : 1.0;
}

/*
 * A. G. Davenport, Proc. Inst. Civ. Engrs. 28 (1964) 187-196: the largest of a Gaussian process in
 * a time T is on average sigma (l + 0.5772 / l) with l = sqrt(2 ln(nu T)) and nu^2 the second
 * moment of the spectrum over its variance. Spectrum: IEC 61400-1, seen through averages over the
 * gust time and freed of the record's mean. Midpoints in steps of 0.2 mHz to 50 Hz with the C
 * library, apart from the code under test.
 */
static inline double davenport(double record_s, double gust_s, double mean_m_s, double height_m)
{
    const double time_s = 8.1 * 0.7 * height_m / mean_m_s;
    const double d_hz = 2e-4;
    double m0 = 0.0;
    double m2 = 0.0;
    double record = 0.0;
    for (int i = 0; i < 250000; i++) {
        const double freq_hz = (i + 0.5) * d_hz;
        const double density = 4.0 * time_s / pow(1.0 + 6.0 * freq_hz * time_s, 5.0 / 3.0);
        const double within = density * (1.0 - sinc2(freq_hz * record_s)) * d_hz;
        record += within;
        m0 += within * sinc2(freq_hz * gust_s);
        m2 += within * sinc2(freq_hz * gust_s) * freq_hz * freq_hz;
    }
    const double peak = sqrt(2.0 * log(sqrt(m2 / m0) * record_s));
    return sqrt(m0 / record) * (peak + 0.5772 / peak);
}

#endif
