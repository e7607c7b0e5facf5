/* SPDX-License-Identifier: MIT */
/* Davenport's peak factor by integrals over the filtered spectrum, and a table of it. */
#include "wind/gust.h"

#include <math.h>

#include "base/exact.h"
#include "wind/kaimal.h"

static const double PI = 3.14159265358979323846;

/* Steps a factor of e: a tenth of this changes the peak factor by less than 1e-4. */
enum { STEPS_PER_E = 40 };

/* Euler's constant: mean of the standard Gumbel distribution. */
static const double EULER = 0.57721566490153286061;

static const double SLOWEST_M_S = 0.25;
static const double STEPS_PER_OCTAVE = 4.0;

/* Power that an average over time_s lets through at a frequency. */
static double averaged(double freq_hz, double time_s)
{
    const double x = PI * freq_hz * time_s;
    if (x < 1e-4) {
        return 1.0;
    }
    const double sinc = wp_exact_sin(x) / x;
    return sinc * sinc;
}

/*
 * Midpoint rule in log f. Below 0.001 / T nothing is left (the integrands fall as f^3); above
 * 8 / gust time sin^2 is replaced by its mean, so that the slowly falling rest of the second
 * moment has the closed form below.
 */
void wp_gust_moments(struct wp_gust_moments *moments, double averaging_s, double gust_s,
                     double time_s)
{
    const double low = wp_exact_log(1e-3 / averaging_s);
    const double top_hz = 8.0 / gust_s;
    const int n = (int)ceil((wp_exact_log(top_hz) - low) * STEPS_PER_E);
    const double d_log = (wp_exact_log(top_hz) - low) / n;
    double m0 = 0.0;
    double m2 = 0.0;
    double record = 0.0;
    for (int i = 0; i < n; i++) {
        const double freq_hz = wp_exact_exp(low + (i + 0.5) * d_log);
        const double within = wp_kaimal_density(time_s, freq_hz) *
                              (1.0 - averaged(freq_hz, averaging_s)) * freq_hz * d_log;
        const double gusts = within * averaged(freq_hz, gust_s);
        record += within;
        m0 += gusts;
        m2 += gusts * freq_hz * freq_hz;
    }
    const double above = wp_kaimal_above(time_s, top_hz);
    m2 += above * 0.5 / (PI * gust_s * PI * gust_s);
    record += above;
    moments->gusts = sqrt(m0);
    moments->record = sqrt(record);
    moments->crossing = sqrt(m2 / m0) * averaging_s;
}

double wp_gust_excess(const struct wp_gust_moments *moments)
{
    const double peak = sqrt(2.0 * wp_exact_log(fmax(moments->crossing, 1.0 + 1e-9)));
    /* With hardly a crossing in a record the expansion turns up again; its least value is at
     * sqrt(EULER). */
    const double x = fmax(peak, sqrt(EULER));
    return moments->gusts * (x + EULER / x);
}

double wp_gust_sigma(double mean_m_s, double gust_m_s, double excess)
{
    const double excess_m_s = gust_m_s - mean_m_s;
    const double first_m_s = excess_m_s / excess;
    const double across_m_s = WP_ACROSS_SHARE * first_m_s;
    const double raised_m_s = 0.5 * across_m_s * across_m_s / fmax(mean_m_s, first_m_s);
    return (excess_m_s + raised_m_s * excess_m_s / gust_m_s) / excess;
}

static double speed_at(int i)
{
    return SLOWEST_M_S * wp_exact_pow(2.0, i / STEPS_PER_OCTAVE);
}

void wp_gust_table_init(struct wp_gust_table *table, double averaging_s, double gust_s,
                        double height_m)
{
    const double length_m = wp_kaimal_length(WP_ALONG, height_m);
    for (int i = 0; i < WP_GUST_SPEEDS; i++) {
        struct wp_gust_moments moments;
        wp_gust_moments(&moments, averaging_s, gust_s, length_m / speed_at(i));
        table->values[i] = wp_gust_excess(&moments);
    }
}

void wp_gust_table_scatter(struct wp_gust_table *table, double over_s, double averaging_s,
                           double height_m)
{
    const double length_m = wp_kaimal_length(WP_ALONG, height_m);
    for (int i = 0; i < WP_GUST_SPEEDS; i++) {
        struct wp_gust_moments moments;
        wp_gust_moments(&moments, over_s, averaging_s, length_m / speed_at(i));
        table->values[i] = moments.gusts;
    }
}

double wp_gust_table_at(const struct wp_gust_table *table, double mean_m_s)
{
    const double octaves =
        wp_exact_log(fmax(mean_m_s, SLOWEST_M_S) / SLOWEST_M_S) / wp_exact_log(2.0);
    const double at = fmin(octaves * STEPS_PER_OCTAVE, WP_GUST_SPEEDS - 1.0);
    const int i = at < WP_GUST_SPEEDS - 2 ? (int)at : WP_GUST_SPEEDS - 2;
    const double part = at - i;
    return table->values[i] * (1.0 - part) + table->values[i + 1] * part;
}
