/* SPDX-License-Identifier: MIT */
#ifndef WINDPEAL_WIND_GUST_H
#define WINDPEAL_WIND_GUST_H

#include "windpeal/attributes.h"

/*
 * How far the strongest gust of a record stands above its mean, for turbulence of Kaimal's
 * spectrum: A. G. Davenport, "Note on the distribution of the largest value of a random function
 * with application to gust loading", Proc. Inst. Civ. Engrs. 28 (1964) 187-196.
 */

/* Turbulence as a station sees it; standard deviations over that of all turbulence. */
struct wp_gust_moments {
    double gusts;    /* of the averages over the gust time, without the record's mean */
    double record;   /* of the instantaneous wind, without the record's mean */
    double crossing; /* upward crossings of the mean by the averages, in a record */
};

enum { WP_GUST_RECORD_MIN = 5 };

/* averaging_s of the record, gust_s of the gust; time_s = L / U of the along component. */
void wp_gust_moments(struct wp_gust_moments *moments, double averaging_s, double gust_s,
                     double time_s) WP_REALTIME;

/* (strongest gust - mean) over the standard deviation of all turbulence; gust_s must be at most
 * averaging_s / WP_GUST_RECORD_MIN. */
double wp_gust_excess(const struct wp_gust_moments *moments) WP_REALTIME;

/*
 * Sigma along the wind from a gust above the mean and wp_gust_excess. A record tells speeds,
 * lengths of a vector: the mean is raised by sigma_across^2 / 2U and a gust by as much over the
 * gust's speed, which is less.
 */
double wp_gust_sigma(double mean_m_s, double gust_m_s, double excess) WP_REALTIME;

enum { WP_GUST_SPEEDS = 33 };

/* What one station sees for a standard deviation of 1, tabulated over the mean speed. */
struct wp_gust_table {
    double values[WP_GUST_SPEEDS];
};

/* The excess of the strongest gust. */

void wp_gust_table_init(struct wp_gust_table *table, double averaging_s, double gust_s,
                        double height_m);

/* The standard deviation of averages over averaging_s, around their mean over over_s. */
void wp_gust_table_scatter(struct wp_gust_table *table, double over_s, double averaging_s,
                           double height_m);

/* Value at a mean speed; outside of 0.25 to 64 m/s that of the nearer end. */
double wp_gust_table_at(const struct wp_gust_table *table, double mean_m_s) WP_REALTIME;

#endif
